#include "geometry/access.h"

#include <algorithm>
#include <cmath>

#include "geometry/bound_search.h"

namespace holeward {
namespace {

constexpr double kUnsettled = 0.05;  // a wider gap after all steps is a failure

/// Signed distance to the tool's cylinder of a place beyond its side by dr and its end by dz.
double Outside(double dr, double dz) {
  return dr > 0.0 && dz > 0.0 ? std::hypot(dr, dz) : std::max(dr, dz);
}

/// Direction in which Outside grows at a place; the function is convex, so it lies above the plane
/// through the place with this slope.
Vec3 Slope(const Vec3& at, const ToolRoom& tool) {
  const double r = at.head<2>().norm();
  const Vec3 out = r > 1e-9 ? Vec3(at.x() / r, at.y() / r, 0.0) : Vec3::UnitX();
  const Vec3 along = at.z() < 0.5 * tool.length ? Vec3(-Vec3::UnitZ()) : Vec3::UnitZ();
  const double dr = r - tool.radius;
  const double dz = std::max(-at.z(), at.z() - tool.length);
  if (dr > 0.0 && dz > 0.0) return (dr * out + dz * along) / std::hypot(dr, dz);
  return dr > dz ? out : along;
}

double OutsideAt(const Vec3& at, const ToolRoom& tool) {
  return Outside(at.head<2>().norm() - tool.radius, std::max(-at.z(), at.z() - tool.length));
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
    const double apart = Outside(extent.r_least - tool.radius, dz);
    const Vec3 slope = Slope(extent.middle, tool);
    double together = std::numeric_limits<double>::infinity();
    for (const Eigen::Vector4d& pole : piece.poles) {
      together = std::min(together, slope.dot(pole.head<3>() / pole.w() - extent.middle));
    }
    return std::max(apart, OutsideAt(extent.middle, tool) + together) - piece.grown;
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    return OutsideAt(place, tool) - piece.grown;
  };
  const Minimum nearest = MinimumOver(pieces, lower, upper, {1e-4, 60000});
  access.distance = nearest.lower;
  if (nearest.obstacle >= 0)
    access.body = obstacles[static_cast<std::size_t>(nearest.obstacle)].body;
  if (nearest.upper - nearest.lower > kUnsettled)
    access.failure = "the nearest thing beside the tool was not found";
  return access;
}

}  // namespace holeward
