// Coarse paths to start from: a chord path on the surface, pulled straight.
#pragma once

#include <vector>

#include "geometry/surface.h"
#include "geometry/tape.h"
#include "geometry/tape_facts.h"

namespace holeward {

/// Where a path may begin.
struct TapeStart {
  enum class Kind { point, section, line };
  Kind kind = Kind::point;
  SkinPlace place;       ///< point; section: its u counts
  TapeLine line;         ///< line
  TapeRange range;       ///< section: of v (not wrapped); line: of u
  bool limited = false;  ///< false: the range's ends are not ends (a whole closed outline)
  bool toward_less =
      false;  ///< section: paths leave toward smaller u (tells the sides of a crease apart)

  /// The place at parameter w of the curve (v of a section, u of a line).
  [[nodiscard]] SkinPlace At(double w) const;
};

/// A chord path: its places (v not wrapped), and its length with the chords' sagitta allowed for.
struct TapeSeed {
  std::vector<SkinPlace> places;
  Vec3 leave = Vec3::Zero();  ///< unit direction of the first chord
  double length = 0.0;
};

/// Pulls a chord path straight: Gauss-Newton on the sum of squared chords, last place fixed, first
/// place fixed or sliding on its curve.
/// On the rough copy `table` if one is given, else on the surface itself.
[[nodiscard]] TapeSeed PullStraight(const Surface& surface, const SurfaceTable* table,
                                    const TapeStart& start, std::vector<SkinPlace> places,
                                    int rounds);

}  // namespace holeward
