// Whether two sides of a vehicle are alike, so that what was computed for one holds for the other.
#pragma once

#include "geometry/part.h"
#include "geometry/placed_point.h"

namespace holeward {

/// True if both scenes (in the frame of the described side) hold the same metal: parts, fittings,
/// inner bodies and neighbours at the same places to within 1e-9 mm. A path may run either way.
[[nodiscard]] bool SameMetal(const Scene& a, const Scene& b);

/// True if both points lie at the same place with the same zones and readings, to within 1e-9 mm.
[[nodiscard]] bool SamePlace(const PlacedPoint& a, const PlacedPoint& b);

/// SamePlace of every two, in their order.
[[nodiscard]] bool SamePlaces(const std::vector<PlacedPoint>& a, const std::vector<PlacedPoint>& b);

}  // namespace holeward
