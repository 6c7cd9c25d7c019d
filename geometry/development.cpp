#include "geometry/development.h"

#include <algorithm>

namespace holeward {
namespace {

Vec2 Flipped(const Vec2& p, double width) { return {width - p.x(), p.y()}; }

}  // namespace

double OutlineReach(const FlatMark& mark) {
  double reach = 0.0;
  for (const Vec2& p : mark.outline) reach = std::max(reach, (p - mark.at).norm());
  return reach;
}

DevelopedPiece Mirrored(const DevelopedPiece& piece) {
  double left = 0.0, right = 0.0;
  bool first = true;
  for (const FlatLine& line : piece.lines) {
    for (const Vec2& p : line.points) {
      left = first ? p.x() : std::min(left, p.x());
      right = first ? p.x() : std::max(right, p.x());
      first = false;
    }
  }
  const double width = left + right;
  DevelopedPiece out = piece;
  for (FlatLine& line : out.lines) {
    for (Vec2& p : line.points) p = Flipped(p, width);
    // The inside of the outline stays on the same hand.
    if (line.closed) std::reverse(line.points.begin(), line.points.end());
  }
  for (FlatMark& mark : out.marks) {
    mark.at = Flipped(mark.at, width);
    for (Vec2& p : mark.outline) p = Flipped(p, width);
    std::reverse(mark.outline.begin(), mark.outline.end());
  }
  out.front.x() = -out.front.x();
  out.up.x() = -out.up.x();
  return out;
}

}  // namespace holeward
