// Upright rectangles on a page, and lines against them.
#pragma once

#include <optional>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// An upright rectangle, mm.
struct Box {
  Vec2 low = Vec2::Zero();
  Vec2 high = Vec2::Zero();

  [[nodiscard]] Vec2 Size() const { return high - low; }
  [[nodiscard]] Vec2 Centre() const { return (low + high) / 2.0; }
  [[nodiscard]] Box Grown(double by) const {
    return {low - Vec2::Constant(by), high + Vec2::Constant(by)};
  }
  /// True if the boxes share more than a border.
  [[nodiscard]] bool Overlaps(const Box& other) const {
    return low.x() < other.high.x() && other.low.x() < high.x() && low.y() < other.high.y() &&
           other.low.y() < high.y();
  }
  /// True if `p` lies in the box or on its border.
  [[nodiscard]] bool Contains(const Vec2& p) const {
    return p.x() >= low.x() && p.x() <= high.x() && p.y() >= low.y() && p.y() <= high.y();
  }
  [[nodiscard]] bool Contains(const Box& other) const {
    return Contains(other.low) && Contains(other.high);
  }
  /// The place of the box nearest to `p`.
  [[nodiscard]] Vec2 Nearest(const Vec2& p) const;
};

/// The corners, counter-clockwise from the lower left.
[[nodiscard]] std::vector<Vec2> CornersOf(const Box& box);

/// The stretch of the straight line a–b that lies in the box, as parts of the way from a to b;
/// nothing if none does. Source: Liang and Barsky, ACM Transactions on Graphics 3 (1984) 1.
struct Stretch {
  double from = 0.0;
  double to = 1.0;
};
[[nodiscard]] std::optional<Stretch> StretchWithin(const Box& box, const Vec2& a, const Vec2& b);

/// True if any part of the straight line a–b lies in the box.
[[nodiscard]] bool Crosses(const Box& box, const Vec2& a, const Vec2& b);

}  // namespace holeward
