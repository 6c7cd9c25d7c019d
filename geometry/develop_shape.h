// What is cut off a flat sheet and out of it: polygons on the sheet, mm.
#pragma once

#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// A piece of sheet: a closed outline without a repeated last place, and what is cut out inside.
struct ClippedRegion {
  std::vector<Vec2> outline;
  std::vector<std::vector<Vec2>> holes;
};

/// What is left of a closed outline when polygons are cut off it, the largest first; places are
/// rounded to 1e-5 mm. Library: polyclipping (A. Johnson), on B. Vatti, "A generic solution to
/// polygon clipping", Communications of the ACM 35 (1992).
[[nodiscard]] std::vector<ClippedRegion> CutFrom(const std::vector<Vec2>& outline,
                                                 const std::vector<std::vector<Vec2>>& removed);

/// A closed outline with polygons joined to it, the largest region first; rounded as above.
[[nodiscard]] std::vector<ClippedRegion> JoinedTo(const std::vector<Vec2>& outline,
                                                  const std::vector<std::vector<Vec2>>& added);

}  // namespace holeward
