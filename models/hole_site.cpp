#include "models/hole_site.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "models/part_words.h"

namespace holeward {
namespace {

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// Everything a drill of `radius` can occupy in any pose of a site, passing beside included;
/// nothing where it leans too far to say. No tip goes beyond `deepest` (mm). An axis keeps its line
/// however far along itself it starts: a cone's rise is a matter of height alone. What is across a
/// leaning cone's axis is partly height.
std::optional<PosesReach> ReachOf(const HoleSite& ready, double radius, double deepest) {
  PosesReach all;
  const Vec3 direction = ready.axis(ready.placed.normal).normalized();
  if (!direction.allFinite() || !ready.placed.position.allFinite()) return std::nullopt;
  all.frame = AxisFrame::At(ready.placed.position, direction);
  Reach& reach = all.reach;
  for (const std::vector<PoseCone>& zone : ready.poses) {
    for (const PoseCone& cone : zone) {
      const Vec3 entry = all.frame.ToLocal(cone.pose.entry);
      const double angle = AngleBetween(cone.pose.direction, direction);
      if (!std::isfinite(entry.norm() + angle + cone.place + cone.rise + cone.tilt)) {
        return std::nullopt;
      }
      const double turned = std::sin(std::min(angle, 0.5 * kPi));
      reach.place = std::max(reach.place, entry.head<2>().norm() + cone.place);
      reach.rise = std::max(reach.rise, std::abs(entry.z()) + cone.rise + cone.place * turned);
      reach.tilt = std::max(reach.tilt, angle + cone.tilt);
    }
  }
  reach.radius = radius + ready.job.limits.side;
  if (reach.tilt >= 60.0 * kDegree) return std::nullopt;
  deepest = std::min(deepest, ready.surroundings.diagonal());
  all.farthest = reach.Ahead(deepest);
  return all;
}

}  // namespace

Result<AxisRule> AxisOf(const AxisRow& axis, Side described_side, const Vec3& normal) {
  if (axis.kind == AxisRow::Kind::normal) {
    return AxisRule([](const Vec3& n) { return Vec3(-n); });
  }
  const auto toward = DirectionOf(axis.direction, described_side);
  if (!toward) {
    return Fail(ErrorKind::job,
                fmt::format("'{}' is not a direction the tip can travel", axis.direction));
  }
  AxisRule rule;
  if (axis.kind == AxisRow::Kind::direction) {
    rule = [d = *toward](const Vec3&) { return d; };
  } else {
    rule = [d = *toward, lean = axis.lean_rad](const Vec3& n) {
      const Vec3 across = d - n * n.dot(d);
      return Vec3(-std::cos(lean) * n + std::sin(lean) * across.normalized());
    };
    if (Vec3(*toward - normal * normal.dot(*toward)).norm() < 0.1) {
      return Fail(ErrorKind::job,
                  fmt::format("a lean toward '{}' says nothing here: the skin faces that way",
                              axis.direction));
    }
  }
  if (rule(normal).dot(normal) > -0.1) {
    return Fail(ErrorKind::job,
                fmt::format("drilled '{}' the tip does not go into the part here", axis.direction));
  }
  return rule;
}

std::vector<NominalPlace> ZonesToJudge(const PlacedPoint& placed) {
  std::vector<NominalPlace> zones;
  std::vector<NominalPlace> all = placed.nominals;
  if (all.empty()) all.push_back({placed.place, placed.position, placed.normal, placed.zone, ""});
  for (const NominalPlace& nominal : all) {
    bool held = false;
    for (NominalPlace& zone : zones) {
      const double needed = (nominal.position - zone.position).norm() + nominal.zone.radius;
      if (!(needed <= zone.zone.radius + 0.05)) continue;
      zone.zone.radius = std::max(zone.zone.radius, needed);
      zone.zone.bounded = zone.zone.bounded && nominal.zone.bounded;
      held = true;
      break;
    }
    if (!held) zones.push_back(nominal);
  }
  return zones;
}

Result<HoleSite> MakeSite(HoleSite site) {
  const auto axis = AxisOf(site.row.axis, site.job.described_side, site.placed.normal);
  if (!axis) return tl::unexpected(axis.error());
  site.axis = *axis;
  for (const NominalPlace& zone : ZonesToJudge(site.placed)) {
    if (!zone.zone.bounded) {
      return Fail(ErrorKind::computed,
                  "the marking zone could not be bounded, so nothing about this hole is proven");
    }
    auto cones = ConesOver(*site.part.skin, zone, zone.zone.radius,
                           site.job.marking.tilt_rad.Greatest(), site.axis);
    if (!cones) return tl::unexpected(cones.error());
    site.poses.push_back(std::move(*cones));
  }
  return site;
}

std::vector<const Lap*> LapsMet(const HoleSite& site, double radius) {
  std::vector<const Lap*> met;
  if (site.part.laps.empty()) return met;
  const std::vector<NominalPlace> zones = ZonesToJudge(site.placed);
  for (const Lap& lap : site.part.laps) {
    const bool is_met = std::any_of(zones.begin(), zones.end(), [&](const NominalPlace& zone) {
      // From the entry no drill goes deeper than half way round the section.
      const double deep = 0.5 * site.part.skin->Perimeter(zone.place.u);
      const double lean =
          AngleBetween(site.axis(zone.normal), -zone.normal) + site.job.marking.tilt_rad.Greatest();
      const double aside =
          zone.zone.radius + radius + deep * std::tan(std::min(lean, 80.0 * kDegree));
      const double station = site.part.skin->StationOf(zone.place.u);
      return station + aside >= lap.from && station - aside <= lap.to;
    });
    if (is_met) met.push_back(&lap);
  }
  return met;
}

NearObstacles ObstaclesOf(const HoleSite& ready, double diameter, double deepest) {
  NearObstacles near =
      ready.surroundings.ForDrill(ready.part.name, ReachOf(ready, 0.5 * diameter, deepest));
  for (const Lap* lap : LapsMet(ready, 0.5 * diameter)) {
    for (Obstacle& obstacle : near.obstacles) {
      if (obstacle.kind != ObstacleKind::wall) continue;
      obstacle.wall_error += lap->wall;
      obstacle.shift += lap->wall;
    }
  }
  return near;
}

}  // namespace holeward
