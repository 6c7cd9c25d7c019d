#include "models/hole_check.h"

#include <algorithm>
#include <cmath>
#include <exception>
#include <new>
#include <utility>

#include <fmt/format.h>

#include "geometry/access.h"
#include "geometry/clearance.h"
#include "geometry/drill.h"
#include "geometry/seat.h"
#include "models/part_words.h"
#include "models/site_worst.h"

namespace holeward {
namespace {

constexpr double kStopStep = 0.5;
// Everything reached is found by its box; what is reached with this to spare costs nothing, mm.
constexpr double kReachSpare = 1.0;

template <class T>
const T& OneAStage(const std::vector<T>& values, std::size_t stage) {
  return values[std::min(stage, values.size() - 1)];
}

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// Checks one stage, filling in a HoleCheck step by step.
class StageChecker {
 public:
  StageChecker(const Result<HoleSite>& ready, const HoleSite& site, std::size_t stage)
      : ready_(ready), site_(ready ? *ready : site), stage_(stage) {
    check_.point = site.placed.name;
    check_.part = site.part.name;
    check_.stage = static_cast<int>(stage) + 1;
    check_.diameter = site.row.drill[stage];
    check_.stop_from = site.row.stop.kind == StopRow::Kind::given      ? StopFrom::job
                       : site.row.stop.kind == StopRow::Kind::proposed ? StopFrom::proposed
                                                                       : StopFrom::none;
  }

  HoleCheck Run() {
    const bool measured = Measure();
    Access();
    Basis();
    if (measured) {
      check_.verdict = Worse(check_.verdict, Judge());
    } else {
      check_.outcome = Outcome::not_computed;
      check_.free_depth.reset();
      check_.first_contact.reset();
      check_.margin.reset();
      check_.margin_worst.reset();
      check_.stop_needed.reset();
      check_.free_depth_worst.reset();
      check_.worst_pose.reset();
      check_.through = false;
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
    }
    return check_;
  }

 private:
  void Because(std::string reason) { check_.reasons.push_back(std::move(reason)); }
  bool Fails(std::string reason) {
    Because(std::move(reason));
    return false;
  }

  /// Depths, stop and margins. False: not computed, for a reason given.
  bool Measure() {
    check_.verdict = Verdict::clear;
    if (site_.row.stop.kind == StopRow::Kind::given) {
      check_.stop = OneAStage(site_.row.stop.depth, stage_);
    }
    if (!ready_) return Fails(ready_.error().message);
    direction_ = site_.axis(site_.placed.normal).normalized();
    const auto drill = Drill::Of(site_.job.drill, check_.diameter);
    if (!drill) return Fails(drill.error().message);
    obstacles_ = ObstaclesOf(site_, check_.diameter).obstacles;
    laps_ = LapsMet(site_, 0.5 * check_.diameter);
    if (!Nominal(*drill)) return false;
    if (!Worst(*drill)) return false;
    if (!Stop()) return false;
    Margins();
    return true;
  }

  bool Nominal(const Drill& drill) {
    const Clearance nominal = ClearanceOf(obstacles_, {site_.placed.position, direction_}, drill,
                                          site_.job.limits.side, site_.surroundings.diagonal());
    if (!nominal.ok()) return Fails(nominal.failure);
    check_.near_wall = nominal.near_wall;
    check_.breakthrough = nominal.breakthrough;
    check_.outcome = nominal.contact ? Outcome::met : Outcome::nothing;
    if (nominal.contact) {
      // The worst pose meets something no deeper than this one does.
      obstacles_ = ObstaclesOf(site_, check_.diameter, nominal.contact->depth).obstacles;
      check_.free_depth = nominal.contact->depth;
      check_.first_contact = FirstContact{nominal.contact->body, nominal.contact->position};
    }
    return true;
  }

  bool Worst(const Drill& drill) {
    const WorstDepths worst = WorstOfSite(site_, obstacles_, drill, site_.job.limits.side);
    if (!worst.ok()) return Fails("over the stated errors: " + worst.failure);
    check_.breakthrough_worst = worst.breakthrough;
    if (std::isfinite(worst.lower)) check_.free_depth_worst = worst.lower;
    if (std::isfinite(worst.lower) && std::isfinite(worst.upper)) {
      check_.worst_pose = AttainedPose{worst.pose.entry, worst.pose.direction, worst.upper,
                                       worst.lower, worst.upper};
    }
    free_worst_ = worst.lower;
    worst_body_ = worst.body;
    return true;
  }

  /// How early a collar wider than the drill lands: leaning off the normal its rim comes down
  /// first, on a hollow skin it stands on the skin's rise.
  Result<double> CollarEarly() const {
    const double radius = 0.5 * site_.job.drill.collar.diameter;
    if (radius <= 0.5 * check_.diameter) return 0.0;
    double lean = 0.0;
    for (const NominalPlace& nominal : ZonesToJudge(site_.placed)) {
      // Turn of the skin under an axis that does not turn with it.
      double turn = 0.0;
      if (site_.row.axis.kind == AxisRow::Kind::direction) {
        const auto normals = ConesOver(*site_.part.skin, nominal, nominal.zone.radius, 0.0,
                                       [](const Vec3& normal) { return Vec3(-normal); });
        if (!normals) return tl::unexpected(normals.error());
        for (const PoseCone& cone : *normals) {
          turn = std::max(turn, AngleBetween(cone.pose.direction, -nominal.normal) + cone.tilt);
        }
      }
      lean = std::max(lean, AngleBetween(site_.axis(nominal.normal), -nominal.normal) + turn);
    }
    lean += site_.job.marking.tilt_rad.Greatest();
    if (lean >= 80.0 * kDegree) {
      return Fail(ErrorKind::computed, "the drill leans so far that its collar has no seat");
    }
    const auto seat = SeatOf(*site_.part.skin, site_.placed.place, site_.job.drill.collar.diameter);
    const double rise =
        seat ? std::max(0.0, seat->highest) : 0.0;  // where the skin turns away, none
    return radius * std::tan(lean) + rise;
  }

  bool Stop() {
    const Limits& limits = site_.job.limits;
    const Marking& marking = site_.job.marking;
    const auto early = CollarEarly();
    const double needed =
        check_.breakthrough_worst + limits.through + marking.depth.minus + (early ? *early : 0.0);
    if (early) check_.stop_needed = needed;
    if (check_.stop_from == StopFrom::none) {
      check_.stop.reset();
      check_.through = true;
      return true;
    }
    if (!early) return Fails(early.error().message);
    if (check_.stop_from == StopFrom::proposed) {
      check_.stop = kStopStep * std::ceil(needed / kStopStep - 1e-9);
    }
    check_.through = *check_.stop >= needed - 1e-6;
    if (!check_.through) {
      Because(fmt::format(
          "a stop at {:.1f} mm does not take the full diameter through by {:.1f} mm in every "
          "case; {:.1f} mm would",
          *check_.stop, limits.through, std::ceil(needed * 10.0 - 1e-6) / 10.0));
    }
    return true;
  }

  void Margins() {
    const Marking& marking = site_.job.marking;
    const bool stopped = check_.stop.has_value();
    const double deepest = stopped ? *check_.stop : check_.breakthrough + marking.run_on;
    deepest_worst_ =
        stopped ? *check_.stop + marking.depth.plus : check_.breakthrough_worst + marking.run_on;
    margin_worst_ = free_worst_ - deepest_worst_;
    if (check_.outcome != Outcome::met) return;
    check_.margin = *check_.free_depth - deepest;
    // The nominal pose is one of the poses; rounding must not say otherwise.
    margin_worst_ = std::min(margin_worst_, *check_.margin);
    check_.margin_worst = margin_worst_;
  }

  Verdict Judge() {
    Verdict verdict = Verdict::contact;
    if (margin_worst_ >= site_.job.limits.clearance) {
      verdict = Verdict::clear;
    } else if (margin_worst_ > 0.0) {
      verdict = Verdict::tight;
      Because(fmt::format("in the worst case only {:.1f} mm are left before {}",
                          Down(margin_worst_), worst_body_));
    } else {
      Because(fmt::format("in the worst case {} may be met", worst_body_));
    }
    if (check_.outcome == Outcome::nothing && verdict != Verdict::clear) {
      // Straight it meets nothing, leaning it may: there is no free depth to print a margin from.
      check_.outcome = Outcome::not_computed;
      verdict = Verdict::unproven;
    }
    if (site_.surroundings.IsTall(worst_body_)) {
      Because(fmt::format("the height of '{}' is not stated", worst_body_));
      verdict = verdict == Verdict::clear ? verdict : Verdict::unproven;
    }
    if (!check_.through || check_.access < 0.0) verdict = Worse(verdict, Verdict::tight);
    return verdict;
  }

  static double Down(double value) { return std::floor(value * 10.0) / 10.0; }

  /// Room for chuck, and nothing in the way of the drill's shank and collar.
  void Access() {
    const DrillTool& tool = site_.job.drill;
    const double depth =
        check_.stop ? *check_.stop : check_.breakthrough + site_.job.marking.run_on;
    const double showing = OneAStage(tool.projection, stage_) - depth;
    const Vec3 out = direction_.allFinite() ? Vec3(-direction_) : site_.placed.normal;
    const Vec3 mark = site_.placed.position;
    const ToolRoom chuck{mark + showing * out, out, 0.5 * tool.chuck.diameter, tool.chuck.length};
    check_.access = Room(chuck);
    if (showing > 0.0) InTheWay({mark, out, 0.5 * check_.diameter, showing}, "the drill");
    if (check_.stop && tool.collar.length > 0.0) {
      InTheWay({mark, out, 0.5 * tool.collar.diameter, tool.collar.length}, "the collar");
    }
    const holeward::Access tall = AccessOf(site_.surroundings.Tall(chuck).obstacles, chuck);
    if (tall.distance <= 0.0) {
      check_.access_known = false;
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
      Because(
          fmt::format("the height of '{}' is not stated and the chuck stands over it", tall.body));
    } else {
      check_.access = std::min(check_.access, tall.distance);
    }
  }

  double Room(const ToolRoom& tool) {
    const holeward::Access access =
        AccessOf(site_.surroundings.Outside(site_.part.name, true, tool).obstacles, tool);
    if (!access.failure.empty() || std::isnan(access.distance)) {
      check_.access_known = false;
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
      Because("access could not be computed: " + access.failure);
      return 0.0;
    }
    if (access.distance < 0.0) Because(fmt::format("'{}' is in the way of the chuck", access.body));
    if (site_.surroundings.IsAssumed(access.body) && access.body != site_.part.name) {
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
      Because(fmt::format("access rests on '{}', which is only assumed", access.body));
    }
    return std::min(access.distance, site_.surroundings.diagonal());
  }

  /// Only a real collision counts: how near the drill itself passes is the edge distance's matter.
  void InTheWay(const ToolRoom& tool, const char* what) {
    const holeward::Access access =
        AccessOf(site_.surroundings.Outside(site_.part.name, false, tool).obstacles, tool);
    if (!(access.distance < 0.0)) return;
    check_.access = std::min(check_.access, access.distance);
    Because(fmt::format("'{}' is in the way of {}", access.body, what));
  }

  void Basis() {
    const auto assumed = [&](const std::string& what) {
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
      Because(fmt::format("it rests on {}, which is only assumed", what));
    };
    if (site_.part.basis == holeward::Basis::assumed)
      assumed(fmt::format("part '{}'", site_.part.name));
    if (site_.part.wall_basis == holeward::Basis::assumed) {
      assumed(fmt::format("the wall of part '{}'", site_.part.name));
    }
    for (const UnprovenReach& reach : site_.part.unproven) {
      if (site_.placed.station < reach.from || site_.placed.station > reach.to) continue;
      check_.verdict = Worse(check_.verdict, Verdict::unproven);
      Because(fmt::format("it rests on {}", reach.why));
    }
    for (const Lap* lap : laps_) {
      Because(
          fmt::format("the second wall of '{}', {:.4g} mm, is counted where it enters and beyond",
                      lap->name, lap->wall));
      if (lap->basis == holeward::Basis::assumed) assumed(fmt::format("lap '{}'", lap->name));
    }
    for (const InnerBody& body : site_.part.inner) {
      if (body.basis == holeward::Basis::assumed)
        assumed(fmt::format("inner body '{}'", body.name));
    }
    for (const std::string& body :
         {worst_body_, check_.first_contact ? check_.first_contact->body : ""}) {
      if (!site_.surroundings.IsAssumed(body)) continue;
      assumed(fmt::format("'{}'", body));
      break;
    }
  }

  const Result<HoleSite>& ready_;
  const HoleSite& site_;
  std::size_t stage_;
  HoleCheck check_;
  std::vector<Obstacle> obstacles_;
  std::vector<const Lap*> laps_;
  Vec3 direction_ = Vec3::Constant(std::nan(""));
  double free_worst_ = std::numeric_limits<double>::infinity();
  std::string worst_body_;
  double margin_worst_ = 0.0;
  double deepest_worst_ = 0.0;
};

constexpr double kTiltSpare = 1e-3;

/// Everything a drill of `radius` can occupy in any pose of a site, passing beside included;
/// nothing where it leans too far to say. No tip goes beyond `deepest` (mm).
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
      const double turned = std::sin(std::min(angle, 0.5 * kPi));
      reach.place = std::max(reach.place, entry.head<2>().norm() + cone.place + cone.rise * turned);
      reach.rise = std::max(reach.rise, std::abs(entry.z()) + cone.rise + cone.place * turned);
      reach.tilt = std::max(reach.tilt, angle + cone.tilt);
    }
  }
  reach.place += kReachSpare;
  reach.rise += kReachSpare;
  reach.tilt += kTiltSpare;
  reach.radius = radius + ready.job.limits.side + kReachSpare;
  if (!(reach.tilt < 60.0 * kDegree) || !std::isfinite(reach.place + reach.rise)) {
    return std::nullopt;
  }
  deepest = std::min(deepest, ready.surroundings.diagonal());
  // The rim of a leaning drill is ahead of its tip by the last term at most.
  all.farthest = deepest / std::cos(reach.tilt) + reach.rise + reach.place +
                 reach.radius * std::sin(reach.tilt);
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

HoleCheck CheckStage(const Result<HoleSite>& ready, const HoleSite& site, std::size_t stage) {
  try {
    return StageChecker(ready, site, stage).Run();
  } catch (const std::bad_alloc&) {
    throw;  // says nothing about the hole: there is no result at all
  } catch (const std::exception& error) {
    HoleCheck check;
    check.point = site.placed.name;
    check.part = site.part.name;
    check.stage = static_cast<int>(stage) + 1;
    check.diameter = site.row.drill[stage];
    check.access_known = false;
    check.reasons.push_back(fmt::format("the check failed: {}", error.what()));
    return check;
  }
}

}  // namespace holeward
