// Closed polygons in a plane, without a repeated last place.
#pragma once

#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// Area of a polygon, mm², positive when counter-clockwise.
[[nodiscard]] double AreaOf(const std::vector<Vec2>& polygon);

/// True inside a closed polygon (even-odd rule).
[[nodiscard]] bool IsInside(const std::vector<Vec2>& polygon, const Vec2& p);

/// Distance to the border of a closed polygon, mm.
[[nodiscard]] double OffBorder(const std::vector<Vec2>& polygon, const Vec2& p);

}  // namespace holeward
