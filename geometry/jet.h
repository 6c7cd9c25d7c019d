// Second-order forward differentiation in the two skin parameters u and v.
#pragma once

#include <cmath>

namespace holeward {

/// A value with its first and second derivatives by u and v. Arithmetic follows the chain rule.
struct Jet {
  double f = 0.0;
  double fu = 0.0, fv = 0.0;
  double fuu = 0.0, fuv = 0.0, fvv = 0.0;

  Jet() = default;
  Jet(double value) : f(value) {}  // NOLINT(google-explicit-constructor): constants mix with jets
  Jet(double value, double du, double dv, double duu, double duv, double dvv)
      : f(value), fu(du), fv(dv), fuu(duu), fuv(duv), fvv(dvv) {}

  [[nodiscard]] static Jet U(double u) { return {u, 1.0, 0.0, 0.0, 0.0, 0.0}; }
  [[nodiscard]] static Jet V(double v) { return {v, 0.0, 1.0, 0.0, 0.0, 0.0}; }
};

/// Composes a scalar function, known by its value and two derivatives at a.f, with the jet a.
[[nodiscard]] inline Jet Compose(const Jet& a, double g, double g1, double g2) {
  return {g,
          g1 * a.fu,
          g1 * a.fv,
          g1 * a.fuu + g2 * a.fu * a.fu,
          g1 * a.fuv + g2 * a.fu * a.fv,
          g1 * a.fvv + g2 * a.fv * a.fv};
}

inline Jet operator+(const Jet& a, const Jet& b) {
  return {a.f + b.f, a.fu + b.fu, a.fv + b.fv, a.fuu + b.fuu, a.fuv + b.fuv, a.fvv + b.fvv};
}
inline Jet operator-(const Jet& a, const Jet& b) {
  return {a.f - b.f, a.fu - b.fu, a.fv - b.fv, a.fuu - b.fuu, a.fuv - b.fuv, a.fvv - b.fvv};
}
inline Jet operator-(const Jet& a) { return Jet(0.0) - a; }
inline Jet operator*(const Jet& a, const Jet& b) {
  return {a.f * b.f,
          a.fu * b.f + a.f * b.fu,
          a.fv * b.f + a.f * b.fv,
          a.fuu * b.f + 2.0 * a.fu * b.fu + a.f * b.fuu,
          a.fuv * b.f + a.fu * b.fv + a.fv * b.fu + a.f * b.fuv,
          a.fvv * b.f + 2.0 * a.fv * b.fv + a.f * b.fvv};
}
[[nodiscard]] inline Jet Inverse(const Jet& a) {
  const double r = 1.0 / a.f;
  return Compose(a, r, -r * r, 2.0 * r * r * r);
}
inline Jet operator/(const Jet& a, const Jet& b) { return a * Inverse(b); }

inline double Sqrt(double a) { return std::sqrt(a); }
inline double Sin(double a) { return std::sin(a); }
inline double Cos(double a) { return std::cos(a); }
inline double Tan(double a) { return std::tan(a); }
inline double Atan2(double y, double x) { return std::atan2(y, x); }
inline double ValueOf(double a) { return a; }
/// A function of a plain number is its value.
inline double Compose(double /*a*/, double g, double /*g1*/, double /*g2*/) { return g; }

[[nodiscard]] inline Jet Sqrt(const Jet& a) {
  const double r = std::sqrt(a.f);
  return Compose(a, r, 0.5 / r, -0.25 / (r * a.f));
}
[[nodiscard]] inline Jet Sin(const Jet& a) {
  const double s = std::sin(a.f);
  return Compose(a, s, std::cos(a.f), -s);
}
[[nodiscard]] inline Jet Cos(const Jet& a) {
  const double c = std::cos(a.f);
  return Compose(a, c, -std::sin(a.f), -c);
}
[[nodiscard]] inline Jet Tan(const Jet& a) {
  const double t = std::tan(a.f);
  const double d = 1.0 + t * t;
  return Compose(a, t, d, 2.0 * t * d);
}
/// atan2 by its differential (x dy - y dx) / (x² + y²).
[[nodiscard]] inline Jet Atan2(const Jet& y, const Jet& x) {
  const double q = 1.0 / (x.f * x.f + y.f * y.f);
  const double gx = -y.f * q;
  const double gy = x.f * q;
  const double gxx = 2.0 * x.f * y.f * q * q;
  const double gyy = -gxx;
  const double gxy = (y.f * y.f - x.f * x.f) * q * q;
  auto second = [&](double x1, double y1, double x2, double y2, double x12, double y12) {
    return gx * x12 + gy * y12 + gxx * x1 * x2 + gyy * y1 * y2 + gxy * (x1 * y2 + x2 * y1);
  };
  return {std::atan2(y.f, x.f),
          gx * x.fu + gy * y.fu,
          gx * x.fv + gy * y.fv,
          second(x.fu, y.fu, x.fu, y.fu, x.fuu, y.fuu),
          second(x.fu, y.fu, x.fv, y.fv, x.fuv, y.fuv),
          second(x.fv, y.fv, x.fv, y.fv, x.fvv, y.fvv)};
}
[[nodiscard]] inline double ValueOf(const Jet& a) { return a.f; }

/// A value with its first and second derivatives by u alone: what does not depend on v costs half.
struct JetU {
  double f = 0.0;
  double fu = 0.0;
  double fuu = 0.0;

  JetU() = default;
  JetU(double value) : f(value) {}  // NOLINT(google-explicit-constructor): constants mix with jets
  JetU(double value, double du, double duu) : f(value), fu(du), fuu(duu) {}
};

[[nodiscard]] inline double ValueOf(const JetU& a) { return a.f; }
/// As Compose of a jet by u and v.
[[nodiscard]] inline JetU Compose(const JetU& a, double g, double g1, double g2) {
  return {g, g1 * a.fu, g1 * a.fuu + g2 * a.fu * a.fu};
}

inline JetU operator+(const JetU& a, const JetU& b) {
  return {a.f + b.f, a.fu + b.fu, a.fuu + b.fuu};
}
inline JetU operator-(const JetU& a, const JetU& b) {
  return {a.f - b.f, a.fu - b.fu, a.fuu - b.fuu};
}
inline JetU operator*(const JetU& a, const JetU& b) {
  return {a.f * b.f, a.fu * b.f + a.f * b.fu, a.fuu * b.f + 2.0 * a.fu * b.fu + a.f * b.fuu};
}
inline JetU operator/(const JetU& a, const JetU& b) {
  const double r = 1.0 / b.f;
  const double r1 = -r * r;
  return a * JetU(r, r1 * b.fu, r1 * b.fuu + 2.0 * r * r * r * b.fu * b.fu);
}
[[nodiscard]] inline JetU Sqrt(const JetU& a) {
  const double r = std::sqrt(a.f);
  const double r1 = 0.5 / r;
  return {r, r1 * a.fu, r1 * a.fuu - 0.25 / (r * a.f) * a.fu * a.fu};
}

/// A vector of three scalars or jets; Eigen's matrices of a custom scalar compile far slower.
template <class S>
struct V3 {
  S x{}, y{}, z{};
};

template <class S>
V3<S> operator+(const V3<S>& a, const V3<S>& b) {
  return {a.x + b.x, a.y + b.y, a.z + b.z};
}
template <class S>
V3<S> operator-(const V3<S>& a, const V3<S>& b) {
  return {a.x - b.x, a.y - b.y, a.z - b.z};
}
template <class S>
V3<S> operator*(const S& k, const V3<S>& a) {
  return {k * a.x, k * a.y, k * a.z};
}
template <class S>
S Dot(const V3<S>& a, const V3<S>& b) {
  return a.x * b.x + a.y * b.y + a.z * b.z;
}
template <class S>
V3<S> Cross(const V3<S>& a, const V3<S>& b) {
  return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}
template <class S>
V3<S> Unit(const V3<S>& a) {
  const S inverse = S(1.0) / Sqrt(Dot(a, a));
  return inverse * a;
}

/// A vector of two scalars or jets, in a section's plane.
template <class S>
struct V2 {
  S a{}, b{};
};
template <class S>
V2<S> operator+(const V2<S>& p, const V2<S>& q) {
  return {p.a + q.a, p.b + q.b};
}
template <class S>
V2<S> operator-(const V2<S>& p, const V2<S>& q) {
  return {p.a - q.a, p.b - q.b};
}
template <class S>
V2<S> operator*(const S& k, const V2<S>& p) {
  return {k * p.a, k * p.b};
}
template <class S>
S Dot(const V2<S>& p, const V2<S>& q) {
  return p.a * q.a + p.b * q.b;
}
template <class S>
S Cross(const V2<S>& p, const V2<S>& q) {
  return p.a * q.b - p.b * q.a;
}

}  // namespace holeward
