#include "geometry/drill.h"

#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "geometry/vec.h"

namespace holeward {

Result<Drill> Drill::Twist(double diameter, double point_angle_rad) {
  return Step(diameter, point_angle_rad, {});
}

Result<Drill> Drill::Step(double diameter, double point_angle_rad,
                          const std::vector<DrillStep>& steps) {
  if (!std::isfinite(diameter) || diameter <= 0.0) {
    return Fail(ErrorKind::job, fmt::format("a drill of diameter {} mm does not exist", diameter));
  }
  if (!std::isfinite(point_angle_rad) || point_angle_rad <= 0.0 || point_angle_rad >= kPi) {
    return Fail(ErrorKind::job,
                fmt::format("a drill's point angle is between 0 and 180 degrees, not {}",
                            point_angle_rad / kDegree));
  }
  const double cot = 1.0 / std::tan(0.5 * point_angle_rad);
  Drill drill;
  double radius = 0.0;
  double behind = 0.0;
  const auto add = [&](double to) {
    const bool tip = drill.early_.empty();
    drill.early_.push_back({radius, to, behind, tip ? cot : 0.0});
    drill.late_.push_back({radius, to, behind, cot});
    radius = to;
  };
  for (const DrillStep& step : steps) {
    if (!std::isfinite(step.diameter) || !std::isfinite(step.length) || step.length <= 0.0) {
      return Fail(ErrorKind::job, fmt::format("a step of {} mm, {} mm long, does not exist",
                                              step.diameter, step.length));
    }
    if (0.5 * step.diameter <= radius || step.diameter >= diameter) break;
    add(0.5 * step.diameter);
    behind += step.length;
  }
  add(0.5 * diameter);
  return drill;
}

Result<Drill> Drill::Of(const DrillTool& tool, double diameter) {
  if (tool.kind == DrillKind::step) return Step(diameter, tool.point_angle_rad, tool.steps);
  return Twist(diameter, tool.point_angle_rad);
}

double Drill::On(const std::vector<Rise>& rises, double r) {
  double behind = 0.0;
  for (const Rise& rise : rises) {
    // Where a long shoulder cone reaches past the next step the drill is only as wide as the cone.
    if (r <= rise.to)
      return std::max(behind, rise.behind + std::max(r - rise.from, 0.0) * rise.cot);
    behind = std::max(behind, rise.behind + (rise.to - rise.from) * rise.cot);
  }
  return std::numeric_limits<double>::infinity();
}

Drill Drill::Widened(double by) const {
  Drill wide = *this;
  if (is_cone()) {
    wide.early_.back().to += by;
    wide.late_.back().to += by;
    return wide;
  }
  const double full = radius();
  wide.early_.push_back({full, full + by, Behind(full), cot()});
  wide.late_.push_back({full, full + by, BehindLate(full), cot()});
  return wide;
}

}  // namespace holeward
