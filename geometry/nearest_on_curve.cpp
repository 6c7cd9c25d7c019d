#include "geometry/nearest_on_curve.h"

#include <algorithm>
#include <cmath>

namespace holeward {

double NearestOnCurve(const Curve& curve, const Vec3& x, double t, CurveRange range) {
  constexpr double kSettled = 1e-9;  // mm along the curve
  CurvePoint c = curve(t);
  for (bool moved = true; moved;) {
    const Vec3 r = c.p - x;
    const double metric = c.p1.squaredNorm();
    // Away from a farthest place as fast as toward a nearest one.
    const double bend = std::max(std::abs(metric + r.dot(c.p2)), 1e-6 * metric + 1e-12);
    double step = std::clamp(-r.dot(c.p1) / bend, range.from - range.to, range.to - range.from);
    moved = false;
    for (; !moved && std::abs(step) * std::sqrt(metric) > kSettled; step *= 0.5) {
      const double next = std::clamp(t + step, range.from, range.to);
      const CurvePoint d = curve(next);
      if (!((d.p - x).squaredNorm() < r.squaredNorm())) continue;
      moved = true;
      t = next;
      c = d;
    }
  }
  return t;
}

double NearestRoundCurve(const Curve& curve, const Vec3& x, double t, CurveRange range) {
  constexpr int kTried = 64;
  double nearest = NearestOnCurve(curve, x, t, range);
  double least = (curve(nearest).p - x).squaredNorm();
  for (int k = 0; k < kTried; ++k) {
    const double tried = range.from + (range.to - range.from) * k / kTried;
    const double apart = (curve(tried).p - x).squaredNorm();
    if (apart >= least) continue;
    least = apart;
    nearest = tried;
  }
  return NearestOnCurve(curve, x, nearest, range);
}

}  // namespace holeward
