#include "export/label_placer.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace holeward {
namespace {

/// White kept round every label, mm.
constexpr double kAir = 1.0;
/// A label nearer to its anchor than this needs no leader, mm.
constexpr double kLeaderFrom = 2.5;
/// Lying outside the piece is worth this much further way, mm.
constexpr double kOutsideCost = 20.0;
/// Each line a leader crosses is worth this much further way, mm.
constexpr double kCrossingCost = 4.0;
constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr int kDirections = 24;
constexpr double kTurn = 2.0 * kPi / kDirections;
constexpr std::size_t kBundle = 16;

/// Distances tried, mm: close together near the anchor.
std::vector<double> Rings() {
  std::vector<double> rings = {0.0};
  while (rings.back() < 400.0) rings.push_back(rings.back() * 1.12 + 1.0);
  return rings;
}

/// A way a label may lie from its anchor.
struct Direction {
  Vec2 way;      ///< unit
  Vec2 stretch;  ///< from the nearest place of the label to its middle, in halves of its size
};

std::array<Direction, kDirections> AllDirections() {
  std::array<Direction, kDirections> all;
  for (int turn = 0; turn < kDirections; ++turn) {
    const double angle = kPi / 4.0 + kTurn * turn;
    const Vec2 way(std::cos(angle), std::sin(angle));
    all[static_cast<std::size_t>(turn)] = {
        way, {std::clamp(way.x() * 1.5, -1.0, 1.0), std::clamp(way.y() * 1.5, -1.0, 1.0)}};
  }
  return all;
}

bool LiesIn(const std::vector<Vec2>& polygon, const Box& round, const Box& box) {
  return round.Contains(box) && IsInside(polygon, box.low) && IsInside(polygon, box.high) &&
         IsInside(polygon, {box.low.x(), box.high.y()}) &&
         IsInside(polygon, {box.high.x(), box.low.y()});
}

Box RoundOf(const std::vector<Vec2>& polygon) {
  Box round{Vec2::Constant(kNever), Vec2::Constant(-kNever)};
  for (const Vec2& p : polygon) round = {round.low.cwiseMin(p), round.high.cwiseMax(p)};
  return round;
}

double Turn(const Vec2& a, const Vec2& b, const Vec2& c) {
  return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// True if the straight lines a–b and c–d cross.
bool Meet(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d) {
  return (Turn(a, b, c) > 0.0) != (Turn(a, b, d) > 0.0) &&
         (Turn(c, d, a) > 0.0) != (Turn(c, d, b) > 0.0);
}

/// True if the boxes share anything, be it a border.
bool Touch(const Box& a, const Box& b) {
  return a.low.x() <= b.high.x() && b.low.x() <= a.high.x() && a.low.y() <= b.high.y() &&
         b.low.y() <= a.high.y();
}

}  // namespace

void LabelPlacer::AvoidLine(const Vec2& a, const Vec2& b) {
  const Box round{a.cwiseMin(b), a.cwiseMax(b)};
  if (lines_.size() % kBundle == 0) bundles_.push_back(round);
  Box& bundle = bundles_.back();
  bundle = {bundle.low.cwiseMin(round.low), bundle.high.cwiseMax(round.high)};
  lines_.push_back({a, b});
}

void LabelPlacer::AvoidPolyline(const std::vector<Vec2>& points, bool closed) {
  for (std::size_t i = 1; i < points.size(); ++i) AvoidLine(points[i - 1], points[i]);
  if (closed && points.size() > 2) AvoidLine(points.back(), points.front());
}

bool LabelPlacer::Free(const Box& box, const Look& look) const {
  if (!area_.Contains(box)) return false;
  const Box wide = box.Grown(kAir);
  if (OverBoxes(wide, *look.last)) return false;
  const auto crosses = [&](const Segment& line) { return Crosses(wide, line.a, line.b); };
  if (std::any_of(leaders_.begin(), leaders_.end(), crosses)) return false;
  return look.over_lines || !OverLines(wide, *look.last);
}

bool LabelPlacer::OverBoxes(const Box& box, InTheWay& last) const {
  const auto met = std::find_if(last.boxes.begin(), last.boxes.end(),
                                [&](std::size_t i) { return box.Overlaps(boxes_[i]); });
  if (met == last.boxes.end()) return false;
  std::rotate(last.boxes.begin(), met, met + 1);
  return true;
}

bool LabelPlacer::OverLines(const Box& box, InTheWay& last) const {
  const auto crosses = [&](std::size_t i) { return Crosses(box, lines_[i].a, lines_[i].b); };
  const auto note = [&](auto at) { std::rotate(last.lines.begin(), at, at + 1); };
  const auto again = std::find_if(last.lines.begin(), last.lines.end(),
                                  [&](std::size_t i) { return i < lines_.size() && crosses(i); });
  if (again != last.lines.end()) {
    note(again);
    return true;
  }
  for (std::size_t k = 0; k < bundles_.size(); ++k) {
    if (!Touch(bundles_[k], box)) continue;
    const std::size_t end = std::min(lines_.size(), (k + 1) * kBundle);
    for (std::size_t i = k * kBundle; i < end; ++i) {
      if (!crosses(i)) continue;
      last.lines.back() = i;
      note(last.lines.end() - 1);
      return true;
    }
  }
  return false;
}

LabelPlacer::InTheWay LabelPlacer::NothingYet() const {
  InTheWay last;
  last.boxes.resize(boxes_.size());
  std::iota(last.boxes.begin(), last.boxes.end(), std::size_t{0});
  return last;
}

/// How many lines the straight line a–b crosses.
std::ptrdiff_t LabelPlacer::LinesMet(const Vec2& a, const Vec2& b) const {
  // Grown, so that rounding cannot part what meets.
  const Box round = Box{a.cwiseMin(b), a.cwiseMax(b)}.Grown(1e-6);
  std::ptrdiff_t met = 0;
  for (std::size_t k = 0; k < bundles_.size(); ++k) {
    if (!Touch(bundles_[k], round)) continue;
    const std::size_t end = std::min(lines_.size(), (k + 1) * kBundle);
    for (std::size_t i = k * kBundle; i < end; ++i) {
      if (Meet(a, b, lines_[i].a, lines_[i].b)) ++met;
    }
  }
  return met;
}

double LabelPlacer::LeaderCost(const Placed& placed, const Request& request) const {
  if (!placed.leader) return 0.0;
  if (!request.leader) return kNever;
  const Vec2 way = (placed.leader_from - placed.leader_to).normalized();
  // What the leader starts from (the mark itself) is not in its way.
  const Vec2 start = placed.leader_to + way * 0.01;
  for (const Box& box : boxes_) {
    if (!box.Contains(placed.leader_to) && Crosses(box, start, placed.leader_from)) return kNever;
  }
  const auto meets = [&](const Segment& line) {
    return Meet(start, placed.leader_from, line.a, line.b);
  };
  if (std::any_of(leaders_.begin(), leaders_.end(), meets)) return kNever;
  return kCrossingCost * static_cast<double>(LinesMet(start, placed.leader_from));
}

/// The label's box whose border lies `ring` beyond the clear distance from the anchor.
Box LabelPlacer::BoxOf(const Request& request, const Trial& trial) {
  static const std::array<Direction, kDirections> kAll = AllDirections();
  const Direction& to = kAll[trial.turn];
  const Vec2 half = request.size / 2.0;
  const Vec2 centre = request.anchors[trial.anchor] + (request.clear + trial.ring) * to.way +
                      half.cwiseProduct(to.stretch);
  return {centre - half, centre + half};
}

LabelPlacer::Placed LabelPlacer::PlacedAt(const Request& request, const Trial& trial,
                                          const Box& box) {
  const Vec2& anchor = request.anchors[trial.anchor];
  Placed placed;
  placed.box = box;
  placed.leader_from = box.Nearest(anchor);
  const Vec2 away = placed.leader_from - anchor;
  placed.leader = request.leader && away.norm() > request.clear + kLeaderFrom;
  placed.leader_to = placed.leader ? Vec2(anchor + away.normalized() * request.clear) : anchor;
  return placed;
}

double LabelPlacer::InsideCost(const Box& box, const Request& request, const Box& round) {
  if (request.inside == nullptr || LiesIn(*request.inside, round, box)) return 0.0;
  return request.only_inside ? kNever : kOutsideCost;
}

/// Keeps the best place round one anchor, if it is better than what `best` holds.
void LabelPlacer::SearchRound(const Request& request, std::size_t anchor, const Look& look,
                              Best* best) const {
  static const std::vector<double> kRings = Rings();
  const bool bound_inside = request.only_inside && request.inside != nullptr;
  for (const double ring : kRings) {
    const double near_cost = ring + 0.5 * static_cast<double>(anchor);
    if (near_cost >= best->cost || (!request.leader && ring > request.farthest)) return;
    for (std::size_t turn = 0; turn < kDirections; ++turn) {
      const Trial trial{anchor, turn, ring};
      const Box box = BoxOf(request, trial);
      if (bound_inside && !look.round.Contains(box)) continue;
      if (!Free(box, look)) continue;
      const Placed placed = PlacedAt(request, trial, box);
      // What costs more to find out is asked last, and only where it can still matter.
      double cost = near_cost + LeaderCost(placed, request);
      if (cost >= best->cost) continue;
      cost += InsideCost(box, request, look.round);
      if (cost < best->cost) *best = {cost, placed};
    }
  }
}

std::optional<LabelPlacer::Placed> LabelPlacer::SearchCentred(const Request& request,
                                                              bool over_lines) const {
  const Vec2 half = request.size / 2.0;
  const bool bound_inside = request.only_inside && request.inside != nullptr;
  InTheWay last = NothingYet();
  const Look look{over_lines, request.inside != nullptr ? RoundOf(*request.inside) : Box{}, &last};
  for (const Vec2& anchor : request.anchors) {
    const Box box{anchor - half, anchor + half};
    if (bound_inside && !look.round.Contains(box)) continue;
    if (!Free(box, look) || InsideCost(box, request, look.round) == kNever) continue;
    Placed placed;
    placed.box = box;
    placed.over_lines = over_lines;
    return placed;
  }
  return std::nullopt;
}

std::optional<LabelPlacer::Placed> LabelPlacer::Search(const Request& request,
                                                       bool over_lines) const {
  if (request.centred) return SearchCentred(request, over_lines);
  InTheWay last = NothingYet();
  const Look look{over_lines, request.inside != nullptr ? RoundOf(*request.inside) : Box{}, &last};
  Best best{kNever, {}};
  for (std::size_t i = 0; i < request.anchors.size(); ++i) SearchRound(request, i, look, &best);
  if (best.cost == kNever) return std::nullopt;
  best.placed.over_lines = over_lines;
  return best.placed;
}

std::optional<LabelPlacer::Placed> LabelPlacer::Place(const Request& request) {
  std::optional<Placed> placed = Find(request);
  if (placed) Put(*placed);
  return placed;
}

std::optional<LabelPlacer::Placed> LabelPlacer::Find(const Request& request) const {
  std::optional<Placed> placed = Search(request, false);
  if (!placed && request.over_lines) placed = Search(request, true);
  return placed;
}

void LabelPlacer::Put(const Placed& placed) {
  boxes_.push_back(placed.box);
  if (placed.leader) leaders_.push_back({placed.leader_from, placed.leader_to});
}

}  // namespace holeward
