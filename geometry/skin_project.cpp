// The place of a skin nearest to a point: Newton's method on half the squared distance.
#include <algorithm>
#include <cmath>

#include "geometry/skin.h"
#include "geometry/skin_nearest.h"

namespace holeward {
namespace {

double HalfSquare(const SkinJet& s, const Vec3& p_world) {
  return 0.5 * (s.position - p_world).squaredNorm();
}

// The step in (u, v) toward the least distance: Newton's where the distance curves upward, else
// Gauss and Newton's, which always goes down.
Vec2 StepToward(const SkinJet& s, const Vec3& p_world) {
  const Vec3 r = s.position - p_world;
  const Vec2 gradient(r.dot(s.du), r.dot(s.dv));
  Eigen::Matrix2d metric;
  metric << s.du.dot(s.du), s.du.dot(s.dv), s.du.dot(s.dv), s.dv.dot(s.dv);
  Eigen::Matrix2d hessian = metric;
  hessian(0, 0) += r.dot(s.duu);
  hessian(0, 1) += r.dot(s.duv);
  hessian(1, 0) = hessian(0, 1);
  hessian(1, 1) += r.dot(s.dvv);
  if (!(hessian.determinant() > 1e-9 * metric.determinant()) || !(hessian(0, 0) > 0.0)) {
    hessian = metric;
  }
  hessian(1, 1) += 1e-12;
  return -hessian.inverse() * gradient;
}

}  // namespace

SkinPlace Skin::Clamped(SkinPlace p) const {
  p.u = std::clamp(p.u, 0.0, u_end());
  if (!law_.closed) {
    p.v = std::clamp(p.v, 0.0, static_cast<double>(piece_count_));
  }
  return p;
}

std::optional<SkinHit> Skin::Project(const Vec3& p_world, SkinPlace guess) const {
  constexpr int kMostSteps = 60;
  constexpr int kMostHalvings = 30;
  constexpr double kSettled = 1e-11;  // mm along the skin
  SkinPlace at = Clamped(guess);
  SkinJet s = JetAt(at.u, at.v);
  double value = HalfSquare(s, p_world);
  for (int step = 0; step < kMostSteps; ++step) {
    const Vec2 move = StepToward(s, p_world);
    double scale = 1.0;
    bool moved = false;
    for (int half = 0; half < kMostHalvings; ++half, scale *= 0.5) {
      const SkinPlace next = Clamped({at.u + scale * move.x(), at.v + scale * move.y()});
      const SkinJet t = JetAt(next.u, next.v);
      const double new_value = HalfSquare(t, p_world);
      if (new_value <= value) {
        moved = (t.position - s.position).norm() > kSettled;
        s = t;
        value = new_value;
        at = next;
        break;
      }
    }
    if (!moved) {
      return SkinHit{{at.u, Wrapped(at.v)}, s.position, std::sqrt(2.0 * value)};
    }
  }
  return std::nullopt;
}

std::optional<SkinHit> Skin::Project(const Vec3& p_world) const {
  return SkinNearest(*this).Project(p_world);
}

}  // namespace holeward
