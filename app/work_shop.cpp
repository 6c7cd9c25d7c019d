#include "app/work_shop.h"

#include <algorithm>
#include <cmath>

#include "export/limit_words.h"
#include "models/placing.h"
#include "models/print_error.h"
#include "models/test_results.h"

namespace holeward {
namespace {

template <class T>
void AddOnce(const T& value, std::vector<T>* list) {
  if (std::find(list->begin(), list->end(), value) == list->end()) list->push_back(value);
}

// Two marks of one sheet: where the sheet lies moves both alike, so that only the punch, how the
// sheet takes the skin's shape and its print move one from the other. Nothing if no template shows
// both.
std::optional<double> OffOnOneSheet(const Job& job, const SideWork& side, const PlacedPoint& a,
                                    const PlacedPoint& b) {
  const Part* part = side.scene.FindPart(a.part);
  if (part == nullptr) return std::nullopt;
  std::optional<double> most;
  for (const TemplateRow& sheet : job.templates) {
    if (!sheet.Shows(a.part, a.name) || !sheet.Shows(b.part, b.name)) continue;
    const PrintError print = PrintErrorBetween({sheet, job, *part, side.points}, a.place,
                                               (a.position - b.position).norm());
    const double off = 2.0 * job.marking.punch.Greatest() + job.marking.sheet.Greatest() +
                       2.0 * job.limits.wrap_error + print.Total();
    most = std::max(most.value_or(0.0), off);
  }
  return most;
}

// A mark in its zone lies within the zone's radius of its place: the straight distance of two such
// marks is off by no more than both radii together.
std::vector<ShopTie> TiesOf(const Job& job, const SideWork& side, const PlacedPoint& placed) {
  std::vector<ShopTie> ties;
  for (const Tie& tie : placed.ties) {
    const PlacedPoint* to = FindPlaced(side.points, tie.to);
    ShopTie out{tie.to, tie.straight, std::nullopt};
    if (to != nullptr && to->zone.bounded && placed.zone.bounded) {
      out.allowed = to->zone.radius + placed.zone.radius;
      const auto on_sheet = OffOnOneSheet(job, side, placed, *to);
      if (on_sheet) out.allowed = std::min(*out.allowed, *on_sheet);
    }
    ties.push_back(std::move(out));
  }
  return ties;
}

// The certified depth of the first pilot hole, rounded down to what is printed.
ShopProbe ProbeOf(const SideWork& side, const std::string& point) {
  for (const HoleAnalysis& analysis : side.analyses) {
    if (analysis.point != point || !analysis.probe) continue;
    if (!analysis.probe->certified) return {ShopProbe::Kind::free, 0.0};
    return {ShopProbe::Kind::depth, std::floor(*analysis.probe->certified * 10.0) / 10.0};
  }
  return {};
}

double ProjectionOf(const DrillTool& drill, std::size_t stage) {
  return drill.projection[std::min(stage, drill.projection.size() - 1)];
}

ShopPoint PointOf(const Work& work, const SideWork& side, const PlacedPoint& placed) {
  const Job& job = work.job;
  const PointRow* row = job.FindPoint(placed.name);
  const Part& part = *side.scene.FindPart(placed.part);
  ShopPoint point;
  point.name = placed.name;
  point.use = row->use;
  point.part = placed.part;
  point.face = placed.face;
  point.rule = RuleInWords(side.mirrored && part.shared ? WithEndsExchanged(*row, part) : *row,
                           job.inches, work.words);
  point.wall = part.wall;
  point.ties = TiesOf(work.job, side, placed);
  for (const HoleCheck& check : side.checking.holes) {
    if (check.point != placed.name) continue;
    point.stages.push_back({check, ProjectionOf(job.drill, point.stages.size())});
  }
  point.probe = ProbeOf(side, placed.name);
  point.during = row->during;
  point.after = row->after;
  if (row->use != PointUse::reference) point.verdict = WorstAt(side.checking, placed.name);
  return point;
}

std::vector<ShopTemplate> TemplatesOf(const Job& job, const SideWork& side) {
  std::vector<ShopTemplate> sheets;
  for (const TemplateRow& row : job.templates) {
    ShopTemplate sheet{row.name, row.part, {}, {}};
    for (const PlacedPoint& placed : side.points) {
      if (row.Shows(placed.part, placed.name)) sheet.points.push_back(placed.name);
    }
    const Part* part = side.scene.FindPart(row.part);
    for (const std::string& align : row.align) {
      const bool turned = side.mirrored && part != nullptr && part->shared;
      sheet.align.push_back(turned ? EndsExchanged(align, *part) : align);
    }
    if (!sheet.points.empty()) sheets.push_back(std::move(sheet));
  }
  return sheets;
}

}  // namespace

PageFacts FactsOfRun(const Work& work) {
  const Job& job = work.job;
  PageFacts facts;
  facts.head = HeadOf(work);
  facts.head.hash = SheetHash(work);
  facts.words = work.words;
  facts.date = DateOfRun();
  facts.limits = LimitsLine(job.limits, job.marking, job.zeroed_errors, work.words);
  facts.reason = WhyNotReleased(work, work.words);
  facts.released = facts.head.release.released;
  return facts;
}

std::vector<BlankResult> BlankResultsOf(const Job& job) {
  std::vector<BlankResult> rows;
  for (const TestPlace& place : TestPlaces(job)) {
    const PointRow* row = job.FindPoint(place.point);
    rows.push_back({place, row->part});
  }
  return rows;
}

ShopInput ShopInputOf(const Work& work, const Options& options) {
  ShopInput input;
  const Job& job = work.job;
  input.facts = FactsOfRun(work);
  input.posture = job.posture;
  input.inches = job.inches;
  input.bars = options.bars;
  input.test = job.test;
  input.drill = job.drill;
  input.variants = job.set.variants;
  input.variant_question = job.set.variant_question;
  input.steps = job.steps;
  input.decisions = job.decisions;
  for (const PointRow& row : job.points) {
    for (const MeasureRow& measure : row.rule) AddOnce(measure.method, &input.methods);
  }
  for (const PartRow& part : job.parts) {
    for (const InnerRow& inner : part.inner) AddOnce(inner.name, &input.inner_bodies);
  }
  for (const NeighbourRow& neighbour : job.neighbours) AddOnce(neighbour.name, &input.neighbours);
  for (const SideWork& side : work.sides) {
    ShopSide out;
    out.side = side.side;
    out.templates = TemplatesOf(job, side);
    for (const PlacedPoint& placed : side.points) out.points.push_back(PointOf(work, side, placed));
    input.sides.push_back(std::move(out));
  }
  return input;
}

}  // namespace holeward
