// Best-first search over pairs of a cell of places and a piece of metal. Private to
// worst_pose*.cpp.
#pragma once

#include <array>
#include <functional>
#include <limits>
#include <stop_token>
#include <vector>

#include "geometry/worst_pose_bounds.h"

namespace holeward {

/// Pieces that are halved where the search asks for it.
class MetalPieces {
 public:
  void Add(MetalPiece piece) { pieces_.push_back(std::move(piece)); }
  void Close() { roots_ = static_cast<int>(pieces_.size()); }
  [[nodiscard]] int roots() const { return roots_; }
  [[nodiscard]] const MetalPiece& operator[](int piece) const {
    return pieces_[static_cast<std::size_t>(piece)];
  }
  /// Index of the first half; the second is the next.
  [[nodiscard]] int Halves(int piece);

 private:
  std::vector<MetalPiece> pieces_;
  int roots_ = 0;
};

/// A minimum over poses and metal.
struct PoseMinimum {
  double lower = std::numeric_limits<double>::infinity();
  double upper = std::numeric_limits<double>::infinity();
  Stance stance;              ///< where the upper one is attained
  Vec3 axis = Vec3::UnitZ();  ///< and how the drill leans there
  int piece = -1;
  int nodes = 0;
};

struct PairSearch {
  /// A cheaper bound, not above the value either; a pair is only looked at closer once this is the
  /// least of all. May be empty.
  std::function<double(const PlaceCell&, const MetalPiece&)> rough;
  /// Not above the value over the cell and the piece, given that nothing above `cut` matters.
  std::function<CellBound(const PlaceCell&, const MetalPiece&, double cut)> bound;
  /// The value one pose attains on a piece (at its corners); infinite if none is found there.
  std::function<double(const Stance&, const Vec3& axis, const MetalPiece&)> attained;
  /// Further leans worth trying there, at most one a corner; may be empty.
  std::function<std::array<Vec3, 4>(const Stance&, const MetalPiece&)> leans;
  /// The value one pose attains on a piece, found within `gap`; called seldom.
  std::function<double(const Stance&, const Vec3& axis, int piece)> settled;
  double cut = std::numeric_limits<double>::infinity();  ///< nothing from here on is of interest
  /// The minimum is known not to lie below this.
  double floor = -std::numeric_limits<double>::infinity();
  double gap = 0.04;
  int budget = 30000;
  double tilt = 0.0;          ///< axes lie within this of the intended ones, radians
  std::stop_token stop = {};  ///< asked to stop, it ends as if the budget were used up
  PoseMinimum known;          ///< a pose already known and its value; `piece` -1 for none
};

[[nodiscard]] PoseMinimum LeastOver(PlaceCells& cells, MetalPieces& pieces,
                                    const std::vector<int>& roots, const PairSearch& search);

}  // namespace holeward
