#include "geometry/tape_grid.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <queue>

namespace holeward {
namespace {

constexpr int kStride = 2;    // of the table's v lines: enough to tell ways apart
constexpr double kRow = 8.0;  // mm, or the table's own rows where they are nearer
constexpr int kMostRows = 160;
constexpr double kBand = 12.0;    // mm along a way
constexpr int kRing = 2;          // nodes each way
constexpr double kLonger = 1.25;  // by the grid's lengths, which err by some per cent
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
  Grid(const SurfaceTable& table, const TapeStart& start) : table_(table), start_(start) {
    Rows();
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

  void Run() {
    Begin();
    Spread();
  }
  [[nodiscard]] int nodes() const { return rows_ * columns_; }
  [[nodiscard]] double Distance(int node) const { return distance_[node]; }
  /// The node a row and columns away, beyond the seam too; -1 off the grid.
  [[nodiscard]] int Beside(int node, int rows, int columns) const {
    return Node(node / columns_ + rows, node % columns_ + columns);
  }

  /// The chain of nodes from the start to a node.
  [[nodiscard]] std::vector<SkinPlace> To(int node) const {
    std::vector<SkinPlace> path;
    SkinPlace foot;
    for (int n = node; n >= 0; n = from_[n]) {
      const double near = path.empty() ? v_[n % columns_] : path.back().v;
      path.push_back({u_[n / columns_], Near(v_[n % columns_], near)});
      foot = foot_[n];
    }
    path.push_back({foot.u, Near(foot.v, path.back().v)});
    std::reverse(path.begin(), path.end());
    const double shift = foot.v - path.front().v;  // the start keeps its own turn
    for (SkinPlace& p : path) p.v += shift;
    return path;
  }
  /// v of the turn nearest to `near`.
  [[nodiscard]] double Near(double v, double near) const {
    return table_.closed() ? v + period_ * std::round((near - v) / period_) : v;
  }

 private:
  /// Rows of the grid: as near to square cells as a bound on their number allows.
  void Rows() {
    const auto& lines = table_.u_lines();
    const double all = lines.back() - lines.front();
    const int rows = std::clamp(static_cast<int>(std::ceil(all / kRow)),
                                static_cast<int>(lines.size()) / kStride, kMostRows);
    for (int i = 0; i <= rows; ++i) u_.push_back(lines.front() + all * i / rows);
  }

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
  const SurfaceTable& table_;
  const TapeStart& start_;
  std::vector<double> u_, v_;
  double period_ = 0.0;
  int rows_ = 0, columns_ = 0;
  std::vector<Vec3> x_;
  std::vector<double> distance_;
  std::vector<int> from_;
  std::vector<SkinPlace> foot_;
  std::priority_queue<Entry> queue_;
};

/// Valleys of the length of the way through a node: nodes that are the least of their
/// neighbourhood among those a given part of their way along.
std::vector<int> Valleys(const Grid& from, const Grid& to, double part, double most) {
  const auto along = [&](int node) { return from.Distance(node) + to.Distance(node); };
  const auto counts = [&](int node) {
    if (node < 0 || along(node) > most) return false;
    return std::abs(from.Distance(node) - part * along(node)) < kBand;
  };
  std::vector<int> valleys;
  for (int node = 0; node < from.nodes(); ++node) {
    if (!counts(node)) continue;
    bool least = true;
    for (int a = -kRing; least && a <= kRing; ++a) {
      for (int b = -kRing; least && b <= kRing; ++b) {
        const int other = from.Beside(node, a, b);
        if (other == node || !counts(other)) continue;
        const double gap = along(other) - along(node);
        least = gap > 0.0 || (gap == 0.0 && other > node);
      }
    }
    if (least) valleys.push_back(node);
  }
  return valleys;
}

}  // namespace

std::vector<SkinPlace> EvenPlaces(const SurfaceTable& table, const std::vector<SkinPlace>& path,
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

std::vector<std::vector<SkinPlace>> GridPaths(const SurfaceTable& table, const TapeStart& start,
                                              const SkinPlace& to, int chords) {
  Grid from(table, start);
  from.Run();
  TapeStart end;
  end.place = to;
  Grid back(table, end);
  back.Run();
  double least = 1e300;
  for (int node = 0; node < from.nodes(); ++node) {
    least = std::min(least, from.Distance(node) + back.Distance(node));
  }
  std::vector<std::vector<SkinPlace>> paths;
  if (least > 1e200) return paths;
  for (const double part : {0.5, 0.25, 0.75}) {
    for (const int node : Valleys(from, back, part, kLonger * least)) {
      std::vector<SkinPlace> path = from.To(node);
      std::vector<SkinPlace> rest = back.To(node);
      std::reverse(rest.begin(), rest.end());
      const double shift = path.back().v - rest.front().v;
      for (std::size_t i = 1; i < rest.size(); ++i) path.push_back({rest[i].u, rest[i].v + shift});
      paths.push_back(EvenPlaces(table, path, chords));
    }
  }
  return paths;
}

}  // namespace holeward
