#include "models/error_shares.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "geometry/drill.h"
#include "models/site_worst.h"

namespace holeward {
namespace {

constexpr std::uint64_t kVariancePoses = 2000;

std::string Half(const HalfWidth& half, double unit, const char* name) {
  if (half.minus == half.plus) return fmt::format("±{:.4g} {}", half.plus / unit, name);
  return fmt::format("−{:.4g} / +{:.4g} {}", half.minus / unit, half.plus / unit, name);
}

double Most(const PlacedPoint& placed, double ZoneMakeup::*part) {
  double most = placed.zone.makeup.*part;
  for (const NominalPlace& nominal : placed.nominals) {
    most = std::max(most, nominal.zone.makeup.*part);
  }
  return most;
}

/// The error in words; empty if it plays no part.
std::string InWords(ErrorSource source, const SharesOfWhat& what) {
  const Marking& m = what.as_is.job.marking;
  const PlacedPoint& placed = what.as_is.placed;
  const auto moves = [&](const char* name, double ZoneMakeup::*part) -> std::string {
    const double most = Most(placed, part);
    return most > 0.0 ? fmt::format("{}, up to {:.1f} mm", name, most) : "";
  };
  switch (source) {
    case ErrorSource::spread:
      if (placed.nominals.size() < 2) return "";
      return fmt::format("ways to read the rule, {:.1f} mm apart", placed.reading_spread);
    case ErrorSource::readings: return moves("reading the rule", &ZoneMakeup::readings_radius);
    case ErrorSource::datum: return moves("the points it is read from", &ZoneMakeup::datum);
    case ErrorSource::punch: return moves("centre punch", &ZoneMakeup::punch);
    case ErrorSource::sheet: return moves("placing the template", &ZoneMakeup::sheet);
    case ErrorSource::tilt:
      if (m.tilt_rad.Greatest() <= 0.0) return "";
      return fmt::format("tilt of the drill, {:.4g}°", m.tilt_rad.Greatest() / kDegree);
    case ErrorSource::wall:
      return m.wall.Greatest() > 0.0 ? "wall thickness, " + Half(m.wall, 1.0, "mm") : "";
    case ErrorSource::outline:
      return m.outline.Greatest() > 0.0 ? "outside size, " + Half(m.outline, 1.0, "mm") : "";
    case ErrorSource::inner_body:
      if (what.ready.part.inner.empty() || m.inner_body.Greatest() <= 0.0) return "";
      return fmt::format("where the inner body lies, {:.4g} mm any way", m.inner_body.Greatest());
    case ErrorSource::depth:
      if (!what.check.stop) {
        return m.run_on > 0.0 ? fmt::format("run-on without a stop, {:.4g} mm", m.run_on) : "";
      }
      return m.depth.Greatest() > 0.0 ? "setting of the stop, " + Half(m.depth, 1.0, "mm") : "";
  }
  return "";
}

/// Takes one error out of a variant.
void TakeOut(ErrorSource source, HoleVariant& variant) {
  Marking& m = variant.job.marking;
  const auto shrink = [&](double ZoneMakeup::*part) {
    ShrinkZones(
        variant.placed, [part](ZoneMakeup& z) -> double& { return z.*part; }, 0.0);
  };
  switch (source) {
    case ErrorSource::spread:
      if (!variant.placed.nominals.empty()) variant.placed.nominals.resize(1);
      break;
    case ErrorSource::readings: shrink(&ZoneMakeup::readings_radius); break;
    case ErrorSource::datum: shrink(&ZoneMakeup::datum); break;
    case ErrorSource::punch: shrink(&ZoneMakeup::punch); break;
    case ErrorSource::sheet: shrink(&ZoneMakeup::sheet); break;
    case ErrorSource::tilt: m.tilt_rad = {}; break;
    case ErrorSource::wall: m.wall = {}; break;
    case ErrorSource::outline: m.outline = {}; break;
    case ErrorSource::inner_body: m.inner_body = {}; break;
    case ErrorSource::depth:
      m.depth = {};
      m.run_on = 0.0;
      break;
  }
}

/// The worst depths of a variant with fewer errors than `what` has, among `obstacles`.
WorstDepths WorstOfFewer(const HoleVariant& variant, const SharesOfWhat& what, const Drill& drill,
                         const std::vector<Obstacle>& obstacles) {
  HoleSite site{variant.job, what.ready.scene, what.ready.part, what.ready.surroundings,
                variant.row, variant.placed,   what.ready.axis, {}};
  if (what.check.stop) {
    // Set by a stop, the margin does not hang on where the drill breaks through. Fewer errors,
    // fewer poses and less metal: what is proven with all of them is where the search begins.
    ProvenDepths proven;
    proven.through = what.check.breakthrough_worst;
    proven.free = *what.check.free_depth_worst;
    if (const auto& worst = what.check.worst_pose) proven.worst = {worst->entry, worst->direction};
    return WorstFreeOfSite(site, obstacles, drill, proven);
  }
  const auto ready = MakeSite(site);
  if (ready) return WorstOfSite(*ready, obstacles, drill, variant.job.limits.side);
  WorstDepths none;
  none.failure = ready.error().message;
  return none;
}

/// The certified worst margin with one error at zero.
std::optional<double> MarginWithout(ErrorSource source, const SharesOfWhat& what) {
  const HoleCheck& check = what.check;
  if (!check.margin || !check.free_depth || !check.free_depth_worst) return std::nullopt;
  if (source == ErrorSource::depth) {
    // Nothing else depends on it: the drill stops where it is set, or once it has broken through.
    return std::min(*check.free_depth_worst - check.stop.value_or(check.breakthrough_worst),
                    *check.free_depth - check.stop.value_or(check.breakthrough));
  }
  HoleVariant variant = what.as_is;
  TakeOut(source, variant);
  const auto drill = Drill::Of(variant.job.drill, check.diameter);
  if (!drill) return std::nullopt;
  // All that any pose with every error reaches, and no deeper than the intended one.
  std::vector<Obstacle> obstacles =
      ObstaclesOf(what.ready, check.diameter, *check.free_depth).obstacles;
  ChangeErrors(what.ready.job.marking, variant.job.marking, obstacles);
  const WorstDepths worst = WorstOfFewer(variant, what, *drill, obstacles);
  if (!worst.ok()) return std::nullopt;
  const Marking& left = variant.job.marking;
  const double deepest =
      check.stop ? *check.stop + left.depth.plus : worst.breakthrough + left.run_on;
  return std::min(worst.lower - deepest, *check.margin);
}

std::vector<double> VariancesOf(const PosedHole& posed, std::uint64_t seed) {
  const std::vector<double> nominal = posed.sampler().Nominal();
  return VarianceAlone(kErrorSources, kVariancePoses, [&](std::uint64_t pose, std::size_t error) {
    std::vector<double> numbers = nominal;
    posed.sampler().DrawOne(static_cast<ErrorSource>(error), seed, pose, numbers);
    return posed.Margin(numbers);
  });
}

}  // namespace

Result<SteadySurroundings> SteadySurroundings::Make(const Scene& scene, const Marking& marking,
                                                    double left) {
  const auto without = [&](HalfWidth Marking::*error) {
    Marking steady = marking;
    steady.*error = {left * (marking.*error).minus, left * (marking.*error).plus};
    return Surroundings::Make(scene, steady);
  };
  auto wall = without(&Marking::wall);
  if (!wall) return tl::unexpected(wall.error());
  auto outline = without(&Marking::outline);
  if (!outline) return tl::unexpected(outline.error());
  auto inner_body = without(&Marking::inner_body);
  if (!inner_body) return tl::unexpected(inner_body.error());
  return SteadySurroundings{std::move(*wall), std::move(*outline), std::move(*inner_body)};
}

std::vector<MarginShare> SharesOf(const SharesOfWhat& what, std::uint64_t seed) {
  std::vector<MarginShare> shares;
  std::vector<double> variances(kErrorSources, 0.0);
  if (what.posed != nullptr) variances = VariancesOf(*what.posed, seed);
  for (std::size_t i = 0; i < kErrorSources; ++i) {
    const auto source = static_cast<ErrorSource>(i);
    MarginShare share;
    share.words = InWords(source, what);
    if (share.words.empty()) continue;
    share.error = source == ErrorSource::depth && !what.check.stop ? "run_on" : Word(source);
    share.variance = variances[i];
    share.margin_without = MarginWithout(source, what);
    if (share.margin_without && what.check.margin_worst) {
      // Fewer errors, fewer poses and less metal: the bound with all of them holds as well.
      *share.margin_without = std::max(*share.margin_without, *what.check.margin_worst);
      share.gain = *share.margin_without - *what.check.margin_worst;
    }
    shares.push_back(std::move(share));
  }
  FillVarianceShares(shares);
  std::stable_sort(shares.begin(), shares.end(),
                   [](const MarginShare& a, const MarginShare& b) { return a.gain > b.gain; });
  return shares;
}

}  // namespace holeward
