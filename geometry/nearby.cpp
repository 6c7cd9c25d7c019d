#include "geometry/nearby.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
// Bounds of boxes and of patches are rounded in different orders.
constexpr double kSpare = 1e-6;

/// Where a box lies in an axis frame: heights, and a lower bound of its distance from the axis.
struct BoxSeen {
  double z_least = 0.0;
  double z_greatest = 0.0;
  double r_least = 0.0;
};

BoxSeen Seen(const UprightBox& box, const AxisFrame& frame) {
  const Vec3 middle = frame.ToLocal(box.middle());
  const Vec3 half = box.half();
  const double rise = frame.rotation.row(2).cwiseAbs().dot(half.transpose());
  BoxSeen seen{middle.z() - rise, middle.z() + rise, 0.0};
  const double lateral = middle.head<2>().norm();
  if (lateral < 1e-12) return seen;
  // The box lies beyond the plane that touches it across the way to its middle.
  const Vec2 outward = middle.head<2>() / lateral;
  const Eigen::RowVector3d way =
      outward.x() * frame.rotation.row(0) + outward.y() * frame.rotation.row(1);
  seen.r_least = std::max(0.0, lateral - way.cwiseAbs().dot(half.transpose()));
  return seen;
}

double Apart(double beside, double beyond) {
  return beside > 0.0 && beyond > 0.0 ? std::hypot(beside, beyond) : std::max(beside, beyond);
}

/// Signed distance of a place to the tool's cylinder.
double ApartAt(const Vec3& local, const ToolRoom& tool) {
  return Apart(local.head<2>().norm() - tool.radius, std::max(-local.z(), local.z() - tool.length));
}

/// Least signed distance of the corners of an obstacle's patches: one that the obstacle attains.
double AttainedBy(const Obstacle& obstacle, const AxisFrame& frame, const ToolRoom& tool) {
  double least = kNever;
  for (const BezierPatch& patch : obstacle.patches) {
    const auto row = static_cast<std::size_t>(patch.degree_v);
    const auto last = patch.poles.size() - 1;
    for (const std::size_t corner : {std::size_t{0}, row, last - row, last}) {
      const Eigen::Vector4d& pole = patch.poles[corner];
      const Vec3 place = frame.ToLocal(pole.head<3>() / pole.w());
      least = std::min(least, ApartAt(place, tool) - patch.grown);
    }
  }
  return least;
}

}  // namespace

UprightBox BoxOf(const Obstacle& obstacle) {
  UprightBox box;
  if (!AllSound({obstacle}) || !std::isfinite(obstacle.own_error)) {
    box.low = Vec3::Constant(-kNever);
    box.high = Vec3::Constant(kNever);
    return box;
  }
  // Of a wall off its size a rounded corner moves by more than its shift (geometry/clearance.cpp).
  const double off = obstacle.shift + obstacle.own_error + obstacle.outline_error;
  for (const BezierPatch& patch : obstacle.patches) {
    for (const Eigen::Vector4d& pole : patch.poles) {
      box.Hold(Vec3(pole.head<3>() / pole.w()), patch.grown + off);
    }
  }
  return box;
}

ObstacleField::ObstacleField(std::vector<Obstacle> obstacles) : obstacles_(std::move(obstacles)) {
  std::vector<UprightBox> boxes;
  boxes.reserve(obstacles_.size());
  for (const Obstacle& obstacle : obstacles_) boxes.push_back(BoxOf(obstacle));
  tree_ = BoxTree(std::move(boxes));
}

Chosen ObstacleField::All(const Counts& counts) const {
  Chosen chosen;
  for (std::size_t i = 0; i < obstacles_.size(); ++i) {
    if (counts(i)) chosen.indices.push_back(i);
  }
  chosen.looked_at = obstacles_.size();
  return chosen;
}

Chosen ObstacleField::NearestTo(const ToolRoom& tool, const Counts& counts) const {
  if (!tool.base.allFinite() || !tool.direction.allFinite() || !std::isfinite(tool.radius) ||
      !std::isfinite(tool.length) || tool.direction.norm() < 1e-9) {
    return All(counts);
  }
  const AxisFrame frame = AxisFrame::At(tool.base, tool.direction);
  const auto bound = [&](const UprightBox& box) {
    if (box.empty()) return kNever;
    if (!box.bounded()) return -kNever;
    const BoxSeen seen = Seen(box, frame);
    return Apart(seen.r_least - tool.radius,
                 std::max(-seen.z_greatest, seen.z_least - tool.length));
  };
  Chosen chosen;
  double attained = kNever;
  chosen.looked_at = tree_.InOrder(bound, [&](std::size_t index, double least) {
    if (least > attained + kSpare) return false;
    if (!counts(index)) return true;
    chosen.indices.push_back(index);
    if (least > -kNever) attained = std::min(attained, AttainedBy(obstacles_[index], frame, tool));
    return true;
  });
  std::sort(chosen.indices.begin(), chosen.indices.end());
  return chosen;
}

Chosen ObstacleField::Within(const PosesReach& drill, const Counts& counts) const {
  const ReachAt reach_at(drill.reach);
  const auto bound = [&](const UprightBox& box) {
    if (box.empty()) return kNever;
    if (!box.bounded()) return 0.0;
    const BoxSeen seen = Seen(box, drill.frame);
    if (seen.z_least > drill.farthest + kSpare) return kNever;
    const double high = std::max(std::abs(seen.z_least), std::abs(seen.z_greatest));
    const double reach = reach_at(std::min(high, drill.farthest)) + kSpare;
    return seen.r_least > reach ? kNever : 0.0;
  };
  Chosen chosen;
  chosen.looked_at = tree_.InOrder(bound, [&](std::size_t index, double) {
    if (counts(index)) chosen.indices.push_back(index);
    return true;
  });
  std::sort(chosen.indices.begin(), chosen.indices.end());
  return chosen;
}

}  // namespace holeward
