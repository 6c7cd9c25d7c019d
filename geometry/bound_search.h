// Best-first branch and bound over pieces of surface: a certified minimum.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <deque>
#include <limits>
#include <vector>

#include "geometry/piece.h"

namespace holeward {

/// When a search may stop.
struct SearchLimits {
  double gap = 2e-4;     ///< upper less lower bound, mm
  int halvings = 60000;  ///< after these the lower bound reached is returned as it is
};

/// The minimum of a function over a surface, between two bounds.
struct Minimum {
  double lower = std::numeric_limits<double>::infinity();  ///< certified; infinite: nowhere defined
  double upper = std::numeric_limits<double>::infinity();  ///< attained at `at`
  Vec3 at = Vec3::Zero();                                  ///< in the axis frame
  int obstacle = -1;
  bool settled = true;  ///< the two are within the gap
};

/// Minimises over all pieces.
/// @param lower (piece, extent) -> a value not above the function anywhere on the piece, infinite
///        where the function is not defined on it
/// @param upper (place on the surface, piece) -> the function there, infinite where not defined
/// A piece too small to halve counts as attaining its lower bound, so the result errs low.
template <class Lower, class Upper>
[[nodiscard]] Minimum MinimumOver(const std::vector<Piece>& pieces, const Lower& lower,
                                  const Upper& upper, const SearchLimits& limits = {}) {
  struct Node {
    double bound;
    std::size_t slot;
    double size;
  };
  constexpr double kSmallest = 1e-5;
  const auto later = [](const Node& a, const Node& b) { return a.bound > b.bound; };
  Minimum best;
  std::vector<Node> heap;
  // Halves lie in slots that are used again, with the memory of the poles they held.
  std::deque<Piece> halves;
  std::vector<std::size_t> empty;
  const auto piece_in = [&](std::size_t slot) -> const Piece& {
    return slot < pieces.size() ? pieces[slot] : halves[slot - pieces.size()];
  };
  const auto attain = [&](double value, const Vec3& at, int obstacle) {
    if (!(value < best.upper)) return;
    best.upper = value;
    best.at = at;
    best.obstacle = obstacle;
  };
  const auto push = [&](std::size_t slot) {
    const Piece& piece = piece_in(slot);
    const Extent extent = ExtentOf(piece);
    double bound = lower(piece, extent);
    if (std::isnan(bound)) bound = -std::numeric_limits<double>::infinity();  // never drop a piece
    if (bound >= best.upper) return false;
    for (int corner = 0; corner < 4; ++corner) {
      const Vec3 place = CornerOf(piece, corner);
      attain(upper(place, piece), place, piece.obstacle);
    }
    heap.push_back({bound, slot, extent.size});
    std::push_heap(heap.begin(), heap.end(), later);
    return true;
  };
  const auto leave = [&](std::size_t slot) {
    if (slot >= pieces.size()) empty.push_back(slot);
  };
  const auto take = [&] {
    if (empty.empty()) {
      halves.emplace_back();
      return pieces.size() + halves.size() - 1;
    }
    const std::size_t slot = empty.back();
    empty.pop_back();
    return slot;
  };
  for (std::size_t i = 0; i < pieces.size(); ++i) push(i);
  for (int halved = 0; !heap.empty(); ++halved) {
    std::pop_heap(heap.begin(), heap.end(), later);
    const Node node = heap.back();
    heap.pop_back();
    const Piece& piece = piece_in(node.slot);
    if (node.size < kSmallest) attain(node.bound, ExtentOf(piece).middle, piece.obstacle);
    if (node.bound >= best.upper - limits.gap || halved >= limits.halvings) {
      best.lower = std::min(node.bound, best.upper);
      best.settled = node.bound >= best.upper - limits.gap;
      return best;
    }
    const std::size_t first = take();
    const std::size_t second = take();
    Halve(piece, halves[first - pieces.size()], halves[second - pieces.size()]);
    leave(node.slot);
    for (const std::size_t half : {first, second}) {
      if (!push(half)) leave(half);
    }
  }
  best.lower = best.upper;
  return best;
}

}  // namespace holeward
