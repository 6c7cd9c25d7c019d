#include "export/box.h"

#include <algorithm>
#include <utility>

namespace holeward {

Vec2 Box::Nearest(const Vec2& p) const { return p.cwiseMax(low).cwiseMin(high); }

std::vector<Vec2> CornersOf(const Box& box) {
  return {box.low, {box.high.x(), box.low.y()}, box.high, {box.low.x(), box.high.y()}};
}

std::optional<Stretch> StretchWithin(const Box& box, const Vec2& a, const Vec2& b) {
  // The part of a–b inside each of the four half planes in turn.
  Stretch part;
  const Vec2 way = b - a;
  for (int axis = 0; axis < 2; ++axis) {
    if (way[axis] == 0.0) {
      if (a[axis] < box.low[axis] || a[axis] > box.high[axis]) return std::nullopt;
      continue;
    }
    double near = (box.low[axis] - a[axis]) / way[axis];
    double far = (box.high[axis] - a[axis]) / way[axis];
    if (near > far) std::swap(near, far);
    part.from = std::max(part.from, near);
    part.to = std::min(part.to, far);
  }
  if (part.from > part.to) return std::nullopt;
  return part;
}

bool Crosses(const Box& box, const Vec2& a, const Vec2& b) {
  // Most lines lie wholly to one side: told without a division.
  if (std::max(a.x(), b.x()) < box.low.x() || std::min(a.x(), b.x()) > box.high.x() ||
      std::max(a.y(), b.y()) < box.low.y() || std::min(a.y(), b.y()) > box.high.y()) {
    return false;
  }
  return StretchWithin(box, a, b).has_value();
}

}  // namespace holeward
