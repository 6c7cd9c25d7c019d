// The seat of a test tip's foot: how far it rocks.
#pragma once

#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/skin.h"

namespace holeward {

/// How the skin lies under a circle about a place, heights along the normal there, mm.
struct Seat {
  double gap = 0.0;      ///< greatest less least height
  double highest = 0.0;  ///< above the place; positive where the skin is hollow
  bool beyond = false;   ///< part of the circle lies beyond an end or a lip: the heights there are
                         ///< those of the skin gone on with
};

/// The seat of a foot of `diameter` (mm) standing on the skin at a place.
/// @return heights over the disc, sampled on 6 rings of 72 places, the outermost refined by a
///         parabola: within 1e-4 mm on skins with features of 1 mm and more
/// Errors (computed): the skin does not reach under the whole circle, or a place that is not
/// finite.
[[nodiscard]] Result<Seat> SeatOf(const Skin& skin, const SkinPlace& place, double diameter);

}  // namespace holeward
