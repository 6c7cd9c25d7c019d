#include "models/checking.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

#include <fmt/format.h>

#include "geometry/access.h"
#include "geometry/parallel.h"
#include "geometry/seat.h"
#include "geometry/surface.h"
#include "geometry/tape.h"
#include "models/edge_distance.h"
#include "models/hole_check.h"
#include "models/placing.h"
#include "models/scene.h"
#include "models/surroundings.h"

namespace holeward {
namespace {

/// A hole that spacing is judged against.
struct HoleMark {
  std::string part;
  std::string name;
  Vec3 position = Vec3::Zero();
  double diameter = 0.0;
};

double DiameterOf(const Job& job, const PointRow& row) {
  if (row.use != PointUse::drill || row.drill.empty()) return job.test.tip;
  return *std::max_element(row.drill.begin(), row.drill.end());
}

/// The drill points that only the other side has on shared parts, in this side's frame as they are
/// described: their holes are the mirror images.
std::vector<PlacedPoint> OnlyOnTheOtherSide(const Job& job, const Scene& scene, Side side) {
  const auto theirs_alone = [&](const PointRow& row) {
    const Part* part = scene.FindPart(row.part);
    return row.use == PointUse::drill && row.only && *row.only != side && part != nullptr &&
           part->shared;
  };
  if (job.sides.size() < 2 || std::none_of(job.points.begin(), job.points.end(), theirs_alone)) {
    return {};
  }
  std::vector<PlacedPoint> theirs;
  const Side other = side == Side::left ? Side::right : Side::left;
  const SceneBuild build = BuildScene(job, other);  // with the fittings that side has
  for (PlacedPoint& point : PlacePoints(job, build.scene, other).points) {
    if (theirs_alone(*job.FindPoint(point.name))) theirs.push_back(std::move(point));
  }
  return theirs;
}

/// Every hole there is or will be. On a shared part the other side's holes too: the mirror images.
std::vector<HoleMark> HolesOf(const Job& job, const Scene& scene,
                              const std::vector<PlacedPoint>& placed, Side side) {
  std::vector<HoleMark> holes;
  for (const PlacedPoint& point : OnlyOnTheOtherSide(job, scene, side)) {
    holes.push_back({point.part, point.name + " of the other side", Mirrored(point.position),
                     DiameterOf(job, *job.FindPoint(point.name))});
  }
  for (const PlacedPoint& point : placed) {
    const PointRow* row = job.FindPoint(point.name);
    if (row == nullptr || row->use != PointUse::drill) continue;
    const double diameter = DiameterOf(job, *row);
    holes.push_back({point.part, point.name, point.position, diameter});
    const Part* part = scene.FindPart(point.part);
    const bool twice = part != nullptr && part->shared && job.sides.size() > 1 && !row->only;
    const Vec3 mirrored = Mirrored(point.position);
    if (twice && (mirrored - point.position).norm() > 1e-3) {
      holes.push_back({point.part, point.name + " of the other side", mirrored, diameter});
    }
  }
  for (const Part& part : scene.parts) {
    for (const Fitting& fitting : part.fittings) {
      if (fitting.shape != FittingShape::hole) continue;
      holes.push_back(
          {part.name, fitting.name, part.skin->At(fitting.centre).position, fitting.diameter});
    }
  }
  return holes;
}

/// Checks one test or drill point apart from its clearance.
class PointChecker {
 public:
  PointChecker(const Job& job, const Part& part, const PointRow& row, const PlacedPoint& placed)
      : job_(job), part_(part), row_(row), placed_(placed) {
    check_.point = placed.name;
    check_.part = part.name;
    check_.test = row.use == PointUse::test;
    check_.verdict = Verdict::clear;
  }

  void Edge(const EdgeDistance& edge) {
    if (!edge.failure.empty()) Lower(Verdict::unproven, edge.failure);
    if (!std::isfinite(edge.distance)) {
      if (edge.failure.empty()) Lower(Verdict::unproven, "no edge was found to measure to");
      return;
    }
    check_.edge_distance = edge.distance;
    check_.nearest_edge = edge.edge;
    const double least = job_.limits.edge_distance * DiameterOf(job_, row_);
    if (edge.distance < least - 1e-9) {
      Lower(Verdict::tight, fmt::format("{:.1f} mm from '{}', at least {:.1f} mm are wanted",
                                        edge.distance, edge.edge, least));
    }
  }

  void Spacing(const std::vector<HoleMark>& holes) {
    const double own = DiameterOf(job_, row_);
    for (const HoleMark& hole : holes) {
      if (hole.part != part_.name || hole.name == placed_.name) continue;
      const double apart = (hole.position - placed_.position).norm();
      check_.nearest_hole = std::min(check_.nearest_hole.value_or(apart), apart);
      const double least = job_.limits.spacing * std::max(own, hole.diameter);
      if (apart < least - 1e-9) {
        Lower(Verdict::tight, fmt::format("{:.1f} mm from hole '{}', at least {:.1f} mm are wanted",
                                          apart, hole.name, least));
      }
    }
  }

  void SeatUnderFoot(const PointFindings& found) {
    if (!found.seat) {
      if (check_.test)
        Lower(Verdict::unproven, "the seat gap could not be computed: " + found.no_seat);
      return;
    }
    check_.seat_gap = found.seat->gap;
    if (check_.test && found.seat->beyond) {
      Lower(Verdict::tight, "part of the foot stands beyond an end or a lip of the part");
    }
    if (check_.test && found.seat->gap > job_.limits.seat_gap + 1e-9) {
      Lower(Verdict::tight,
            fmt::format("the foot rocks by {:.2f} mm, at most {:.2f} mm are allowed",
                        found.seat->gap, job_.limits.seat_gap));
    }
  }

  void TestAccess(const PointFindings& found, const Surroundings& surroundings) {
    const Access& access = found.access;
    const Access& tall = found.tall;
    check_.access = std::min(access.distance, surroundings.diagonal());
    if (!access.failure.empty() || !tall.failure.empty() || std::isnan(check_.access)) {
      check_.access = 0.0;
      check_.access_known = false;
      Lower(Verdict::unproven, "access could not be computed: " + access.failure + tall.failure);
      return;
    }
    if (tall.distance <= 0.0) {
      check_.access_known = false;
      Lower(Verdict::unproven,
            fmt::format("the height of '{}' is not stated and the test tip's body stands over it",
                        tall.body));
    } else {
      check_.access = std::min(check_.access, tall.distance);
    }
    if (access.distance < 0.0) {
      Lower(Verdict::tight, fmt::format("'{}' is in the way of the test tip's body", access.body));
    }
    if (surroundings.IsAssumed(access.body)) {
      Lower(Verdict::unproven,
            fmt::format("access rests on '{}', which is only assumed", access.body));
    }
  }

  /// A drill point's access is the least of its stages'.
  void DrillAccess(const std::vector<HoleCheck>& stages) {
    bool first = true;
    for (const HoleCheck& stage : stages) {
      check_.access = first ? stage.access : std::min(check_.access, stage.access);
      check_.access_known = check_.access_known && stage.access_known;
      first = false;
    }
    if (!check_.access_known) Lower(Verdict::unproven, "access of its drill is not known");
    if (check_.access < 0.0) Lower(Verdict::tight, "there is no room for its drill");
  }

  [[nodiscard]] const PointCheck& check() const { return check_; }
  void Lower(Verdict verdict, std::string reason) {
    check_.verdict = Worse(check_.verdict, verdict);
    check_.reasons.push_back(std::move(reason));
  }

 private:
  const Job& job_;
  const Part& part_;
  const PointRow& row_;
  const PlacedPoint& placed_;
  PointCheck check_;
};

bool IsFinite(const PlacedPoint& point) {
  const auto finite = [](const SkinPlace& place, const Vec3& position, const Vec3& normal) {
    return std::isfinite(place.u) && std::isfinite(place.v) && position.allFinite() &&
           normal.allFinite();
  };
  return finite(point.place, point.position, point.normal) &&
         std::all_of(point.nominals.begin(), point.nominals.end(),
                     [&](const NominalPlace& nominal) {
                       return finite(nominal.place, nominal.position, nominal.normal);
                     });
}

/// Ties are straight distances to neighbours, which a check does not use.
bool SameBesideTies(PlacedPoint a, PlacedPoint b) {
  a.ties.clear();
  b.ties.clear();
  return a == b;
}

/// Unproven results for points that cannot be checked at all.
void Refuse(const PlacedPoint& placed, const PointRow& row, const std::string& why,
            Checking& checking) {
  PointCheck point;
  point.point = placed.name;
  point.part = placed.part;
  point.test = row.use == PointUse::test;
  point.access_known = false;
  point.reasons = {why};
  checking.points.push_back(point);
  for (std::size_t stage = 0; row.use == PointUse::drill && stage < row.drill.size(); ++stage) {
    HoleCheck hole;
    hole.point = placed.name;
    hole.part = placed.part;
    hole.stage = static_cast<int>(stage) + 1;
    hole.diameter = row.drill[stage];
    hole.access_known = false;
    hole.reasons = {why};
    checking.holes.push_back(hole);
  }
}

/// What is found out about one point by itself; null if it was asked to stop before the end.
std::shared_ptr<const PointFindings> Find(const HoleSite& site, const TapeSolver& tape) {
  if (site.stop.stop_requested()) return nullptr;
  PointFindings found;
  found.row = site.row;
  found.placed = site.placed;
  found.edge = EdgeDistanceOf(site.part, tape, site.placed.place);
  if (const auto seat = SeatOf(*site.part.skin, site.placed.place, site.job.test.foot)) {
    found.seat = *seat;
  } else {
    found.no_seat = seat.error().message;
  }
  if (site.row.use == PointUse::test) {
    const ToolBody& tool = site.job.test.body;
    const ToolRoom body{site.placed.position, site.placed.normal, 0.5 * tool.diameter, tool.length};
    found.access = AccessOf(site.surroundings.Outside(site.part.name, false, body).obstacles, body);
    found.tall = AccessOf(site.surroundings.Tall(body).obstacles, body);
    return std::make_shared<const PointFindings>(std::move(found));
  }
  const Result<HoleSite> ready = MakeSite(site);
  for (std::size_t stage = 0; stage < site.row.drill.size(); ++stage) {
    found.stages.push_back(CheckStage(ready, site, stage));
    // Asked to stop meanwhile, that may be less than there is to find.
    if (site.stop.stop_requested()) return nullptr;
  }
  return std::make_shared<const PointFindings>(std::move(found));
}

using Findings = std::vector<std::shared_ptr<const PointFindings>>;

/// Of every test and drill point that can be checked, several at a time; null for the others. What
/// the memo knows is taken from it.
Findings FindAll(const Job& job, const Scene& scene, const std::vector<PlacedPoint>& placed,
                 const CheckRun& run) {
  CheckMemo& memo = *run.memo;
  if (!memo.surroundings) {
    memo.surroundings =
        std::make_shared<const Result<Surroundings>>(Surroundings::Make(scene, job.marking));
  }
  for (const PlacedPoint& point : placed) {
    const Part* part = scene.FindPart(point.part);
    std::shared_ptr<const TapeSolver>& tape = memo.tapes[point.part];
    if (part == nullptr || tape != nullptr) continue;
    tape = std::make_shared<const TapeSolver>(std::make_shared<SkinSurface>(part->skin));
  }
  Findings findings = MadeOfEach(placed.size(), [&](std::size_t i) {
    const PlacedPoint& point = placed[i];
    const PointRow* row = job.FindPoint(point.name);
    const Part* part = scene.FindPart(point.part);
    std::shared_ptr<const PointFindings> none;
    if (row == nullptr || row->use == PointUse::reference) return none;
    if (part == nullptr || !*memo.surroundings || !IsFinite(point)) return none;
    const auto earlier = memo.points.find(point.name);
    if (earlier != memo.points.end() && earlier->second->row == *row &&
        SameBesideTies(earlier->second->placed, point)) {
      return earlier->second;
    }
    const HoleSite site{job, scene, *part, **memo.surroundings, *row, point, {}, {}, run.stop};
    return Find(site, *memo.tapes.at(part->name));
  });
  memo.points.clear();
  for (const auto& found : findings) {
    if (found != nullptr) memo.points[found->placed.name] = found;
  }
  return findings;
}

}  // namespace

Verdict OverallVerdict(const std::vector<HoleCheck>& holes, const std::vector<PointCheck>& points) {
  const bool tested =
      std::any_of(points.begin(), points.end(), [](const PointCheck& p) { return p.test; });
  if (holes.empty() && !tested) return Verdict::unproven;
  Verdict verdict = Verdict::clear;
  for (const HoleCheck& hole : holes) verdict = Worse(verdict, hole.verdict);
  for (const PointCheck& point : points) verdict = Worse(verdict, point.verdict);
  return verdict;
}

Checking CheckPoints(const Job& job, const Scene& scene, const std::vector<PlacedPoint>& placed,
                     Side side, const CheckRun& run) {
  Checking checking;
  CheckMemo fresh;
  CheckMemo& known = run.memo != nullptr ? *run.memo : fresh;
  const Findings findings = FindAll(job, scene, placed, {&known, run.stop});
  const std::vector<HoleMark> holes = HolesOf(job, scene, placed, side);
  for (std::size_t i = 0; i < placed.size(); ++i) {
    const PlacedPoint& point = placed[i];
    const PointRow* row = job.FindPoint(point.name);
    if (row == nullptr || row->use == PointUse::reference) continue;
    const PointFindings* found = findings[i].get();
    const Part* part = scene.FindPart(point.part);
    if (found == nullptr) {
      const Result<Surroundings>& around = *known.surroundings;
      Refuse(point, *row,
             part == nullptr             ? "its part is not there"
             : !around                   ? around.error().message
             : run.stop.stop_requested() ? "the check was stopped"
                                         : "its place is not a finite number",
             checking);
      continue;
    }
    PointChecker checker(job, *part, *row, point);
    checker.Edge(found->edge);
    checker.Spacing(holes);
    checker.SeatUnderFoot(*found);
    if (row->use == PointUse::test) {
      checker.TestAccess(*found, **known.surroundings);
    } else {
      checker.DrillAccess(found->stages);
      checking.holes.insert(checking.holes.end(), found->stages.begin(), found->stages.end());
    }
    checking.points.push_back(checker.check());
  }
  checking.verdict = OverallVerdict(checking.holes, checking.points);
  return checking;
}

}  // namespace holeward
