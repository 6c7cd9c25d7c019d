#include "geometry/polygon.h"

#include <algorithm>

namespace holeward {

Vec2 NearestOn(const Vec2& a, const Vec2& b, const Vec2& p) {
  const Vec2 run = b - a;
  const double share = std::clamp((p - a).dot(run) / std::max(run.squaredNorm(), 1e-300), 0.0, 1.0);
  return a + share * run;
}

double OffSegment(const Vec2& a, const Vec2& b, const Vec2& p) {
  return (NearestOn(a, b, p) - p).norm();
}

double AreaOf(const std::vector<Vec2>& polygon) {
  double twice = 0.0;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return 0.5 * twice;
}

bool IsInside(const std::vector<Vec2>& polygon, const Vec2& p) {
  bool inside = false;
  for (std::size_t k = 0, before = polygon.size() - 1; k < polygon.size(); before = k++) {
    const Vec2 &a = polygon[before], &b = polygon[k];
    if ((a.y() > p.y()) != (b.y() > p.y()) &&
        p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) {
      inside = !inside;
    }
  }
  return inside;
}

std::vector<double> CrossingsAt(const std::vector<Vec2>& polygon, double y) {
  std::vector<double> crossings;
  for (std::size_t k = 0, before = polygon.size() - 1; k < polygon.size(); before = k++) {
    const Vec2 &a = polygon[before], &b = polygon[k];
    if ((a.y() > y) == (b.y() > y)) continue;
    crossings.push_back(a.x() + (y - a.y()) / (b.y() - a.y()) * (b.x() - a.x()));
  }
  std::sort(crossings.begin(), crossings.end());
  return crossings;
}

double OffBorder(const std::vector<Vec2>& polygon, const Vec2& p) {
  double nearest = 1e300;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    nearest = std::min(nearest, OffSegment(polygon[k], polygon[(k + 1) % polygon.size()], p));
  }
  return nearest;
}

}  // namespace holeward
