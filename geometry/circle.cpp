#include "geometry/circle.h"

#include <algorithm>
#include <cmath>

namespace holeward {

double SpaceCircle::Departure(const std::vector<Vec3>& places) const {
  double off = 0.0;
  for (const Vec3& place : places) {
    const double out = (place - centre).dot(normal);
    const double within = (place - centre - out * normal).norm() - radius;
    off = std::max(off, std::hypot(out, within));
  }
  return off;
}

std::optional<SpaceCircle> CircleThrough(const Vec3& a, const Vec3& b, const Vec3& c) {
  const Vec3 ab = b - a;
  const Vec3 ac = c - a;
  const Vec3 n = ab.cross(ac);
  const double area = n.squaredNorm();
  if (!(area > 1e-18)) return std::nullopt;
  const Vec3 to_centre =
      (ab.squaredNorm() * ac.cross(n) + ac.squaredNorm() * n.cross(ab)) / (2.0 * area);
  return SpaceCircle{a + to_centre, n.normalized(), to_centre.norm()};
}

std::optional<SpaceCircle> CircleOf(const std::vector<Vec3>& places) {
  if (places.size() < 3) return std::nullopt;
  const auto farthest = [&](auto&& distance) {
    return *std::max_element(places.begin(), places.end(), [&](const Vec3& p, const Vec3& q) {
      return distance(p) < distance(q);
    });
  };
  const Vec3 a = places.front();
  const Vec3 b = farthest([&](const Vec3& p) { return (p - a).norm(); });
  const Vec3 c = farthest([&](const Vec3& p) { return (p - a).cross(p - b).norm(); });
  return CircleThrough(a, b, c);
}

}  // namespace holeward
