#include "models/hole_settings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "models/placing.h"

namespace holeward {
namespace {

// A drill started further off the normal than this wanders on a smooth skin (common practice, no
// source).
constexpr double kGuideFrom = 15.0 * kDegree;
// Drills a workshop has (common practice, no source).
constexpr std::array<double, 19> kCommonSizes{2.0, 2.5, 3.0, 3.3, 3.5, 4.0, 4.2, 4.5,  5.0, 5.5,
                                              6.0, 6.5, 7.0, 7.5, 8.0, 8.5, 9.0, 10.0, 12.0};
constexpr std::array<double, 10> kSteps{1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 14.0, 20.0, 28.0, 40.0};

double StopDepth(const SettingsOfWhat& what) { return what.check.stop.value_or(0.0); }

double ProjectionOf(const SettingsOfWhat& what) {
  const std::vector<double>& all = what.as_is.job.drill.projection;
  return all[std::min(what.as_is.stage, all.size() - 1)];
}

/// Looks for changes that would do.
class Search {
 public:
  explicit Search(const SettingsOfWhat& what) : what_(what) {}

  std::vector<std::string> Run() {
    std::vector<std::string> found;
    const auto add = [&](std::string sentence) {
      if (!sentence.empty()) found.push_back(std::move(sentence));
    };
    add(SmallerDrill());
    add(OtherPoint());
    add(OtherAxis());
    add(OtherPlace());
    add(SteadierHand());
    if (found.empty()) {
      found.push_back(
          "Neither a smaller drill, nor another axis, nor a place within 40 mm along the rule, nor "
          "half of any one error would do.");
    }
    return found;
  }

 private:
  HoleVariant Changed() const {
    HoleVariant variant = what_.as_is;
    variant.row.stop = {};  // whatever stop it would take
    return variant;
  }
  bool Does(const HoleVariant& variant) const { return Does(variant, what_.surroundings); }
  bool Does(const HoleVariant& variant, const Surroundings& around) const {
    return KeepsLimits(CheckVariant(variant, what_.scene, what_.part, around), variant.job.limits);
  }

  std::string SmallerDrill() const {
    for (auto size = kCommonSizes.rbegin(); size != kCommonSizes.rend(); ++size) {
      if (*size >= what_.check.diameter) continue;
      HoleVariant variant = Changed();
      variant.row.drill[variant.stage] = *size;
      if (Does(variant)) return fmt::format("A smaller drill would do: Ø{:.1f}.", *size);
    }
    return "";
  }

  std::string OtherPoint() const {
    if (what_.as_is.job.drill.kind == DrillKind::step) {
      HoleVariant variant = Changed();
      variant.job.drill.kind = DrillKind::twist;
      if (Does(variant)) return "A twist drill in place of the step drill would do.";
    }
    for (const double angle : {130.0, 135.0, 140.0}) {
      HoleVariant variant = Changed();
      if (angle * kDegree <= variant.job.drill.point_angle_rad) continue;
      variant.job.drill.point_angle_rad = angle * kDegree;
      if (Does(variant)) return fmt::format("A blunter point would do: {:.0f}°.", angle);
    }
    return "";
  }

  std::string OtherAxis() const {
    for (const double lean : {0.0, 5.0, 10.0, 15.0, 20.0}) {
      for (const char* toward : {"up", "down", "front", "rear", "inboard", "outboard"}) {
        HoleVariant variant = Changed();
        if (lean == 0.0 && variant.row.axis.kind == AxisRow::Kind::normal) break;
        variant.row.axis = {};
        if (lean > 0.0) variant.row.axis = {AxisRow::Kind::lean, toward, lean * kDegree};
        if (Does(variant)) {
          return lean == 0.0
                     ? "Drilled square to the skin it would do."
                     : fmt::format("Drilled leaning {:.0f}° toward {} it would do.", lean, toward);
        }
        if (lean == 0.0) break;
      }
    }
    return "";
  }

  /// Nearest value, in steps, of either reading at which it would be clear.
  std::string OtherPlace() const {
    for (const double step : kSteps) {
      for (std::size_t i = 0; i < 2; ++i) {
        for (const double sign : {1.0, -1.0}) {
          const std::string found = Moved(i, sign * step);
          if (!found.empty()) return found;
        }
      }
    }
    return "";
  }

  std::string Moved(std::size_t measure, double by) const {
    HoleVariant variant = Changed();
    MeasureRow& row = variant.row.rule[measure];
    const bool reads = row.method == Method::tape || row.method == Method::rule ||
                       row.method == Method::square || row.method == Method::protractor;
    if (!reads) return "";
    // A degree or two of the protractor in place of a millimetre.
    const bool angle = row.method == Method::protractor;
    row.value += angle ? by * kDegree : by;
    if (row.value <= 0.0) return "";
    // Only this point and those it may be read from, placed afresh. What would do is looked at once
    // more among all points: how far a template reaches hangs on every one it shows.
    if (!DoesMoved(variant, false) || !DoesMoved(variant, true)) return "";
    return fmt::format(
        "The nearest place on the rule at which it would do: {} {:.4g} {} instead of {:.4g} {}; "
        "check its edges and seat too.",
        angle ? "protractor" : "reading", row.value / (angle ? kDegree : 1.0), angle ? "°" : "mm",
        what_.as_is.row.rule[measure].value / (angle ? kDegree : 1.0), angle ? "°" : "mm");
  }

  /// True if a point whose rule was changed would do where it comes to lie.
  bool DoesMoved(HoleVariant& variant, bool among_all) const {
    Job job = what_.job;
    const auto own = std::find_if(job.points.begin(), job.points.end(), [&](const PointRow& point) {
      return point.name == variant.row.name;
    });
    if (own == job.points.end()) return false;
    *own = variant.row;
    if (!among_all) job.points.erase(own + 1, job.points.end());
    const Placing placing = PlacePoints(job, what_.scene, what_.side);
    const PlacedPoint* placed = FindPlaced(placing.points, variant.row.name);
    if (placed == nullptr) return false;
    variant.placed = *placed;
    return Does(variant);
  }

  /// Errors half of which would be small enough.
  std::string SteadierHand() const {
    std::vector<std::string> words;
    const auto zone = [&](const char* name, const std::function<double&(ZoneMakeup&)>& part) {
      HoleVariant variant = Changed();
      ShrinkZones(variant.placed, part, 0.5);
      if (Does(variant)) words.push_back(name);
    };
    const auto halved = [](const HalfWidth& half) {
      return HalfWidth{0.5 * half.minus, 0.5 * half.plus};
    };
    const auto error = [&](const char* name, HalfWidth Marking::*half, const Surroundings& around) {
      HoleVariant variant = Changed();
      variant.job.marking.*half = halved(variant.job.marking.*half);
      if (Does(variant, around)) words.push_back(name);
    };
    zone("reading the rule", [](ZoneMakeup& z) -> double& { return z.readings_radius; });
    error("tilt (a drill guide)", &Marking::tilt_rad, what_.surroundings);
    error("the depth setting", &Marking::depth, what_.surroundings);
    if (const SteadySurroundings* around = what_.halved()) {
      error("the wall thickness (measure it)", &Marking::wall, around->wall);
      error("the outside size (measure it)", &Marking::outline, around->outline);
      error("where the inner body lies (measure it)", &Marking::inner_body, around->inner_body);
    }
    if (words.empty()) return "";
    return fmt::format("Half the error would do, of any one of: {}.", fmt::join(words, "; "));
  }

  const SettingsOfWhat& what_;
};

void OnStops(const SettingsOfWhat& what, const StopRange& stops, std::vector<std::string>& advice) {
  if (!stops.any()) {
    advice.push_back(fmt::format(
        "No stop will do: to go through in every case it must be set at {:.1f} mm or more, to keep "
        "{:.1f} mm clear at {:.1f} mm or less.",
        stops.least, what.as_is.job.limits.clearance, stops.greatest));
    return;
  }
  if (!what.check.stop) {
    advice.push_back(
        fmt::format("Use a depth stop: {:.1f} to {:.1f} mm goes through and keeps the limit in "
                    "every case.",
                    stops.least, stops.greatest));
    return;
  }
  const double stop = StopDepth(what);
  const bool within = stop >= stops.least - 0.05 && stop <= stops.greatest + 1e-9;
  advice.push_back(fmt::format(
      "{} {:.1f} to {:.1f} mm goes through and keeps the limit in every case; {:.1f} mm is set.",
      within ? "Depth stop:" : "Change the depth stop:", stops.least, stops.greatest, stop));
}

}  // namespace

std::optional<StopRange> StopsOf(const HoleCheck& check, const Job& job, double horizon) {
  if (!check.stop_needed) return std::nullopt;
  const double free = std::min(check.free_depth_worst.value_or(horizon), horizon);
  StopRange stops;
  stops.least = std::ceil(*check.stop_needed * 10.0 - 1e-6) / 10.0;
  stops.greatest =
      std::floor((free - job.limits.clearance - job.marking.depth.plus) * 10.0 + 1e-6) / 10.0;
  return stops;
}

std::optional<double> LeanOf(const SettingsOfWhat& what) {
  const Vec3& normal = what.as_is.placed.normal;
  const auto axis = AxisOf(what.as_is.row.axis, what.as_is.job.described_side, normal);
  if (!axis) return std::nullopt;
  const Vec3 direction = (*axis)(normal);
  return std::atan2(direction.cross(normal).norm(), -direction.dot(normal));
}

std::vector<std::string> AdviceOn(const SettingsOfWhat& what,
                                  const std::optional<StopRange>& stops) {
  std::vector<std::string> advice;
  if (stops) OnStops(what, *stops, advice);
  if (what.check.stop) {
    const double projection = ProjectionOf(what);
    const double length = projection - StopDepth(what);
    advice.push_back(
        length > 0.0
            ? fmt::format("A spacer tube in place of the collar: {:.1f} mm long ({:.1f} mm of "
                          "drill showing less the stop).",
                          length, projection)
            : fmt::format("The drill shows only {:.1f} mm from the chuck: too short for this stop.",
                          projection));
  }
  const auto lean = LeanOf(what);
  if (lean && *lean > kGuideFrom) {
    advice.push_back(fmt::format(
        "It starts {:.0f}° off the skin's normal: a drill guide is needed.", *lean / kDegree));
  }
  if (stops && !stops->any()) {
    for (std::string& sentence : Search(what).Run()) advice.push_back(std::move(sentence));
  }
  return advice;
}

}  // namespace holeward
