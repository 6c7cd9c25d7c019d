#include "geometry/pose_kernel_forms.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
// Rounding of the formulas below on coordinates of up to some metres, mm.
constexpr double kRounding = 2e-9;
// Slopes of a supporting line beyond this are not told apart: within 1e-7 mm of a miss.
constexpr double kSteepest = 1e4;

/// phi(m) of one disc and its derivative: height and place of the drill's part, grown by the rod,
/// on the supporting line of slope m.
struct DiscLine {
  double p;       // disc radius
  double behind;  // seen, along y
  double radius;  // rod
  double x;
  double tilt;

  double Height(double m) const {
    return -behind + p * std::sqrt(m * m + tilt * tilt) + radius * std::sqrt(1.0 + m * m) - x * m;
  }
  double Disc(double m) const {
    const double w = std::sqrt(m * m + tilt * tilt);
    return w > 0.0 ? p * m / w : p;
  }
  double Slope(double m) const { return Disc(m) + radius * m / std::sqrt(1.0 + m * m) - x; }
  double Bend(double m) const {
    const double w2 = m * m + tilt * tilt;
    const double r2 = 1.0 + m * m;
    const double disc = w2 > 0.0 ? p * tilt * tilt / (w2 * std::sqrt(w2)) : 0.0;
    return disc + radius / (r2 * std::sqrt(r2));
  }
  /// A slope at or left of the stationary one: Newton from the left on a concave function.
  double Stationary(double least) const {
    const double beyond = x - p;
    double m = least;
    if (beyond > 0.0) {
      if (beyond >= radius) return kSteepest;
      m = std::max(m, beyond / std::sqrt((radius - beyond) * (radius + beyond)));
    } else if (tilt > 0.0) {
      m = std::max(m, x / (p / tilt + radius));
    }
    if (tilt == 0.0) return std::min(m, kSteepest);
    for (int i = 0; i < 24; ++i) {
      const double step = -Slope(m) / Bend(m);
      if (!(step > 1e-14 * (1.0 + m))) break;
      m += step;
      if (m >= kSteepest) return kSteepest;
    }
    return m;
  }
};

struct Support {
  double line = 0.0;      // height of the grown part on a supporting line: not below the true one
  double attained = 0.0;  // height of a place of the grown part not nearer than x: not above it
  double slope = 0.0;
};

Support OnDisc(const DiscLine& disc, double least) {
  Support support;
  support.slope = disc.Stationary(least);
  support.line = disc.Height(support.slope);
  support.attained = -kNever;
  double m = support.slope;
  for (double bump = 1e-13; bump < 1e-4; bump *= 30.0) {
    const double past = disc.Slope(m);
    if (past >= 0.0) {
      support.attained = disc.Height(m) - past * m;
      break;
    }
    m = support.slope * (1.0 + bump) + bump;
  }
  return support;
}

struct Planar {
  Span depth;
  double slope = 0.0;
  double flank = -1.0;  // share of the way from tip disc to rim, if the flank touches
  bool tip = false;
};

/// The planar problem: a part seen across the rod's axis against a disc of the rod's radius.
Planar TouchInPlane(const PoseDrill::Part& part, const AcrossView& view, double radius) {
  Planar touch;
  if (view.x > part.radius + radius + kRounding) return touch;
  const DiscLine rim{part.radius, part.back * view.c, radius, view.x, view.tilt};
  const DiscLine tip{part.tip_radius, part.front * view.c, radius, view.x, view.tilt};
  double change = 0.0;  // the slope at which the rim takes over from the tip disc
  if (part.radius > part.tip_radius) {
    const double t = (part.back - part.front) * view.c / (part.radius - part.tip_radius);
    change = t > view.tilt ? std::sqrt((t - view.tilt) * (t + view.tilt)) : 0.0;
  }
  Support support;
  if (change > 0.0 && tip.Slope(change) >= 0.0) {
    touch.tip = true;
    support = OnDisc(tip, 0.0);
    support.slope = std::min(support.slope, change);
  } else if (change > 0.0 && rim.Slope(change) >= 0.0) {
    support = {rim.Height(change), rim.Height(change), change};
    const double reach = rim.Disc(change) - tip.Disc(change);
    const double touched = view.x - radius * change / std::sqrt(1.0 + change * change);
    touch.flank = reach > 0.0 ? std::clamp((touched - tip.Disc(change)) / reach, 0.0, 1.0) : 1.0;
  } else {
    support = OnDisc(rim, change);
  }
  const double rounding = kRounding * (1.0 + 1e-3 * support.slope) / view.c;
  touch.slope = support.slope;
  touch.depth.lower = (view.y - support.line) / view.c - rounding;
  touch.depth.upper =
      std::isfinite(support.attained) ? (view.y - support.attained) / view.c + rounding : kNever;
  return touch;
}

/// sqrt(R² - X²) - C p sin t on a rim, X = x + p cos t.
struct RimChord {
  double tube;
  double x;
  double p;
  double tilt;

  double Root(double far) const { return std::sqrt((tube - far) * (tube + far)); }
  /// The value; `slope` is its derivative times the root / p.
  double Value(double co, double si, double& slope) const {
    const double far = x + p * co;
    const double root = Root(far);
    slope = si * far - co * tilt * root;
    return root - tilt * p * si;
  }
  /// The one angle in [0, pi / 2] at which it is least: Newton's method kept between two signs.
  double Stationary() const {
    double low = 0.0;
    double high = 0.5 * kPi;
    double t = std::atan2(tilt * Root(x + p), x + p);
    for (int i = 0; i < 60; ++i) {
      const double co = std::cos(t);
      const double si = std::sin(t);
      const double far = x + p * co;
      const double root = Root(far);
      const double slope = si * far - co * tilt * root;
      (slope < 0.0 ? low : high) = t;
      const double bend =
          co * far - p * si * si + si * tilt * root - co * tilt * far * p * si / root;
      double next = bend > 0.0 ? t - slope / bend : 0.5 * (low + high);
      if (!(next >= low && next <= high)) next = 0.5 * (low + high);
      if (std::abs(next - t) < 1e-6) return next;
      t = next;
    }
    return t;
  }
};

}  // namespace

AcrossView ViewAcross(const Vec3& from_entry, const Vec3& direction, const Vec3& axis) {
  const double along = direction.dot(axis);
  const Vec3 seen = direction - along * axis;
  AcrossView view;
  view.c = seen.norm();
  view.tilt = std::abs(along);
  if (view.c <= 0.0) return view;
  view.y = from_entry.dot(seen) / view.c;
  view.x = std::abs(from_entry.dot(axis.cross(seen))) / view.c;
  return view;
}

RodTouch TouchRod(const PoseDrill::Part& part, const AcrossView& view, double direction_along,
                  double radius) {
  const Planar planar = TouchInPlane(part, view, radius);
  RodTouch touch;
  touch.depth = planar.depth;
  if (!std::isfinite(planar.depth.lower)) return touch;
  // A disc's extreme place lies off its centre by p (n - (n.d) d) / |..|; along the rod that is
  // -p (n.d)(d.e) / |..|, with n.d = c n_y and |..|² = m² + C² in units of n_y.
  const double m = planar.slope;
  const double w = std::sqrt(m * m + view.tilt * view.tilt);
  const double lean = w > 0.0 ? -view.c * direction_along / w : 0.0;
  const double tip = -part.front * direction_along + part.tip_radius * lean;
  const double rim = -part.back * direction_along + part.radius * lean;
  const double share = planar.tip ? 0.0 : planar.flank >= 0.0 ? planar.flank : 1.0;
  touch.along = planar.depth.lower * direction_along + tip + share * (rim - tip);
  return touch;
}

Span TouchBall(const PoseDrill::Part& part, double ahead, double aside, double radius) {
  return TouchInPlane(part, {1.0, 0.0, aside, ahead}, radius).depth;
}

Span LeastChord(double tube_radius, double x, double p, double tilt) {
  const RimChord rim{tube_radius, x, p, tilt};
  if (p == 0.0 || tilt == 0.0) {
    const double chord = rim.Root(x + p);
    return {chord - kRounding, chord + kRounding};
  }
  const double t = rim.Stationary();
  // Between two places that bracket the stationary one the derivative is no greater than at them.
  constexpr double kBracket = 2e-6;
  const double from = std::max(t - kBracket, 0.0);
  const double to = std::min(t + kBracket, 0.5 * kPi);
  const double co = std::cos(t);
  const double si = std::sin(t);
  // Turned by so little that a step along the tangent is as good.
  double before = 0.0;
  double after = 0.0;
  const double v1 = rim.Value(co + (t - from) * si, si - (t - from) * co, before);
  const double v2 = rim.Value(co - (to - t) * si, si + (to - t) * co, after);
  const double best = std::min(v1, v2);
  if (before > 1e-12 || (after < -1e-12 && to < 0.5 * kPi)) return {-kNever, best + kRounding};
  const double steepest = 4.0 * p * (std::abs(before) + std::abs(after)) / rim.Root(x + p);
  return {best - steepest * (to - from) - kRounding, best + kRounding};
}

Span LeastOnCircle(const Quadratic2& q, double p) {
  const double scale = 0.5 * p * p;
  const double mean = 0.5 * (q.h11 + q.h22);
  const double half = 0.5 * (q.h11 - q.h22);
  const double spread = std::sqrt(half * half + q.h12 * q.h12);
  // The eigenvector of the lesser eigenvalue.
  double co = 1.0;
  double si = 0.0;
  if (spread > 0.0) {
    const double cos2 = -half / spread;
    const double sin2 = -q.h12 / spread;
    co = std::sqrt(0.5 * (1.0 + cos2));
    si = co > 1e-6 ? 0.5 * sin2 / co : 1.0;
    const double norm = std::sqrt(co * co + si * si);
    co /= norm;
    si /= norm;
  }
  const double b1 = p * (q.g.x() * co + q.g.y() * si);
  const double b2 = p * (-q.g.x() * si + q.g.y() * co);
  const double least = scale * (mean - spread);
  const double apart = scale * 2.0 * spread;
  double nu = std::max(0.5 * std::abs(b1), 0.5 * std::abs(b2) - apart);
  nu = std::max(nu, 1e-300);
  const double nu_least = nu;
  for (int i = 0; i < 8; ++i) {
    const double e1 = 0.5 * b1 / nu;
    const double e2 = 0.5 * b2 / (nu + apart);
    const double norm2 = e1 * e1 + e2 * e2;
    if (std::abs(norm2 - 1.0) < 1e-7 || (norm2 < 1.0 && nu <= nu_least)) break;
    const double change = e1 * e1 / nu + e2 * e2 / (nu + apart);
    nu = std::max(nu_least, nu + (std::sqrt(norm2) - 1.0) * norm2 / change);
  }
  double e1 = -0.5 * b1 / nu;
  double e2 = -0.5 * b2 / (nu + apart);
  const double norm2 = e1 * e1 + e2 * e2;
  // Where the gradient says nothing along the first axis, that axis takes what is missing.
  if (norm2 < 1.0 - 1e-6) {
    e1 = (e1 < 0.0 ? -1.0 : 1.0) * std::sqrt(std::max(0.0, 1.0 - e2 * e2));
  }
  const double norm = std::sqrt(e1 * e1 + e2 * e2);
  e1 = norm > 0.0 ? e1 / norm : 1.0;
  e2 = norm > 0.0 ? e2 / norm : 0.0;
  const double dual = least - nu - 0.25 * (b1 * b1 / nu + b2 * b2 / (nu + apart));
  const double primal = least + apart * e2 * e2 + b1 * e1 + b2 * e2;
  return {dual - kRounding, primal + kRounding};
}

Span GreatestOnCircle(const Quadratic2& q, double p) {
  const Span least = LeastOnCircle({-q.g, -q.h11, -q.h12, -q.h22}, p);
  return {-least.upper, -least.lower};
}

}  // namespace holeward
