#include "geometry/worst_pose_search.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace holeward {
namespace {

constexpr double kSmallestPiece = 1e-4;
constexpr double kSmallestCell = 1e-4;

struct Pair {
  CellBound bound;
  int cell = 0;
  int piece = 0;
  bool is_rough = false;  ///< of the bound the depth alone is there, from the cheaper one
};

class Searcher {
 public:
  Searcher(PlaceCells& cells, MetalPieces& pieces, const PairSearch& search)
      : cells_(cells), pieces_(pieces), search_(search) {
    best_ = search.known;
    best_.nodes = 0;
    if (best_.piece < 0 || !(best_.upper < search.cut)) {
      best_.upper = search.cut;
      best_.piece = -1;
    }
  }

  PoseMinimum Run(const std::vector<int>& roots) {
    for (int cell = 0; cell < cells_.roots(); ++cell) {
      // Pairs not looked at yet leave nothing proven.
      if (Stopped()) return Ended(-std::numeric_limits<double>::infinity());
      for (const int piece : roots) Push(cell, piece);
    }
    best_.lower = std::numeric_limits<double>::infinity();
    while (!heap_.empty()) {
      std::pop_heap(heap_.begin(), heap_.end(), Later);
      const Pair pair = heap_.back();
      heap_.pop_back();
      if (Stopped()) return Ended(pair.bound.depth);
      if (pair.is_rough && !Decided(pair)) {
        PushClosely(pair.cell, pair.piece);
        continue;
      }
      if (!Decided(pair)) Attain(pair);
      if (Decided(pair) || best_.nodes >= search_.budget || !Divide(pair)) {
        return Ended(pair.bound.depth);
      }
    }
    return Ended(best_.upper);
  }

 private:
  [[nodiscard]] bool Stopped() const { return search_.stop.stop_requested(); }
  static bool Later(const Pair& a, const Pair& b) { return a.bound.depth > b.bound.depth; }

  [[nodiscard]] bool Decided(const Pair& pair) const {
    return std::max(pair.bound.depth, search_.floor) >= best_.upper - search_.gap;
  }

  PoseMinimum Ended(double lower) {
    best_.lower = std::min(std::max(lower, search_.floor), best_.upper);
    if (best_.piece < 0) best_.upper = std::numeric_limits<double>::infinity();
    return best_;
  }

  void Push(int cell, int piece) {
    ++best_.nodes;
    if (!search_.rough) return PushClosely(cell, piece);
    Pair pair{{}, cell, piece, true};
    pair.bound.depth = search_.rough(cells_[cell], pieces_[piece]);
    Keep(pair);
  }

  void PushClosely(int cell, int piece) {
    Keep({search_.bound(cells_[cell], pieces_[piece], best_.upper), cell, piece});
  }

  void Keep(Pair pair) {
    // Never drop what is not a number.
    if (std::isnan(pair.bound.depth)) {
      pair.bound.depth = -std::numeric_limits<double>::infinity();
    }
    if (pair.bound.depth >= best_.upper) return;
    heap_.push_back(std::move(pair));
    std::push_heap(heap_.begin(), heap_.end(), Later);
  }

  void Take(double value, const Stance& stance, const Vec3& axis, int piece) {
    if (!(value < best_.upper)) return;
    best_.upper = value;
    best_.stance = stance;
    best_.axis = axis;
    best_.piece = piece;
  }

  void Attain(const Pair& pair) {
    const Stance stance = cells_.Inside(pair.cell, pair.bound.mix);
    const double nu = std::acos(std::clamp(pair.bound.along.dot(stance.axis), -1.0, 1.0));
    // The same lean off the intended axis, which may have turned on the way to the zone's border.
    const double psi = std::max(0.0, pair.bound.psi + nu - pair.bound.nu);
    Vec3 axis = LeantAxis(stance.axis, pair.bound.along, psi);
    const double lean = std::acos(std::clamp(axis.dot(stance.axis), -1.0, 1.0));
    if (lean > search_.tilt) axis = LeantAxis(axis, stance.axis, search_.tilt);
    Take(search_.attained(stance, axis, pieces_[pair.piece]), stance, axis, pair.piece);
    if (search_.leans) {
      for (const Vec3& other : search_.leans(stance, pieces_[pair.piece])) {
        Take(search_.attained(stance, other, pieces_[pair.piece]), stance, other, pair.piece);
      }
    }
    if (Decided(pair) || !search_.settled) return;
    if (pair.bound.piece_spread + pair.bound.cell_spread > 0.7 * search_.gap) return;
    Take(search_.settled(stance, axis, pair.piece), stance, axis, pair.piece);
  }

  /// False: neither can be halved any more.
  bool Divide(const Pair& pair) {
    const PlaceCell& cell = cells_[pair.cell];
    const double cell_size = 2.0 * cell.half.norm();
    const bool cell_divides = cell_size > kSmallestCell;
    const bool piece_divides = pieces_[pair.piece].size > kSmallestPiece;
    if (!cell_divides && !piece_divides) return false;
    bool of_cell = pair.bound.cell_spread > pair.bound.piece_spread;
    if (pair.bound.cell_spread + pair.bound.piece_spread < 0.3 * search_.gap) {
      of_cell = cell_size > pieces_[pair.piece].size;
    }
    if (!cell_divides) of_cell = false;
    if (!piece_divides) of_cell = true;
    if (of_cell) {
      int way = pair.bound.way;
      if (cell.half[way] < 0.05 * cell.half[1 - way]) way = 1 - way;
      const auto [first, second] = cells_.Halves(pair.cell, way);
      if (first >= 0) Push(first, pair.piece);
      if (second >= 0) Push(second, pair.piece);
    } else {
      const int first = pieces_.Halves(pair.piece);
      Push(pair.cell, first);
      Push(pair.cell, first + 1);
    }
    return true;
  }

  PlaceCells& cells_;
  MetalPieces& pieces_;
  const PairSearch& search_;
  PoseMinimum best_;
  std::vector<Pair> heap_;
};

}  // namespace

int MetalPieces::Halves(int piece) {
  const auto index = static_cast<std::size_t>(piece);
  if (pieces_[index].child < 0) {
    Piece first;
    Piece second;
    Halve(pieces_[index].piece, first, second);
    const int group = pieces_[index].group;
    pieces_[index].child = static_cast<int>(pieces_.size());
    pieces_.push_back(MetalOf(std::move(first), group));
    pieces_.push_back(MetalOf(std::move(second), group));
  }
  return pieces_[index].child;
}

PoseMinimum LeastOver(PlaceCells& cells, MetalPieces& pieces, const std::vector<int>& roots,
                      const PairSearch& search) {
  return Searcher(cells, pieces, search).Run(roots);
}

}  // namespace holeward
