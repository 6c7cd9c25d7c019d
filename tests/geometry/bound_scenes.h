// A piece of metal and a cell of places, in the zone's own frame, for the tests of the bounds.
#pragma once

#include "geometry/worst_pose_bounds.h"

namespace holeward::test {

inline MetalPiece Metal(const BezierPatch& patch) {
  return MetalOf(PieceOf(patch, AxisFrame{}, 0, 0.0), 0);
}

/// A square across the axis at a depth, its middle on it.
inline MetalPiece PlateAt(double depth, double half = 1.0) {
  return Metal(BilinearPatch({-half, -half, depth}, {half, -half, depth}, {-half, half, depth},
                             {half, half, depth}, 0.0));
}

/// A cell of places 2 mm square, the axis leaning by so much from its middle to a side, rad.
inline PlaceCell SquareCell(const Vec2& lean = {0.01, 0.01}) {
  PlaceCell cell;
  for (std::size_t c = 0; c < 4; ++c) {
    const Vec2 side(c % 2 == 0 ? -1.0 : 1.0, c < 2 ? -1.0 : 1.0);
    cell.corner[c].entry = {side.x(), side.y(), 0.0};
    cell.corner[c].axis = Vec3(lean.x() * side.x(), lean.y() * side.y(), 1.0).normalized();
    cell.mix[c] = {static_cast<int>(c), static_cast<int>(c), 0.0};
  }
  cell.sag = 1e-3;
  cell.axis_sag = 1e-4;
  cell.turn = 2.0 * lean.norm() + 2e-3;
  cell.radius = 1.5;
  cell.half = {1.0, 1.0};
  return cell;
}

}  // namespace holeward::test
