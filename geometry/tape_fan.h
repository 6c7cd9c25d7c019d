// Every way from a place: a fan of geodesics, made denser where it closes in on what is looked for.
#pragma once

#include <vector>

#include "geometry/tape_facts.h"
#include "geometry/tape_seed.h"

namespace holeward {

/// A geodesic that nearly meets a place.
struct FanWay {
  std::vector<SkinPlace>
      places;             ///< from the start to the place (on the turn this way meets it on)
  double length = 0.0;    ///< mm, about
  bool from_end = false;  ///< it starts at the end of a limited range, not on the curve
};

/// All ways from a start to a place that are not longer than `longest` mm, a little longer ones
/// among them, in `chords` parts of like length, the shortest first: neighbouring rays of the fan
/// bound a strip of the surface, and a strip that comes near is divided until its ways can be
/// aimed. For a curve the fan starts at the place and is followed to the curve: between two
/// neighbouring feet, f apart, the way is no shorter than (a + b - f)/2 (its length changes by less
/// than the foot moves). Rays end where even a straight line would be too long. Ways that run along
/// an end or a crease are no geodesics and not found. How near a strip comes is judged by flat
/// quadrangles between rays, with a margin: not a proof.
[[nodiscard]] std::vector<FanWay> FanWays(const Surface& surface, const SurfaceFacts& facts,
                                          const TapeStart& start, const SkinPlace& to,
                                          double longest, int chords);

}  // namespace holeward
