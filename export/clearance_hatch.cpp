#include "export/clearance_hatch.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace holeward {
namespace {

constexpr double kSame = 1e-9;  ///< of a line's length: pieces shorter than it are none
constexpr double kTiny = 1e-3;  ///< mm: far below what a pen can draw

double Cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

/// Where a line crosses the sides of polygons, as shares of its length, unordered.
void AddCrossings(const Vec2& from, const Vec2& way, const Loops& loops, std::vector<double>* at) {
  for (const auto& loop : loops) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2& p = loop[i];
      const Vec2 side = loop[(i + 1) % loop.size()] - p;
      const double d = Cross(way, side);
      if (d == 0.0) continue;
      const double t = Cross(p - from, side) / d;
      const double s = Cross(p - from, way) / d;
      if (s >= 0.0 && s <= 1.0 && t > 0.0 && t < 1.0) at->push_back(t);
    }
  }
}

bool InAny(const Loops& loops, const Vec2& p) {
  return std::any_of(loops.begin(), loops.end(),
                     [&](const auto& loop) { return IsInside(loop, p); });
}

bool InOdd(const Loops& loops, const Vec2& p) {
  return std::count_if(loops.begin(), loops.end(),
                       [&](const auto& loop) { return IsInside(loop, p); }) %
             2 ==
         1;
}

/// The pieces of a line whose middles pass `keep`, cut wherever it crosses a polygon.
template <class Keep>
std::vector<Segment2> Pieces(const Vec2& from, const Vec2& to, const Loops& first,
                             const Loops& second, const Keep& keep) {
  std::vector<double> cuts = {0.0, 1.0};
  AddCrossings(from, to - from, first, &cuts);
  AddCrossings(from, to - from, second, &cuts);
  std::sort(cuts.begin(), cuts.end());
  std::vector<Segment2> pieces;
  double open = -1.0;  // where the piece under way begins
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    if (cuts[i + 1] - cuts[i] < kSame) continue;
    const bool in = keep(from + 0.5 * (cuts[i] + cuts[i + 1]) * (to - from));
    if (in && open < 0.0) open = cuts[i];
    if (!in && open >= 0.0) {
      pieces.emplace_back(from + open * (to - from), from + cuts[i] * (to - from));
      open = -1.0;
    }
  }
  if (open >= 0.0) pieces.emplace_back(from + open * (to - from), to);
  return pieces;
}

/// A line cut to a box.
std::optional<Segment2> Cut(const Vec2& a, const Vec2& b, const Box& box) {
  const auto part = StretchWithin(box, a, b);
  if (!part || part->from == part->to) return std::nullopt;
  return Segment2{a + part->from * (b - a), a + part->to * (b - a)};
}

}  // namespace

std::vector<Segment2> Hatch(const Loops& loops, double turn_rad, double spacing, const Box& window,
                            const Loops& holes) {
  std::vector<Segment2> lines;
  const Vec2 way(std::cos(turn_rad), std::sin(turn_rad));
  const Vec2 across(-way.y(), way.x());
  double low = 1e300;
  double high = -1e300;
  for (const Vec2& corner : {window.low, window.high, Vec2(window.low.x(), window.high.y()),
                             Vec2(window.high.x(), window.low.y())}) {
    low = std::min(low, across.dot(corner));
    high = std::max(high, across.dot(corner));
  }
  const double reach = (window.high - window.low).norm() + 1.0;
  const Vec2 middle = way * way.dot(window.Centre());
  // Lines at whole multiples of the spacing: neighbouring views and regions hatch alike.
  for (double at = std::ceil(low / spacing) * spacing; at <= high; at += spacing) {
    const Vec2 foot = middle + at * across;
    const auto cut = Cut(foot - reach * way, foot + reach * way, window);
    if (!cut) continue;
    for (const Segment2& piece : Pieces(cut->first, cut->second, loops, holes, [&](const Vec2& p) {
           return InOdd(loops, p) && !InAny(holes, p);
         })) {
      if ((piece.second - piece.first).norm() > kTiny) lines.push_back(piece);
    }
  }
  return lines;
}

Loops Visible(const std::vector<Vec2>& points, bool closed, const Box& window, const Loops& holes) {
  Loops runs;
  const std::size_t count = points.size();
  for (std::size_t i = 0; i + (closed ? 0 : 1) < count; ++i) {
    const auto cut = Cut(points[i], points[(i + 1) % count], window);
    if (!cut) continue;
    for (const Segment2& piece : Pieces(cut->first, cut->second, {}, holes,
                                        [&](const Vec2& p) { return !InAny(holes, p); })) {
      const bool goes_on =
          !runs.empty() && (runs.back().back() - piece.first).norm() < kTiny * kTiny;
      if (goes_on) {
        runs.back().push_back(piece.second);
      } else {
        runs.push_back({piece.first, piece.second});
      }
    }
  }
  // The end of a closed line runs on into its beginning.
  if (closed && runs.size() > 1 && (runs.back().back() - runs.front().front()).norm() < 1e-6) {
    runs.back().insert(runs.back().end(), runs.front().begin() + 1, runs.front().end());
    runs.front() = std::move(runs.back());
    runs.pop_back();
  }
  return runs;
}

}  // namespace holeward
