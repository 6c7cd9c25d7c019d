// Surfaces with published geodesics, given to the tape directly.
#pragma once

#include <cmath>
#include <functional>
#include <memory>
#include <utility>
#include <vector>

#include "geometry/surface.h"

namespace holeward::testing {

/// A surface of one law written with jets: x(u, v).
class JetSurface final : public Surface {
 public:
  using Law = std::function<V3<Jet>(const Jet& u, const Jet& v)>;

  JetSurface(std::vector<double> u_breaks, std::vector<double> v_breaks, bool v_closed, Law law)
      : Surface(std::move(u_breaks), std::move(v_breaks), v_closed), law_(std::move(law)) {}

  [[nodiscard]] SkinJet JetAt(double u, double v, int, int) const override {
    const V3<Jet> x = law_(Jet::U(u), Jet::V(v));
    SkinJet j;
    j.position = {x.x.f, x.y.f, x.z.f};
    j.du = {x.x.fu, x.y.fu, x.z.fu};
    j.dv = {x.x.fv, x.y.fv, x.z.fv};
    j.duu = {x.x.fuu, x.y.fuu, x.z.fuu};
    j.duv = {x.x.fuv, x.y.fuv, x.z.fuv};
    j.dvv = {x.x.fvv, x.y.fvv, x.z.fvv};
    j.normal = j.du.cross(j.dv).normalized();
    return j;
  }

 private:
  Law law_;
};

/// Cylinder along z: u = z, v = angle (radians, closed).
inline std::shared_ptr<Surface> Cylinder(double radius, double length) {
  return std::make_shared<JetSurface>(std::vector<double>{0, length},
                                      std::vector<double>{0, 2 * kPi}, true,
                                      [radius](const Jet& u, const Jet& v) {
                                        return V3<Jet>{radius * Cos(v), radius * Sin(v), u};
                                      });
}

/// Cone with its tip at the origin: u = slant length from the tip, v = angle.
inline std::shared_ptr<Surface> Cone(double half_angle, double from, double to) {
  const double s = std::sin(half_angle), c = std::cos(half_angle);
  return std::make_shared<JetSurface>(std::vector<double>{from, to},
                                      std::vector<double>{0, 2 * kPi}, true,
                                      [s, c](const Jet& u, const Jet& v) {
                                        return V3<Jet>{s * u * Cos(v), s * u * Sin(v), c * u};
                                      });
}

/// Torus: v = angle round the tube (0 outside, closed), u = angle about the axis, in the range
/// given.
inline std::shared_ptr<Surface> Torus(double big, double small, double u_from, double u_to) {
  return std::make_shared<JetSurface>(std::vector<double>{u_from, u_to},
                                      std::vector<double>{-kPi, kPi}, true,
                                      [big, small](const Jet& u, const Jet& v) {
                                        const Jet r = big + small * Cos(v);
                                        return V3<Jet>{r * Cos(u), r * Sin(u), small * Sin(v)};
                                      });
}

/// z = x y / c over a square; u = x, v = y, open.
inline std::shared_ptr<Surface> HyperbolicParaboloid(double c, double half) {
  return std::make_shared<JetSurface>(std::vector<double>{-half, half},
                                      std::vector<double>{-half, half}, false,
                                      [c](const Jet& u, const Jet& v) {
                                        return V3<Jet>{u, v, u * v / Jet(c)};
                                      });
}

/// Ellipsoid of revolution about z, semi-axes a, a, b, with its parameters turned so that their own
/// poles are `pole` and its opposite on the unit sphere: u = latitude there, v = longitude from
/// `zero`. Several breaks, so that paths cross borders of nothing.
class TurnedEllipsoid {
 public:
  TurnedEllipsoid(double a, double b, const Vec3& pole, const Vec3& zero) : a_(a), b_(b) {
    axis_ = pole.normalized();
    x_ = (zero - zero.dot(axis_) * axis_).normalized();
    y_ = axis_.cross(x_);
    const Vec3 x = x_, y = y_, w = axis_;
    surface_ = std::make_shared<JetSurface>(
        std::vector<double>{-1.5, -0.4, 0.1, 1.5}, std::vector<double>{-kPi, -1.0, 0.7, kPi}, true,
        [a, b, x, y, w](const Jet& u, const Jet& v) {
          const Jet p = Cos(u) * Cos(v), q = Cos(u) * Sin(v), r = Sin(u);
          return V3<Jet>{a * (x.x() * p + y.x() * q + w.x() * r),
                         a * (x.y() * p + y.y() * q + w.y() * r),
                         b * (x.z() * p + y.z() * q + w.z() * r)};
        });
  }
  [[nodiscard]] const std::shared_ptr<Surface>& surface() const { return surface_; }
  /// Parameters of a place of the ellipsoid.
  [[nodiscard]] SkinPlace PlaceOf(const Vec3& p) const {
    const Vec3 s = Vec3(p.x() / a_, p.y() / a_, p.z() / b_).normalized();
    return {std::asin(s.dot(axis_)), std::atan2(s.dot(y_), s.dot(x_))};
  }

 private:
  double a_, b_;
  Vec3 axis_, x_, y_;
  std::shared_ptr<Surface> surface_;
};

}  // namespace holeward::testing
