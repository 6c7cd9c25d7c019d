#include "viewer/line_of_sight.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr std::size_t kBunch = 24;   // surfaces in a box
constexpr double kThinnest = 1e-12;  // of a direction along an axis, and of a triangle seen edge on

/// The line passes through the box before it ends: the slabs of its three axes overlap.
bool Meets(const Eigen::AlignedBox3d& box, const SightLine& line) {
  double from = 0.0;
  double to = line.distance;
  for (int i = 0; i < 3; ++i) {
    const double way = line.to_eye[i];
    if (std::abs(way) < kThinnest) {
      if (line.place[i] < box.min()[i] || line.place[i] > box.max()[i]) return false;
      continue;
    }
    const double a = (box.min()[i] - line.place[i]) / way;
    const double b = (box.max()[i] - line.place[i]) / way;
    from = std::max(from, std::min(a, b));
    to = std::min(to, std::max(a, b));
  }
  return from <= to;
}

/// The line crosses a triangle at a distance worth counting (T. Moeller and B. Trumbore, Fast,
/// minimum storage ray/triangle intersection, 1997).
bool Crosses(const Vec3& a, const Vec3& b, const Vec3& c, const SightLine& line) {
  const Vec3 ab = b - a;
  const Vec3 ac = c - a;
  const Vec3 p = line.to_eye.cross(ac);
  const double det = ab.dot(p);
  if (std::abs(det) < kThinnest) return false;
  const Vec3 from = line.place - a;
  const double u = from.dot(p) / det;
  if (!(u >= 0.0 && u <= 1.0)) return false;
  const Vec3 q = from.cross(ab);
  const double v = line.to_eye.dot(q) / det;
  if (!(v >= 0.0 && u + v <= 1.0)) return false;
  const double at = ac.dot(q) / det;
  return at > LineOfSight::kClearOfSkin && at < line.distance;
}

}  // namespace

LineOfSight::LineOfSight(const std::vector<ShapeBody>& bodies) {
  for (const ShapeBody& body : bodies) {
    for (std::size_t i = 0; i < body.quads.size(); ++i) {
      if (i % kBunch == 0) bunches_.push_back({body.kind == BodyKind::skin, {}, {}});
      Bunch& bunch = bunches_.back();
      for (const Vec3& corner : body.quads[i]) bunch.box.extend(corner);
      bunch.quads.push_back(body.quads[i]);
    }
  }
}

bool LineOfSight::Hidden(const SightLine& line, bool through_skins) const {
  for (const Bunch& bunch : bunches_) {
    if ((through_skins && bunch.skin) || !Meets(bunch.box, line)) continue;
    for (const auto& quad : bunch.quads) {
      if (Crosses(quad[0], quad[1], quad[2], line) || Crosses(quad[0], quad[2], quad[3], line)) {
        return true;
      }
    }
  }
  return false;
}

}  // namespace holeward
