#include "geometry/ring_follower.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <BRepGProp.hxx>
#include <Eigen/Eigenvalues>
#include <GProp_GProps.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// Sections are followed in steps of this share of the body, between these, mm; the last ones again
// in the finer steps.
constexpr double kStepShare = 1.0 / 60.0;
constexpr double kLeastStep = 2.0;
constexpr double kMostStep = 6.0;
constexpr double kFineStep = 0.25;
constexpr int kMostSteps = 600;
// A section goes on as the one before did if its areas are those expected within these shares; one
// after a stretch without may have changed more.
constexpr double kGoesOn = 0.04;
constexpr double kGoesOnFine = 0.003;
constexpr double kComesBack = 0.3;
constexpr double kComesBackWall = 0.05;
// Where along the body a first section is looked for.
constexpr std::array<double, 7> kStarts{0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8};

// A first ring is looked for beside where it is, this far off, mm.
constexpr double kBeside = 0.5;
constexpr double kNear = 20.0;

/// The direction about which the body's moment is least.
Vec3 LongestOf(const GProp_GProps& properties) {
  const gp_Mat inertia = properties.MatrixOfInertia();
  Eigen::Matrix3d matrix;
  for (int i = 0; i < 3; ++i) {
    for (int k = 0; k < 3; ++k) matrix(i, k) = inertia(i + 1, k + 1);
  }
  return Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d>(matrix).eigenvectors().col(0);
}

/// True if b may be of the tube of a, a way on: it is not much larger, its wall is no thicker.
bool ComesBack(const RingSection& a, const RingSection& b) {
  const auto wall = [](const RingSection& ring) { return ring.metal / std::sqrt(ring.filled); };
  return std::abs(b.filled - a.filled) < kComesBack * a.filled &&
         std::abs(wall(b) - wall(a)) < kComesBackWall * wall(a);
}

bool GoesOn(const RingSection& a, const RingSection& b, double share) {
  return std::abs(b.filled - a.filled) < share * a.filled &&
         std::abs(b.metal - a.metal) < share * a.metal;
}

}  // namespace

RingFollower::RingFollower(const TopoDS_Shape& solid) : sections_(solid) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(solid, properties);
  middle_ = ToVec3(properties.CentreOfMass());
  long_ = LongestOf(properties);
  const auto [low, high] = sections_.Along(long_);
  step_ = std::clamp(kStepShare * (high - low), kLeastStep, kMostStep);
}

/// The ring in the plane square to the line through rings beside it.
std::optional<TubeStep> RingFollower::Squared(const RingSection& ring) const {
  TubeStep step{ring, long_};
  for (int round = 0; round < 3; ++round) {
    const Vec3 centre = step.ring.centre;
    const auto before = sections_.At(centre - kBeside * step.way, step.way, kNear).ring;
    const auto after = sections_.At(centre + kBeside * step.way, step.way, kNear).ring;
    if (!before || !after) return std::nullopt;
    step.way = (after->centre - before->centre).normalized();
    const auto here = sections_.At(centre, step.way, kNear).ring;
    if (!here) return std::nullopt;
    step.ring = *here;
  }
  return step;
}

std::optional<TubeStep> RingFollower::First() const {
  const auto [low, high] = sections_.Along(long_);
  std::optional<TubeStep> first;
  for (const double share : kStarts) {
    const double along = low + share * (high - low) - middle_.dot(long_);
    const auto ring = sections_.At(middle_ + along * long_, long_, high - low).ring;
    const auto step = ring ? Squared(*ring) : std::nullopt;
    // Where a mount stands the ring has more metal.
    if (step && (!first || step->ring.metal < first->ring.metal)) first = step;
  }
  return first;
}

TubeStep RingFollower::Last(const TubeStep& from) const {
  TubeStep before = from;
  TubeStep last = from;
  Vec3 at = from.ring.centre;
  Vec3 way = from.way;
  Vec3 gone = way;
  bool missed = false;
  for (int i = 0; i < kMostSteps; ++i) {
    at += step_ * way;
    const MeshSection section = sections_.At(at, way, std::sqrt(last.ring.filled));
    if (!section.any) break;
    if (!section.ring || !(missed ? ComesBack(last.ring, *section.ring)
                                  : GoesOn(last.ring, *section.ring, kGoesOn))) {
      missed = true;
      continue;
    }
    const Vec3 here = (section.ring->centre - last.ring.centre).normalized();
    way = missed ? here : Vec3((2.0 * here - gone).normalized());  // it goes on turning
    gone = here;
    before = missed ? TubeStep{*section.ring, way} : last;
    last = {*section.ring, way};
    at = last.ring.centre;
    missed = false;
  }
  return Finely(before, last);
}

/// Goes on from the last ring in fine steps, as long as the areas change as they did.
TubeStep RingFollower::Finely(const TubeStep& before, const TubeStep& last) const {
  const double apart = (last.ring.centre - before.ring.centre).norm();
  const double fill = apart > 0.0 ? (last.ring.filled - before.ring.filled) / apart : 0.0;
  const double metal = apart > 0.0 ? (last.ring.metal - before.ring.metal) / apart : 0.0;
  TubeStep here = last;
  for (double gone = kFineStep; gone < 1.5 * step_; gone += kFineStep) {
    const MeshSection section =
        sections_.At(last.ring.centre + gone * last.way, last.way, std::sqrt(last.ring.filled));
    RingSection expected = last.ring;
    expected.filled += gone * fill;
    expected.metal += gone * metal;
    if (!section.ring || !GoesOn(expected, *section.ring, kGoesOnFine)) break;
    here = {*section.ring, last.way};
  }
  return here;
}

}  // namespace holeward
