// Boxes sorted so that what lies near a place is found without looking at everything.
#pragma once

#include <cstddef>
#include <functional>
#include <limits>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// An upright box; as made it is empty, with low above high.
struct UprightBox {
  Vec3 low = Vec3::Constant(std::numeric_limits<double>::infinity());
  Vec3 high = Vec3::Constant(-std::numeric_limits<double>::infinity());

  [[nodiscard]] bool empty() const { return !(low.x() <= high.x()); }
  [[nodiscard]] bool bounded() const { return low.allFinite() && high.allFinite(); }
  [[nodiscard]] Vec3 middle() const { return 0.5 * (low + high); }
  [[nodiscard]] Vec3 half() const { return 0.5 * (high - low); }
  /// Widens the box to hold a place and everything within `grown` of it.
  void Hold(const Vec3& place, double grown = 0.0);
  void Hold(const UprightBox& other);
};

/// A tree of boxes, each known by its place in the list it was made of. Each inner box holds the
/// boxes below it (a bounding volume hierarchy, split at the median of the longest side).
class BoxTree {
 public:
  /// A value not above that of anything inside the box; infinite: nothing in it counts.
  using Bound = std::function<double(const UprightBox&)>;
  /// Takes one box; false ends the search.
  using Take = std::function<bool(std::size_t index, double bound)>;

  BoxTree() = default;
  explicit BoxTree(std::vector<UprightBox> boxes);

  /// Hands out the boxes in ascending order of their bounds (of a box or, if greater, of one round
  /// it), equal ones in the order of the list, until `take` returns false; those of infinite bound
  /// never.
  /// @return how many boxes, inner ones among them, were looked at
  std::size_t InOrder(const Bound& bound, const Take& take) const;

 private:
  struct Node {
    UprightBox box;
    std::size_t index = 0;  ///< of a leaf: into the list; else of the first of two children
    bool leaf = false;
  };
  void Split(std::size_t node, std::vector<std::size_t>& order, std::size_t from, std::size_t to,
             const std::vector<UprightBox>& boxes);

  std::vector<Node> nodes_;
};

}  // namespace holeward
