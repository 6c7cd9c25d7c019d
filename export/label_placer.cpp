#include "export/label_placer.h"

#include <algorithm>
#include <cmath>
#include <limits>

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

/// Distances tried, mm: close together near the anchor.
std::vector<double> Rings() {
  std::vector<double> rings = {0.0};
  while (rings.back() < 400.0) rings.push_back(rings.back() * 1.12 + 1.0);
  return rings;
}

/// The label's box whose border lies `distance` from the anchor in the direction of `angle`.
Box BoxAt(const Vec2& anchor, const Vec2& size, double angle, double distance) {
  const Vec2 way(std::cos(angle), std::sin(angle));
  const Vec2 half = size / 2.0;
  const Vec2 stretch(std::clamp(way.x() * 1.5, -1.0, 1.0), std::clamp(way.y() * 1.5, -1.0, 1.0));
  const Vec2 centre = anchor + distance * way + half.cwiseProduct(stretch);
  return {centre - half, centre + half};
}

bool LiesIn(const std::vector<Vec2>& polygon, const Box& box) {
  return Inside(polygon, box.low) && Inside(polygon, box.high) &&
         Inside(polygon, {box.low.x(), box.high.y()}) &&
         Inside(polygon, {box.high.x(), box.low.y()});
}

double Turn(const Vec2& a, const Vec2& b, const Vec2& c) {
  return (b.x() - a.x()) * (c.y() - a.y()) - (b.y() - a.y()) * (c.x() - a.x());
}

/// True if the straight lines a–b and c–d cross.
bool Meet(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d) {
  return (Turn(a, b, c) > 0.0) != (Turn(a, b, d) > 0.0) &&
         (Turn(c, d, a) > 0.0) != (Turn(c, d, b) > 0.0);
}

}  // namespace

bool Box::Overlaps(const Box& other) const {
  return low.x() < other.high.x() && other.low.x() < high.x() && low.y() < other.high.y() &&
         other.low.y() < high.y();
}

bool Box::Contains(const Vec2& p) const {
  return p.x() >= low.x() && p.x() <= high.x() && p.y() >= low.y() && p.y() <= high.y();
}

bool Box::Contains(const Box& other) const { return Contains(other.low) && Contains(other.high); }

Vec2 Box::Nearest(const Vec2& p) const { return p.cwiseMax(low).cwiseMin(high); }

bool Crosses(const Box& box, const Vec2& a, const Vec2& b) {
  // Most lines lie wholly to one side: told without a division.
  if (std::max(a.x(), b.x()) < box.low.x() || std::min(a.x(), b.x()) > box.high.x() ||
      std::max(a.y(), b.y()) < box.low.y() || std::min(a.y(), b.y()) > box.high.y()) {
    return false;
  }
  // Liang-Barsky: the part of a–b inside each of the four half planes in turn.
  double from = 0.0;
  double to = 1.0;
  const Vec2 way = b - a;
  for (int axis = 0; axis < 2; ++axis) {
    if (way[axis] == 0.0) {
      if (a[axis] < box.low[axis] || a[axis] > box.high[axis]) return false;
      continue;
    }
    double near = (box.low[axis] - a[axis]) / way[axis];
    double far = (box.high[axis] - a[axis]) / way[axis];
    if (near > far) std::swap(near, far);
    from = std::max(from, near);
    to = std::min(to, far);
  }
  return from <= to;
}

bool Inside(const std::vector<Vec2>& polygon, const Vec2& p) {
  bool inside = false;
  for (std::size_t i = 0, j = polygon.size() - 1; i < polygon.size(); j = i++) {
    const Vec2& a = polygon[i];
    const Vec2& b = polygon[j];
    if ((a.y() > p.y()) == (b.y() > p.y())) continue;
    if (p.x() < (b.x() - a.x()) * (p.y() - a.y()) / (b.y() - a.y()) + a.x()) inside = !inside;
  }
  return inside;
}

void LabelPlacer::AvoidPolyline(const std::vector<Vec2>& points, bool closed) {
  for (std::size_t i = 1; i < points.size(); ++i) AvoidLine(points[i - 1], points[i]);
  if (closed && points.size() > 2) AvoidLine(points.back(), points.front());
}

bool LabelPlacer::Free(const Box& box, bool over_lines) const {
  if (!area_.Contains(box)) return false;
  const Box wide = box.Grown(kAir);
  const auto overlaps = [&](const Box& other) { return wide.Overlaps(other); };
  const auto crosses = [&](const Segment& line) { return Crosses(wide, line.a, line.b); };
  if (std::any_of(boxes_.begin(), boxes_.end(), overlaps)) return false;
  if (std::any_of(leaders_.begin(), leaders_.end(), crosses)) return false;
  return over_lines || std::none_of(lines_.begin(), lines_.end(), crosses);
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
  return kCrossingCost * static_cast<double>(std::count_if(lines_.begin(), lines_.end(), meets));
}

LabelPlacer::Placed LabelPlacer::At(const Request& request, const Vec2& anchor, int turn,
                                    double ring) {
  const double angle = kPi / 4.0 + kTurn * turn;
  Placed placed;
  placed.box = BoxAt(anchor, request.size, angle, request.clear + ring);
  placed.leader_from = placed.box.Nearest(anchor);
  const Vec2 away = placed.leader_from - anchor;
  placed.leader = request.leader && away.norm() > request.clear + kLeaderFrom;
  placed.leader_to = placed.leader ? Vec2(anchor + away.normalized() * request.clear) : anchor;
  return placed;
}

double LabelPlacer::Cost(const Placed& placed, const Request& request) const {
  const double cost = LeaderCost(placed, request);
  if (request.inside != nullptr && !LiesIn(*request.inside, placed.box)) {
    return cost + (request.only_inside ? kNever : kOutsideCost);
  }
  return cost;
}

/// Keeps the best place round one anchor, if it is better than what `best` holds.
void LabelPlacer::SearchRound(const Request& request, std::size_t anchor, bool over_lines,
                              Best* best) const {
  static const std::vector<double> kRings = Rings();
  for (const double ring : kRings) {
    const double near_cost = ring + 0.5 * static_cast<double>(anchor);
    if (near_cost >= best->cost || (!request.leader && ring > 40.0)) return;
    for (int turn = 0; turn < kDirections; ++turn) {
      const Placed placed = At(request, request.anchors[anchor], turn, ring);
      if (!Free(placed.box, over_lines)) continue;
      const double cost = near_cost + Cost(placed, request);
      if (cost < best->cost) *best = {cost, placed};
    }
  }
}

std::optional<LabelPlacer::Placed> LabelPlacer::Search(const Request& request,
                                                       bool over_lines) const {
  Best best{kNever, {}};
  for (std::size_t i = 0; i < request.anchors.size(); ++i) {
    SearchRound(request, i, over_lines, &best);
  }
  if (best.cost == kNever) return std::nullopt;
  best.placed.over_lines = over_lines;
  return best.placed;
}

std::optional<LabelPlacer::Placed> LabelPlacer::Place(const Request& request) {
  std::optional<Placed> placed = Search(request, false);
  if (!placed && request.over_lines) placed = Search(request, true);
  if (!placed) return placed;
  boxes_.push_back(placed->box);
  if (placed->leader) leaders_.push_back({placed->leader_from, placed->leader_to});
  return placed;
}

}  // namespace holeward
