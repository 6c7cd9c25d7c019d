#include "models/bench_set.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace holeward {
namespace {

// Two places in the vehicle by tape, each within 1 mm, and two on the bench: no more than this, mm.
constexpr double kMostGap = 5.0;
constexpr double kBareOutboard = 300.0;
// Mounts nearer than this give no direction.
constexpr double kLeastApart = 20.0;

Vec3 OnBench(const BenchModel& model, const BenchMount& mount) {
  return mount.distance * model.along() + mount.offset * model.away() +
         mount.height * Vec3::UnitZ();
}

// The turn about `axis`, of least size, after which axis-free part of `arm` has this rise.
std::optional<double> TurnToRise(const Vec3& axis, const Vec3& arm, double rise) {
  const Vec3 kept = axis * axis.dot(arm);
  const Vec3 turned = arm - kept;
  const double b = turned.z();
  const double c = axis.cross(turned).z();
  const double reach = std::hypot(b, c);
  const double want = rise - kept.z();
  if (reach < 1e-9 || std::abs(want) > reach) return std::nullopt;
  const double phase = std::atan2(c, b);
  const double half = std::acos(want / reach);
  const double one = std::remainder(phase + half, 2.0 * kPi);
  const double other = std::remainder(phase - half, 2.0 * kPi);
  return std::abs(one) < std::abs(other) ? one : other;
}

BenchFrame Bare(const BenchModel& model, const BenchSheet& sheet, double longest) {
  BenchFrame frame;
  if (sheet.origin) {
    frame.shift = *sheet.origin;
    return frame;
  }
  const Vec3 outboard = sheet.toward == "outboard"  ? model.along()
                        : sheet.toward == "inboard" ? Vec3(-model.along())
                                                    : model.across();
  frame.shift = outboard * (kBareOutboard + (sheet.toward == "inboard" ? longest : 0.0));
  return frame;
}

}  // namespace

tl::expected<BenchFrame, BenchError> FrameOf(const BenchModel& model, const BenchSheet& sheet,
                                             double longest) {
  if (sheet.mounts.empty()) return Bare(model, sheet, longest);
  const BenchMount& first = sheet.mounts[0];
  const BenchMount& second = sheet.mounts[1];
  const Vec3 from = OnBench(model, first);
  const Vec3 bench = OnBench(model, second) - from;
  const Vec3 vehicle = *second.place - *first.place;
  BenchFrame frame;
  frame.mount_gap = vehicle.norm() - bench.norm();
  if (bench.norm() < kLeastApart || vehicle.norm() < kLeastApart ||
      std::abs(frame.mount_gap) > kMostGap) {
    return tl::unexpected(BenchError{
        second.at,
        fmt::format("the mounts {} and {} are {:.1f} mm apart on the bench and {:.1f} mm in the "
                    "vehicle; they must be at least {:g} mm apart and agree within {:g} mm: one of "
                    "their readings is wrong",
                    first.name, second.name, bench.norm(), vehicle.norm(), kLeastApart, kMostGap)});
  }
  const Eigen::Matrix3d lay = Eigen::Quaterniond::FromTwoVectors(bench, vehicle).toRotationMatrix();
  const Vec3 axis = vehicle.normalized();
  std::optional<double> turn;
  Location at = sheet.at;
  if (sheet.slope) {
    turn = TurnToRise(axis, lay * model.across(), std::sin(*sheet.slope));
  } else if (sheet.mounts.size() > 2) {
    const BenchMount& third = sheet.mounts[2];
    at = third.at;
    const double middle = 0.5 * (first.place->z() + second.place->z());
    const Vec3 arm = lay * (OnBench(model, third) - from - 0.5 * bench);
    turn = TurnToRise(axis, arm, third.vehicle_height.value_or(0.0) - middle);
  }
  if (!turn) {
    return tl::unexpected(
        BenchError{at,
                   "no turn about the line of the two mounts gives this slope or height; one "
                   "of the readings is wrong, or the third mount lies on their line"});
  }
  frame.turn = Eigen::AngleAxisd(*turn, axis).toRotationMatrix() * lay;
  frame.shift = 0.5 * (*first.place + *second.place) - frame.turn * (from + 0.5 * bench);
  return frame;
}

}  // namespace holeward
