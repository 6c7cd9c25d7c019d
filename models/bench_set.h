// Where the bench stands in the vehicle: two mounts and a slope, or two mounts and the height of a
// third.
#pragma once

#include <Eigen/Core>

#include "models/bench.h"
#include "models/bench_model.h"

namespace holeward {

/// A rigid motion: p_vehicle = turn * p_bench + shift.
struct BenchFrame {
  Eigen::Matrix3d turn = Eigen::Matrix3d::Identity();
  Vec3 shift = Vec3::Zero();
  double mount_gap = 0.0;  ///< distance of the mounts in the vehicle less that on the bench, mm

  [[nodiscard]] Vec3 ToVehicle(const Vec3& p_bench) const { return turn * p_bench + shift; }
};

/// The frame of a sheet. A bare one stands 300 mm outboard of the centre plane unless `origin` says
/// otherwise.
/// @param longest greatest distance along the straightedge, mm
/// Errors: mounts farther apart (or nearer) in the vehicle than on the bench by more than two tape
/// readings explain; a slope or height that no turn about the mounts reaches.
[[nodiscard]] tl::expected<BenchFrame, BenchError> FrameOf(const BenchModel& model,
                                                           const BenchSheet& sheet, double longest);

}  // namespace holeward
