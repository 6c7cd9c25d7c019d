#include "models/evaluation.h"

#include <algorithm>

#include "geometry/parallel.h"
#include "models/scene_likeness.h"

namespace holeward {
namespace {

/// The same metal comes out of both jobs.
bool SameParts(const Job& a, const Job& b) {
  return a.described_side == b.described_side && a.sides == b.sides && a.parts == b.parts &&
         a.neighbours == b.neighbours;
}

/// Points can be taken as they were placed: their zones hang on the templates, and a point is read
/// from points before it in the job. (What prints add to zones is worked out for all, every time.)
bool SameZones(const Job& a, const Job& b) {
  const auto alike = [](const PointRow& p, const PointRow& q) {
    return p.name == q.name && p.part == q.part && p.face == q.face && p.only == q.only;
  };
  return a.marking == b.marking && a.templates == b.templates &&
         std::equal(a.points.begin(), a.points.end(), b.points.begin(), b.points.end(), alike);
}

bool SameDemands(const Job& a, const Job& b) {
  return a.limits == b.limits && a.marking == b.marking && a.test == b.test && a.drill == b.drill;
}

const SideEvaluation* SideOf(const Evaluation* evaluation, Side side) {
  if (evaluation == nullptr) return nullptr;
  for (const SideEvaluation& known : evaluation->sides) {
    if (known.side == side) return &known;
  }
  return nullptr;
}

/// An earlier side, checked, whose metal and points are the same, or null.
const SideEvaluation* ImageOf(const Evaluation& evaluation, const SideEvaluation& side) {
  for (const SideEvaluation& other : evaluation.sides) {
    if (SameMetal(other.build->scene, side.build->scene) &&
        SamePlaces(other.placing.points, side.placing.points)) {
      return &other;
    }
  }
  return nullptr;
}

/// The parts of a side and the places of its points.
SideEvaluation PlaceOneSide(const Job& job, Side side, const Evaluation* before) {
  SideEvaluation out;
  out.side = side;
  out.mirrored = side != job.described_side;
  const SideEvaluation* known = SideOf(before, side);
  const bool same_parts = known != nullptr && SameParts(job, before->job);
  out.build = same_parts ? known->build : std::make_shared<const SceneBuild>(BuildScene(job, side));
  if (same_parts && SameZones(job, before->job)) out.placing_memo = known->placing_memo;
  if (same_parts && SameDemands(job, before->job)) out.check_memo = known->check_memo;
  if (!out.build->ok()) return out;
  out.placing = PlacePoints(job, out.build->scene, side, &out.placing_memo);
  return out;
}

/// Every side, several at a time.
std::vector<SideEvaluation> PlaceSides(const Job& job, const Evaluation* before) {
  return MadeOfEach(job.sides.size(),
                    [&](std::size_t i) { return PlaceOneSide(job, job.sides[i], before); });
}

void CheckOneSide(const Evaluation& so_far, SideEvaluation& side, const std::stop_token& stop) {
  if (!side.build->ok()) return;
  if (const SideEvaluation* image = ImageOf(so_far, side)) {
    side.checking = image->checking;
    return;
  }
  side.checking = CheckPoints(so_far.job, side.build->scene, side.placing.points, side.side,
                              {&side.check_memo, stop});
}

}  // namespace

Evaluation Evaluate(const Job& job, const Evaluation* before, const std::stop_token& stop) {
  Evaluation out;
  out.job = job;
  std::vector<HoleCheck> holes;
  std::vector<PointCheck> points;
  bool whole = true;
  for (SideEvaluation& made : PlaceSides(job, before)) {
    if (!stop.stop_requested()) CheckOneSide(out, made, stop);
    whole = whole && !stop.stop_requested() && made.build->ok() && made.placing.errors.empty();
    holes.insert(holes.end(), made.checking.holes.begin(), made.checking.holes.end());
    points.insert(points.end(), made.checking.points.begin(), made.checking.points.end());
    out.sides.push_back(std::move(made));
  }
  if (stop.stop_requested()) {
    for (SideEvaluation& side : out.sides) side.checking = {};
    out.stopped = true;
    return out;
  }
  out.verdict = OverallVerdict(holes, points);
  if (!whole) out.verdict = Worse(out.verdict, Verdict::unproven);
  return out;
}

Evaluation EvaluatePlaces(const Job& job, const Evaluation* before) {
  Evaluation out;
  out.job = job;
  out.sides = PlaceSides(job, before);
  return out;
}

}  // namespace holeward
