#include "geometry/access.h"

#include <algorithm>
#include <cmath>

#include "geometry/bound_search.h"

namespace holeward {
namespace {

/// Signed distance to the tool's cylinder of a place beyond its side by dr and its end by dz.
double Outside(double dr, double dz) {
  return dr > 0.0 && dz > 0.0 ? std::hypot(dr, dz) : std::max(dr, dz);
}

}  // namespace

Access AccessOf(const std::vector<Obstacle>& obstacles, const ToolRoom& tool) {
  Access access;
  if (!tool.base.allFinite() || !tool.direction.allFinite() || !std::isfinite(tool.radius) ||
      !std::isfinite(tool.length) || tool.direction.norm() < 1e-9 || !AllSound(obstacles)) {
    access.failure = "the tool or what is round it is not finite numbers";
    return access;
  }
  const AxisFrame frame = AxisFrame::At(tool.base, tool.direction);
  std::vector<Piece> pieces;
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    for (const BezierPatch& patch : obstacles[i].patches) {
      pieces.push_back(PieceOf(patch, frame, static_cast<int>(i), patch.grown));
    }
  }
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    const double dz = std::max(-extent.z_greatest, extent.z_least - tool.length);
    return Outside(extent.r_least - tool.radius, dz) - piece.grown;
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    const double dz = std::max(-place.z(), place.z() - tool.length);
    return Outside(place.head<2>().norm() - tool.radius, dz) - piece.grown;
  };
  const Minimum nearest = MinimumOver(pieces, lower, upper, {1e-4, 60000});
  access.distance = nearest.lower;
  if (nearest.obstacle >= 0)
    access.body = obstacles[static_cast<std::size_t>(nearest.obstacle)].body;
  if (!nearest.settled) access.failure = "the nearest thing beside the tool was not found";
  return access;
}

}  // namespace holeward
