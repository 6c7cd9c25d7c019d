#include "geometry/section_sheet.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <unordered_map>
#include <utility>

namespace holeward {
namespace {

constexpr double kSag = 0.002;      // what a chord may miss of the cut, mm
constexpr double kOnPlane = 1e-10;  // heights below this count as in the plane, mm
constexpr double kCell = 6.0;       // greatest size of a grid cell of a part, mm
constexpr int kCornerColumns = 6;
constexpr int kRoundColumns = 12;  // a quarter
constexpr int kMostHalvings = 7;

struct Place {
  double s = 0.0;
  double t = 0.0;
};

// ---------------------------------------------------------------- cutting

/// The crossings of one plane with the grid of one sheet, and the triangles that join them.
class Cutter {
 public:
  Cutter(const Sheet& sheet, const CutPlane& plane) : sheet_(sheet), plane_(plane) {
    width_ = sheet.columns + 1;
    heights_.resize(Index(sheet.rows + 1, 0));
    for (int i = 0; i <= sheet.rows; ++i) {
      for (int j = 0; j < width_; ++j) {
        // The seam twice the same, so that both sides of it agree.
        const int column = sheet.round ? j % sheet.columns : j;
        heights_[Index(i, j)] = Height({static_cast<double>(i), static_cast<double>(column)});
      }
    }
  }

  std::vector<SheetTrace> Run() {
    for (int i = 0; i < sheet_.rows; ++i) {
      for (int j = 0; j < sheet_.columns; ++j) {
        Triangle({i, j}, {i + 1, j}, {i + 1, j + 1});
        Triangle({i, j}, {i + 1, j + 1}, {i, j + 1});
      }
    }
    return Chains();
  }

 private:
  struct Node {
    int i = 0;
    int j = 0;
  };
  struct Crossing {
    double share = 0.0;  // from the edge's lower node
    std::vector<std::size_t> segments;
    int row = -1;  // the row it lies on, if its edge runs along a first or last row
  };
  struct Segment {
    std::array<long, 2> edges{};
    std::array<Place, 2> places{};
    bool used = false;
  };

  std::size_t Index(int i, int j) const {
    return static_cast<std::size_t>(i) * static_cast<std::size_t>(width_) +
           static_cast<std::size_t>(j);
  }
  double HeightAt(const Node& n) const { return heights_[Index(n.i, n.j)]; }
  bool Above(const Node& n) const { return HeightAt(n) >= 0.0; }
  Vec3 At(const Place& p) const {
    double t = p.t;
    if (sheet_.round) t -= sheet_.columns * std::floor(t / sheet_.columns);
    return sheet_.at(std::clamp(p.s, 0.0, static_cast<double>(sheet_.rows)),
                     std::clamp(t, 0.0, static_cast<double>(sheet_.columns)));
  }
  double Height(const Place& p) const {
    const double h = plane_.Height(At(p));
    return std::abs(h) < kOnPlane ? 0.0 : h;
  }

  /// Edges by their lower node and kind: 0 along s, 1 along t, 2 the diagonal. The seam's are one.
  long KeyOf(const Node& a, const Node& b) const {
    const int kind = a.j == b.j ? 0 : a.i == b.i ? 1 : 2;
    const int j = sheet_.round ? std::min(a.j, b.j) % sheet_.columns : std::min(a.j, b.j);
    return 3L * static_cast<long>(Index(std::min(a.i, b.i), j)) + kind;
  }
  static Place Between(const Node& a, const Node& b, double share) {
    return {a.i + share * (b.i - a.i), a.j + share * (b.j - a.j)};
  }

  /// The place on an edge where the sheet meets the plane, by regula falsi (Illinois).
  double ShareOf(const Node& low, const Node& high) const {
    double a = 0.0;
    double b = 1.0;
    double fa = HeightAt(low);
    double fb = HeightAt(high);
    if (fa == 0.0) return 0.0;
    if (fb == 0.0) return 1.0;
    int side = 0;
    double share = 0.5;
    for (int step = 0; step < 60; ++step) {
      share = (fa * b - fb * a) / (fa - fb);
      const double f = Height(Between(low, high, share));
      if (f == 0.0 || b - a < 1e-13) break;
      if ((f > 0.0) == (fb > 0.0)) {
        b = share;
        fb = f;
        if (side == -1) fa *= 0.5;
        side = -1;
      } else {
        a = share;
        fa = f;
        if (side == 1) fb *= 0.5;
        side = 1;
      }
    }
    return share;
  }

  void Triangle(const Node& a, const Node& b, const Node& c) {
    if (Above(a) == Above(b) && Above(b) == Above(c)) return;
    Segment segment;
    std::size_t found = 0;
    for (const auto& [p, q] : {std::pair{a, b}, std::pair{b, c}, std::pair{a, c}}) {
      if (Above(p) == Above(q) || found == 2) continue;
      const bool ordered = p.i < q.i || (p.i == q.i && p.j < q.j);
      const Node& low = ordered ? p : q;
      const Node& high = ordered ? q : p;
      const long key = KeyOf(low, high);
      auto [it, made] = crossings_.try_emplace(key);
      if (made) {
        it->second.share = ShareOf(low, high);
        if (low.i == high.i && (low.i == 0 || low.i == sheet_.rows)) it->second.row = low.i;
      }
      it->second.segments.push_back(segments_.size());
      segment.edges[found] = key;
      segment.places[found++] = Between(low, high, it->second.share);
    }
    segments_.push_back(segment);
  }

  /// Follows segments from one through the edge at its `end`; points up to, not with, the start.
  void Follow(std::size_t at, std::size_t enter, SheetTrace& trace, long& last_edge) {
    for (;;) {
      Segment& segment = segments_[at];
      segment.used = true;
      Refine(segment.places[enter], segment.places[1 - enter], trace.points, 0);
      last_edge = segment.edges[1 - enter];
      const Crossing& crossing = crossings_.at(last_edge);
      std::size_t next = at;
      for (const std::size_t other : crossing.segments) {
        if (other != at && !segments_[other].used) next = other;
      }
      if (next == at) return;
      enter = segments_[next].edges[0] == last_edge ? 0 : 1;
      at = next;
    }
  }

  std::vector<SheetTrace> Chains() {
    std::vector<SheetTrace> traces;
    auto start = [&](std::size_t at, std::size_t enter) {
      SheetTrace trace;
      const long first_edge = segments_[at].edges[enter];
      long last_edge = first_edge;
      trace.points.push_back(plane_.Flat(At(segments_[at].places[enter])));
      Follow(at, enter, trace, last_edge);
      trace.closed = last_edge == first_edge;
      trace.end_row = {crossings_.at(first_edge).row, crossings_.at(last_edge).row};
      if (trace.closed) trace.points.pop_back();
      traces.push_back(std::move(trace));
    };
    for (std::size_t k = 0; k < segments_.size(); ++k) {  // open ones from their ends
      for (const std::size_t end : {std::size_t{0}, std::size_t{1}}) {
        if (!segments_[k].used && crossings_.at(segments_[k].edges[end]).segments.size() == 1) {
          start(k, end);
        }
      }
    }
    for (std::size_t k = 0; k < segments_.size(); ++k) {
      if (!segments_[k].used) start(k, 0);
    }
    return traces;
  }

  /// A place of the cut near the middle between two, by Newton's method; the middle if it does not
  /// settle.
  Place Middle(const Place& p, const Place& q) const {
    constexpr double kStep = 1e-5;
    const Place middle{0.5 * (p.s + q.s), 0.5 * (p.t + q.t)};
    Place at = middle;
    const double reach = std::hypot(p.s - q.s, p.t - q.t);
    for (int step = 0; step < 8; ++step) {
      const double f = Height(at);
      if (f == 0.0) return at;
      const double fs = (Height({at.s + kStep, at.t}) - Height({at.s - kStep, at.t})) / kStep / 2.0;
      const double ft = (Height({at.s, at.t + kStep}) - Height({at.s, at.t - kStep})) / kStep / 2.0;
      const double slope = fs * fs + ft * ft;
      if (!(slope > 0.0)) break;
      at = {at.s - f * fs / slope, at.t - f * ft / slope};
      if (std::hypot(at.s - middle.s, at.t - middle.t) > reach) break;
    }
    return std::abs(Height(at)) < 1e-7 && std::hypot(at.s - middle.s, at.t - middle.t) <= reach
               ? at
               : middle;
  }

  /// Adds the points after `p` up to and with `q`.
  void Refine(const Place& p, const Place& q, std::vector<Vec2>& points, int halvings) const {
    const Vec3 from = At(p);
    const Vec3 to = At(q);
    if (halvings < kMostHalvings && (to - from).norm() > kSag) {
      const Place middle = Middle(p, q);
      const Vec3 at = At(middle);
      const Vec3 run = (to - from).normalized();
      const Vec3 off = at - from - (at - from).dot(run) * run;
      if (off.norm() > kSag) {
        Refine(p, middle, points, halvings + 1);
        Refine(middle, q, points, halvings + 1);
        return;
      }
    }
    points.push_back(plane_.Flat(to));
  }

  const Sheet& sheet_;
  const CutPlane& plane_;
  int width_ = 0;
  std::vector<double> heights_;
  std::unordered_map<long, Crossing> crossings_;
  std::vector<Segment> segments_;
};

// ---------------------------------------------------------------- strips as a grid

/// The strips of one side in a grid: segments along, pieces around.
struct StripGrid {
  std::vector<Strip> strips;
  std::size_t across = 0;    // pieces in a segment
  std::vector<int> rows;     // cells a segment
  std::vector<int> columns;  // cells a piece

  explicit StripGrid(const std::vector<Strip>& all) : strips(all) {
    while (across < strips.size() && strips[across].segment == strips.front().segment) ++across;
    for (std::size_t k = 0; k < strips.size(); k += across) {
      const Strip& strip = strips[k];
      const int intervals = static_cast<int>(strip.nodes.size()) - 1;
      const double length = (strip.nodes.back() - strip.nodes.front()) / intervals;
      rows.push_back(intervals * (1 + static_cast<int>(length / kCell)));
    }
    for (std::size_t k = 0; k < across; ++k) {
      const Strip& strip = strips[k];
      const double chord = (strip.At(0, 0.5, 1.0) - strip.At(0, 0.5, 0.0)).norm();
      const bool flat = strip.piece % 2 == 0 && strip.rows.front().size() == 2;
      const int least = across <= 4 ? kRoundColumns : flat ? 1 : kCornerColumns;
      columns.push_back(std::max(least, 1 + static_cast<int>(chord / kCell)));
    }
  }

  Vec3 At(std::size_t segment, double along, std::size_t piece, double around) const {
    const Strip& strip = strips[segment * across + piece];
    const int intervals = static_cast<int>(strip.nodes.size()) - 1;
    const double place = along * intervals;
    const int interval = std::clamp(static_cast<int>(place), 0, intervals - 1);
    return strip.At(interval, place - interval, around);
  }
};

/// Which of the counts holds x, and how far in it x lies, from 0 to 1.
std::pair<std::size_t, double> Within(const std::vector<int>& counts, double x) {
  std::size_t k = 0;
  while (k + 1 < counts.size() && x >= counts[k]) x -= counts[k++];
  return {k, std::clamp(x / counts[k], 0.0, 1.0)};
}

int Sum(const std::vector<int>& counts) {
  int sum = 0;
  for (const int n : counts) sum += n;
  return sum;
}

}  // namespace

std::vector<SheetTrace> CutSheet(const Sheet& sheet, const CutPlane& plane) {
  if (sheet.rows < 1 || sheet.columns < 1) return {};
  return Cutter(sheet, plane).Run();
}

Sheet SheetOf(const std::vector<Strip>& strips) {
  auto grid = std::make_shared<const StripGrid>(strips);
  Sheet sheet;
  sheet.rows = Sum(grid->rows);
  sheet.columns = Sum(grid->columns);
  sheet.at = [grid](double s, double t) {
    const auto [segment, along] = Within(grid->rows, s);
    const auto [piece, around] = Within(grid->columns, t);
    return grid->At(segment, along, piece, around);
  };
  return sheet;
}

Sheet SheetRound(const HollowStrips& strips) {
  auto outer = std::make_shared<const StripGrid>(strips.outer);
  auto inner = std::make_shared<const StripGrid>(strips.inner);
  const int out = Sum(outer->columns);
  const int in = Sum(inner->columns);
  Sheet sheet;
  sheet.rows = Sum(outer->rows);
  sheet.columns = out + in + 2;
  sheet.at = [outer, inner, out, in](double s, double t) -> Vec3 {
    const auto [segment, along] = Within(outer->rows, s);
    auto outside = [&, k = segment, a = along](double x) {
      const auto [piece, around] = Within(outer->columns, x);
      return outer->At(k, a, piece, around);
    };
    auto inside = [&, k = segment, a = along](double x) {
      const auto [piece, around] = Within(inner->columns, x);
      return inner->At(k, a, piece, around);
    };
    if (t <= out) return outside(t);
    t -= out;
    if (t <= 1.0) return (1.0 - t) * outside(out) + t * inside(in);
    t -= 1.0;
    if (t <= in) return inside(in - t);
    t -= in;
    return (1.0 - t) * inside(0.0) + t * outside(0.0);
  };
  return sheet;
}

}  // namespace holeward
