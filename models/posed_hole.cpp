#include "models/posed_hole.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/drill.h"

namespace holeward {
namespace {

// Bounds of a pose this near each other are good enough for a distribution printed to 0.1 mm; the
// lower one is taken, so a margin is never too good.
constexpr double kGap = 0.01;
// What the table of the skin leaves, mm.
constexpr double kSlack = 0.005;
constexpr std::size_t kMostNumbers = 14 + 2 * DrawnPose::kMostInner;

PoseRegion Completed(PoseRegion region, const HoleSite& ready, double radius) {
  const Marking& marking = ready.job.marking;
  region.radius = radius;
  region.side = ready.job.limits.side;
  region.horizon = ready.surroundings.diagonal();
  region.wall = marking.wall.Greatest();
  region.outline = marking.outline.Greatest();
  region.inner = marking.inner_body.Greatest();
  return region;
}

/// True if what the bounds say of the least depth holds.
bool Holds(const PoseBounds& bounds) {
  return bounds.ok() || bounds.outcome == PoseOutcome::not_settled;
}

}  // namespace

Result<HoleKernels> HoleKernels::Make(const HoleSite& ready, const PoseSampler& sampler,
                                      double radius) {
  HoleKernels made;
  made.radius = radius;
  const std::vector<Obstacle> obstacles = ObstaclesOf(ready, 2.0 * radius).obstacles;
  const auto add = [&](const PoseRegion& region) {
    made.kernels.push_back(PoseKernel::Make(obstacles, Completed(region, ready, radius)));
    return made.kernels.back().ok();
  };
  if (add(sampler.RegionOfAll())) return made;
  const std::string why = made.kernels.back().failure();
  made.kernels.clear();
  for (std::size_t i = 0; i < sampler.nominal_count(); ++i) {
    if (sampler.nominal_count() == 1 || !add(sampler.RegionOf(i))) {
      return Fail(ErrorKind::computed, why);
    }
  }
  return made;
}

Result<PosedHole> PosedHole::Make(const HoleSite& ready, const HoleCheck& check,
                                  const HoleKernels* kernels) {
  const auto drill = Drill::Of(ready.job.drill, check.diameter);
  if (!drill) return tl::unexpected(drill.error());
  auto sampler = PoseSampler::Make(ready, check.stop.has_value());
  if (!sampler) return tl::unexpected(sampler.error());
  PosedHole hole(std::move(*sampler), PoseDrill::Of(*drill, ready.job.limits.side));
  hole.stop_ = check.stop;
  hole.margin_worst_ = check.margin_worst;
  hole.horizon_ = ready.surroundings.diagonal();
  if (kernels != nullptr && kernels->radius >= drill->radius()) {
    hole.kernels_ = *kernels;
    return hole;
  }
  auto own = HoleKernels::Make(ready, hole.sampler_, drill->radius());
  if (!own) return tl::unexpected(own.error());
  hole.kernels_ = std::move(*own);
  return hole;
}

PoseBounds PosedHole::BoundsOf(const DrawnPose& drawn, const PoseQuestion& question) const {
  const std::vector<PoseKernel>& all = kernels_.kernels;
  const PoseKernel& kernel = all[all.size() == 1 ? 0 : drawn.nominal];
  const PoseErrors errors{drawn.wall, drawn.outline,
                          std::span<const Vec3>(drawn.inner.data(), drawn.inner_count)};
  return kernel.Evaluate(drawn.pose, drill_, errors, question);
}

PoseBounds PosedHole::QuickBoundsOf(const DrawnPose& drawn) const {
  PoseQuestion question;
  question.gap = kGap;
  question.refine = false;
  question.breakthrough = !stop_.has_value();
  PoseBounds bounds = BoundsOf(drawn, question);
  const double depth = DepthOf(drawn, bounds);
  if (!Holds(bounds) || bounds.free_lower >= depth || bounds.free_upper < depth) return bounds;
  // Whether it is met is not settled yet.
  question.refine = true;
  question.needed = depth;
  return BoundsOf(drawn, question);
}

double PosedHole::DepthOf(const DrawnPose& drawn, const PoseBounds& bounds) const {
  return (stop_ ? *stop_ : bounds.breakthrough_upper) + drawn.depth;
}

PoseMargin PosedHole::Of(const DrawnPose& drawn) const {
  PoseQuestion question;
  question.gap = kGap;
  question.breakthrough = !stop_.has_value();
  const PoseBounds bounds = BoundsOf(drawn, question);
  PoseMargin margin;
  margin.depth = DepthOf(drawn, bounds);
  margin.free_depth = std::min(bounds.free_lower, horizon_);
  margin.margin = Holds(bounds) ? margin.free_depth - margin.depth : std::nan("");
  margin.at_most = AtMostOf(drawn, bounds);
  margin.body = kernels_.kernels.front().BodyName(bounds);
  return margin;
}

double PosedHole::Margin(std::span<const double> numbers) const {
  const DrawnPose drawn = sampler_.Draw(numbers);
  const PoseBounds bounds = QuickBoundsOf(drawn);
  if (!Holds(bounds)) return std::nan("");
  const double margin = std::min(bounds.free_lower, horizon_) - DepthOf(drawn, bounds);
  if (!margin_worst_ || margin >= *margin_worst_) return margin;
  const bool below = AtMostOf(drawn, bounds) < *margin_worst_ - kSlack;
  return below ? margin : *margin_worst_;
}

double PosedHole::AtMost(std::span<const double> numbers) const {
  const DrawnPose drawn = sampler_.Draw(numbers);
  return AtMostOf(drawn, QuickBoundsOf(drawn));
}

double PosedHole::AtMostOf(const DrawnPose& drawn, const PoseBounds& bounds) const {
  if (!bounds.ok()) return std::numeric_limits<double>::infinity();
  return bounds.free_upper - (stop_ ? *stop_ : bounds.breakthrough_lower) - drawn.depth;
}

double PosedHole::MarginOf(std::uint64_t seed, std::uint64_t pose) const {
  std::array<double, kMostNumbers> numbers;
  const std::span<double> own(numbers.data(), sampler_.size());
  sampler_.NumbersOfPose(seed, pose, own);
  return Margin(own);
}

double PosedHole::SlowShare(std::uint64_t seed) const {
  constexpr std::uint64_t kTried = 64;
  std::uint64_t slow = 0;
  std::vector<double> numbers(sampler_.size());
  for (std::uint64_t pose = 0; pose < kTried; ++pose) {
    sampler_.NumbersOfPose(seed, pose, numbers);
    slow += QuickBoundsOf(sampler_.Draw(numbers)).refined ? 1 : 0;
  }
  return static_cast<double>(slow) / kTried;
}

namespace {

/// Goes down from a pose, one number at a time, by ever smaller steps.
FoundPose Descend(const PosedHole& hole, FoundPose found) {
  constexpr double kFirstStep = 0.25;
  constexpr double kLastStep = 0.002;
  const auto moves_down = [&](std::size_t i, double by) {
    std::vector<double> numbers = found.numbers;
    numbers[i] = std::clamp(numbers[i] + by, 0.0, 1.0);
    // At its end already, as most errors of a worst pose are.
    if (numbers[i] == found.numbers[i]) return false;
    const double margin = hole.AtMost(numbers);
    if (!(margin < found.margin)) return false;
    found = {std::move(numbers), margin};
    return true;
  };
  for (double step = kFirstStep; step > kLastStep; step *= 0.5) {
    for (std::size_t i = 0; i < found.numbers.size(); ++i) {
      if (!moves_down(i, step)) moves_down(i, -step);
    }
  }
  return found;
}

}  // namespace

FoundPose WorstFrom(const PosedHole& hole, const std::vector<std::vector<double>>& starts) {
  constexpr std::size_t kFollowed = 2;
  std::vector<FoundPose> found;
  for (const std::vector<double>& start : starts) {
    FoundPose at{start, hole.AtMost(start)};
    if (std::isfinite(at.margin)) found.push_back(std::move(at));
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const FoundPose& a, const FoundPose& b) { return a.margin < b.margin; });
  if (found.size() > kFollowed) found.resize(kFollowed);
  FoundPose worst;
  worst.margin = std::numeric_limits<double>::infinity();
  for (const FoundPose& start : found) {
    FoundPose down = Descend(hole, start);
    if (down.margin < worst.margin) worst = std::move(down);
  }
  return worst;
}

}  // namespace holeward
