// First touch of a posed drill by another way than the kernel's, in 50 decimal digits: every point
// v of the drill's cross-section is a ray, its way to the metal a quadratic's root, and the least
// of way + distance behind the tip is looked for over the cross-section (in doubles where to look,
// in 50 digits what is there). The kernel works with supporting lines instead, so the two share no
// formula.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <boost/multiprecision/cpp_dec_float.hpp>

#include "geometry/clearance.h"
#include "geometry/vec.h"

namespace holeward::testing {

using Exact = boost::multiprecision::cpp_dec_float_50;

template <class T>
using Vec3Of = std::array<T, 3>;

template <class T>
Vec3Of<T> As(const Vec3& v) {
  return {T(v.x()), T(v.y()), T(v.z())};
}
template <class T>
T Dot(const Vec3Of<T>& a, const Vec3Of<T>& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}
template <class T>
Vec3Of<T> Plus(const Vec3Of<T>& a, const Vec3Of<T>& b, const T& times) {
  return {a[0] + b[0] * times, a[1] + b[1] * times, a[2] + b[2] * times};
}
template <class T>
Vec3Of<T> Cross(const Vec3Of<T>& a, const Vec3Of<T>& b) {
  return {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
}
template <class T>
Vec3Of<T> Unit(const Vec3Of<T>& a) {
  const T norm = sqrt(Dot(a, a));
  return {a[0] / norm, a[1] / norm, a[2] / norm};
}

/// A posed drill with two axes across it, e1 across `axis` as well. T: double for looking, Exact
/// for the answer.
template <class T>
struct DrillOf {
  Vec3Of<T> entry, d, e1, e2;
  T a, cot;
  DrillOf(const Pose& pose, const Vec3& axis, double radius, double half_angle)
      : entry(As<T>(pose.entry)), d(Unit(As<T>(pose.direction))), a(radius) {
    e1 = Unit(Cross(As<T>(axis), d));
    e2 = Cross(d, e1);
    cot = cos(T(half_angle)) / sin(T(half_angle));
  }
  Vec3Of<T> At(const T& x, const T& y) const { return Plus(Plus(entry, e1, x), e2, y); }
};

/// An endless round body about the axis through `place`.
template <class T>
struct RoundOf {
  Vec3Of<T> place, axis;
  T radius;
  RoundOf(const Vec3& at, const Vec3& along, double r)
      : place(As<T>(at)), axis(As<T>(along)), radius(r) {}
  /// Where the ray from `from` along d goes in (far false) or out (far true); 1e9 if it misses.
  T Ray(const Vec3Of<T>& from, const Vec3Of<T>& d, bool far) const {
    const Vec3Of<T> w = Plus(from, place, T(-1));
    const T de = Dot(d, axis);
    const T we = Dot(w, axis);
    const T a = 1 - de * de;
    const T b = Dot(w, d) - we * de;
    const T c = Dot(w, w) - we * we - radius * radius;
    const T disc = b * b - a * c;
    if (disc < 0) return T(1e9);
    const T root = sqrt(disc);
    return T((far ? T(root - b) : T(-b - root)) / a);
  }
};

/// The place of [low, high] where f is least by golden section, f having one least place there.
template <class F>
double LeastPlace(const F& f, double low, double high) {
  for (int i = 0; i < 60; ++i) {
    const double third = (high - low) / 3;
    const double at1 = low + third;
    const double at2 = high - third;
    (f(at1) < f(at2) ? high : low) = f(at1) < f(at2) ? at2 : at1;
  }
  return 0.5 * (low + high);
}

/// The angle at which f is least: a scan, then golden section.
template <class F>
double LeastAngle(const F& f) {
  constexpr int kSteps = 360;
  constexpr double kStep = 2.0 * kPi / kSteps;
  int best = 0;
  for (int i = 1; i < kSteps; ++i) {
    if (f(i * kStep) < f(best * kStep)) best = i;
  }
  return LeastPlace(f, (best - 1) * kStep, (best + 1) * kStep);
}

/// The way to a round body on the rim, least (or, with `far` false and `sign` -1, greatest).
template <class T>
T RimWay(const DrillOf<T>& drill, const RoundOf<T>& round, bool far, double angle) {
  const T t(angle);
  return round.Ray(drill.At(T(drill.a * cos(t)), T(drill.a * sin(t))), drill.d, far);
}

struct RoundCase {
  Pose pose;
  double radius = 0.0;  // of the drill
  double half_angle = 0.0;
  Vec3 place = Vec3::Zero();  // of the round body
  Vec3 axis = Vec3::UnitY();
  double round = 0.0;

  template <class T>
  DrillOf<T> Drill() const {
    return {pose, axis, radius, half_angle};
  }
  template <class T>
  RoundOf<T> Round() const {
    return {place, axis, round};
  }
};

/// Depth at which the drill first touches a round wall from inside: at the tip or on the rim,
/// because the way out of a convex room is concave across the drill.
inline Exact TubeTouch(const RoundCase& c) {
  const auto quick = c.Drill<double>();
  const auto wall = c.Round<double>();
  const double angle = LeastAngle([&](double t) { return RimWay(quick, wall, true, t); });
  const auto drill = c.Drill<Exact>();
  const auto exact = c.Round<Exact>();
  const Exact tip = exact.Ray(drill.entry, drill.d, true);
  const Exact rim = RimWay(drill, exact, true, angle) + drill.a * drill.cot;
  return std::min(tip, rim);
}

/// Break-through depth of a round wall: the greatest way in on the rim.
inline Exact TubeThrough(const RoundCase& c) {
  const auto quick = c.Drill<double>();
  const auto wall = c.Round<double>();
  const double angle = LeastAngle([&](double t) { return -RimWay(quick, wall, false, t); });
  const auto drill = c.Drill<Exact>();
  return Exact(RimWay(drill, c.Round<Exact>(), false, angle) + drill.a * drill.cot);
}

/// The way in and behind for a place x of the cross-section toward a bar, at the best y: along e2
/// the way falls evenly, so cone and rim say how far y goes.
template <class T>
T BarDepth(const DrillOf<T>& drill, const RoundOf<T>& bar, T x) {
  using std::abs;
  using std::sqrt;
  const T de = Dot(drill.d, bar.axis);
  const T lean = Dot(drill.e2, bar.axis) * de / (1 - de * de);  // d(way in) / dy
  const T steep = abs(lean);
  const T x0 = Dot(Plus(bar.place, drill.entry, T(-1)), drill.e1);
  if (x > drill.a) x = drill.a;
  const T square = drill.a * drill.a - x * x;
  const T edge = square > 0 ? T(sqrt(square)) : T(0);
  T y = edge;
  if (steep < drill.cot) {
    const T k = steep / sqrt(drill.cot * drill.cot - steep * steep);
    if (x * k < edge) y = x * k;
  }
  if (lean > 0) y = -y;
  const T way = bar.Ray(drill.At(x0 < 0 ? T(-x) : x, y), drill.d, false);
  return T(way + sqrt(x * x + y * y) * drill.cot);
}

/// Depth at which the drill first touches an endless bar; 1e9: never. Over x the depth is convex.
inline Exact BarTouch(const RoundCase& c) {
  const auto quick = c.Drill<double>();
  const auto quick_bar = c.Round<double>();
  const auto drill = c.Drill<Exact>();
  const auto bar = c.Round<Exact>();
  const Exact aside = abs(Dot(Plus(bar.place, drill.entry, Exact(-1)), drill.e1));
  if (aside > bar.radius + drill.a) return Exact(1e9);
  const double low = std::max(0.0, static_cast<double>(aside) - c.round);
  const double x =
      LeastPlace([&](double at) { return BarDepth(quick, quick_bar, at); }, low, c.radius);
  Exact best = std::min(BarDepth(drill, bar, Exact(x)), BarDepth(drill, bar, drill.a));
  const double de = Dot(quick.d, quick_bar.axis);
  const double lean = std::abs(Dot(quick.e2, quick_bar.axis) * de / (1 - de * de));
  // Where the cone hands over to the rim, and the tip, the depth has a kink.
  const double cot = quick.cot;
  if (lean < cot) {
    const double k = lean / std::sqrt(cot * cot - lean * lean);
    best = std::min(best, BarDepth(drill, bar, Exact(c.radius / std::sqrt(1 + k * k))));
  }
  return aside < bar.radius ? std::min(best, BarDepth(drill, bar, Exact(0))) : best;
}

/// Depth at which the drill first touches the plane n.Y = offset from the side n points away from.
inline Exact PlaneTouch(const DrillOf<Exact>& drill, const Vec3& n, double offset) {
  const Vec3Of<Exact> normal = As<Exact>(n);
  const Exact facing = Dot(normal, drill.d);
  if (facing <= 0) return Exact(1e9);
  const Exact tip = (Exact(offset) - Dot(normal, drill.entry)) / facing;
  const Exact square = 1 - facing * facing;
  const Exact slope = square > 0 ? Exact(sqrt(square) / facing) : Exact(0);
  return std::min(tip, Exact(tip + drill.a * drill.cot - drill.a * slope));
}

/// Break-through depth of a flat wall's inner plane n.Y = offset, n along the drill.
inline Exact PlaneThrough(const DrillOf<Exact>& drill, const Vec3& n, double offset) {
  const Vec3Of<Exact> normal = As<Exact>(n);
  const Exact facing = Dot(normal, drill.d);
  const Exact square = 1 - facing * facing;
  const Exact slope = square > 0 ? Exact(sqrt(square) / facing) : Exact(0);
  return Exact((Exact(offset) - Dot(normal, drill.entry)) / facing + drill.a * (drill.cot + slope));
}

}  // namespace holeward::testing
