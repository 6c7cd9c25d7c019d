#include "geometry/tape_grid.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <queue>

namespace holeward {
namespace {

constexpr int kStride = 2;  // of the table's lines: enough to tell ways apart
constexpr std::array<std::array<int, 2>, 16> kMoves = {{{0, 1},
                                                        {0, -1},
                                                        {1, 0},
                                                        {-1, 0},
                                                        {1, 1},
                                                        {1, -1},
                                                        {-1, 1},
                                                        {-1, -1},
                                                        {1, 2},
                                                        {1, -2},
                                                        {-1, 2},
                                                        {-1, -2},
                                                        {2, 1},
                                                        {2, -1},
                                                        {-2, 1},
                                                        {-2, -1}}};

class Grid {
 public:
  Grid(const SurfaceTable& table, const TapeStart& start, const SkinPlace& to)
      : table_(table), start_(start), to_(to) {
    for (std::size_t i = 0; i < table.u_lines().size(); i += kStride)
      u_.push_back(table.u_lines()[i]);
    for (std::size_t k = 0; k < table.v_lines().size(); k += kStride)
      v_.push_back(table.v_lines()[k]);
    period_ = v_.back() - v_.front();
    if (table.closed()) v_.pop_back();
    rows_ = static_cast<int>(u_.size());
    columns_ = static_cast<int>(v_.size());
    for (double u : u_) {
      for (double v : v_) x_.push_back(table.At({u, v}).position);
    }
    distance_.assign(x_.size(), 1e300);
    from_.assign(x_.size(), -1);
    foot_.assign(x_.size(), SkinPlace{});
  }

  std::vector<SkinPlace> Run() {
    Begin();
    Spread();
    return Trace();
  }

 private:
  struct Entry {
    double distance;
    int node;
    bool operator<(const Entry& other) const { return distance > other.distance; }
  };

  static int Before(const std::vector<double>& lines, double x) {
    const auto it = std::upper_bound(lines.begin(), lines.end(), x);
    return std::clamp(static_cast<int>(it - lines.begin()) - 1, 0,
                      static_cast<int>(lines.size()) - 1);
  }
  [[nodiscard]] double Wrapped(double v) const {
    if (!table_.closed()) return v;
    return v - period_ * std::floor((v - v_.front()) / period_);
  }
  /// Node of a row and a column that may lie beyond the seam; -1 off the grid.
  [[nodiscard]] int Node(int row, int column) const {
    if (row < 0 || row >= rows_) return -1;
    if (table_.closed()) column = (column % columns_ + columns_) % columns_;
    if (column < 0 || column >= columns_) return -1;
    return row * columns_ + column;
  }
  void Offer(int node, double distance, int from, const SkinPlace& foot) {
    if (node < 0 || distance >= distance_[node]) return;
    distance_[node] = distance;
    from_[node] = from;
    foot_[node] = foot;
    queue_.push({distance, node});
  }
  /// Nodes round a place, `rows` and `columns` each way.
  [[nodiscard]] std::vector<int> Round(const SkinPlace& p, int rows, int columns) const {
    std::vector<int> nodes;
    const int i = Before(u_, p.u), k = Before(v_, Wrapped(p.v));
    for (int a = 1 - rows; a <= rows; ++a) {
      for (int b = 1 - columns; b <= columns; ++b) {
        if (const int node = Node(i + a, k + b); node >= 0) nodes.push_back(node);
      }
    }
    return nodes;
  }
  void BeginAt(const SkinPlace& foot, int rows, int columns) {
    const Vec3 x = table_.At(foot).position;
    for (const int node : Round(foot, rows, columns)) {
      Offer(node, (x_[node] - x).norm(), -1, foot);
    }
  }
  void Begin() {
    if (start_.kind == TapeStart::Kind::point) BeginAt(start_.place, 2, 2);
    if (start_.kind == TapeStart::Kind::section) {
      for (double v : v_) {
        const double turned =
            start_.limited && table_.closed()
                ? v + period_ *
                          std::round((0.5 * (start_.range.from + start_.range.to) - v) / period_)
                : v;
        if (start_.limited && (turned < start_.range.from || turned > start_.range.to)) continue;
        BeginAt(start_.At(turned), 1, 1);
      }
      if (start_.limited) {
        BeginAt(start_.At(start_.range.from), 1, 1);
        BeginAt(start_.At(start_.range.to), 1, 1);
      }
    }
    if (start_.kind == TapeStart::Kind::line) {
      for (double u : u_)
        BeginAt(start_.At(std::clamp(u, start_.range.from, start_.range.to)), 1, 1);
    }
  }
  void Spread() {
    while (!queue_.empty()) {
      const Entry e = queue_.top();
      queue_.pop();
      if (e.distance > distance_[e.node]) continue;
      const int row = e.node / columns_, column = e.node % columns_;
      for (const auto& move : kMoves) {
        const int next = Node(row + move[0], column + move[1]);
        if (next < 0) continue;
        Offer(next, e.distance + (x_[next] - x_[e.node]).norm(), e.node, foot_[e.node]);
      }
    }
  }
  /// v of the turn nearest to `near`.
  [[nodiscard]] double Near(double v, double near) const {
    return table_.closed() ? v + period_ * std::round((near - v) / period_) : v;
  }
  [[nodiscard]] std::vector<SkinPlace> Trace() const {
    const Vec3 x = table_.At(to_).position;
    int last = -1;
    double least = 1e300;
    for (const int node : Round(to_, 2, 2)) {
      const double d = distance_[node] + (x_[node] - x).norm();
      if (d < least) {
        least = d;
        last = node;
      }
    }
    std::vector<SkinPlace> path;
    if (last < 0 || least > 1e200) return path;
    path.push_back(to_);
    for (int node = last; node >= 0; node = from_[node]) {
      path.push_back({u_[node / columns_], Near(v_[node % columns_], path.back().v)});
    }
    const SkinPlace foot = foot_[last];
    path.push_back({foot.u, Near(foot.v, path.back().v)});
    std::reverse(path.begin(), path.end());
    const double shift = foot.v - path.front().v;  // the start keeps its own turn
    for (SkinPlace& p : path) p.v += shift;
    return path;
  }

  const SurfaceTable& table_;
  const TapeStart& start_;
  SkinPlace to_;
  std::vector<double> u_, v_;
  double period_ = 0.0;
  int rows_ = 0, columns_ = 0;
  std::vector<Vec3> x_;
  std::vector<double> distance_;
  std::vector<int> from_;
  std::vector<SkinPlace> foot_;
  std::priority_queue<Entry> queue_;
};

/// The same path in parts of like length.
std::vector<SkinPlace> Evenly(const SurfaceTable& table, const std::vector<SkinPlace>& path,
                              int chords) {
  std::vector<double> s = {0.0};
  for (std::size_t i = 1; i < path.size(); ++i) {
    s.push_back(s.back() + (table.At(path[i]).position - table.At(path[i - 1]).position).norm());
  }
  std::vector<SkinPlace> places = {path.front()};
  std::size_t i = 1;
  for (int n = 1; n < chords; ++n) {
    const double at = s.back() * n / chords;
    while (i + 1 < s.size() && s[i] < at) ++i;
    const double t = s[i] > s[i - 1] ? (at - s[i - 1]) / (s[i] - s[i - 1]) : 0.0;
    places.push_back({path[i - 1].u + t * (path[i].u - path[i - 1].u),
                      path[i - 1].v + t * (path[i].v - path[i - 1].v)});
  }
  places.push_back(path.back());
  return places;
}

}  // namespace

std::vector<SkinPlace> GridPath(const SurfaceTable& table, const TapeStart& start,
                                const SkinPlace& to, int chords) {
  const std::vector<SkinPlace> path = Grid(table, start, to).Run();
  return path.size() < 2 ? std::vector<SkinPlace>{} : Evenly(table, path, chords);
}

}  // namespace holeward
