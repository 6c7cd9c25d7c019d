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
#include "models/site_worst.h"

namespace holeward {
namespace {

constexpr double kStopStep = 0.5;

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
    if (std::isfinite(worst.lower + worst.upper)) {  // both are
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
      check_.stop = kStopStep * std::ceil(needed / kStopStep);
    }
    check_.through = *check_.stop >= needed - 1e-6;
    if (!check_.through) {
      Because(fmt::format(
          "a stop at {:.1f} mm does not take the full diameter through by {:.1f} mm in every "
          "case; {:.1f} mm would",
          *check_.stop, limits.through, std::ceil(needed * 10.0) / 10.0));
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

}  // namespace

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
