// Closed polygons in a plane, without a repeated last place.
#pragma once

#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// The place of the straight line a-b nearest to p.
[[nodiscard]] Vec2 NearestOn(const Vec2& a, const Vec2& b, const Vec2& p);

/// Distance of p to the straight line a-b, mm.
[[nodiscard]] double OffSegment(const Vec2& a, const Vec2& b, const Vec2& p);

/// Area of a polygon, mm², positive when counter-clockwise.
[[nodiscard]] double AreaOf(const std::vector<Vec2>& polygon);

/// True inside a closed polygon (even-odd rule).
[[nodiscard]] bool IsInside(const std::vector<Vec2>& polygon, const Vec2& p);

/// Where the level line at `y` crosses the border of a closed polygon, ascending: a place of that
/// line is inside (as IsInside tells) if an odd number of them lie beyond it.
[[nodiscard]] std::vector<double> CrossingsAt(const std::vector<Vec2>& polygon, double y);

/// Distance to the border of a closed polygon, mm.
[[nodiscard]] double OffBorder(const std::vector<Vec2>& polygon, const Vec2& p);

}  // namespace holeward
