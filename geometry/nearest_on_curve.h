// The place of a curve in space that is nearest to a point.
#pragma once

#include <functional>

#include "geometry/vec.h"

namespace holeward {

/// A place of a curve, mm, with its two derivatives by the curve's parameter.
struct CurvePoint {
  Vec3 p, p1, p2;
};
using Curve = std::function<CurvePoint(double)>;

/// Within which a curve's parameter stays.
struct CurveRange {
  double from = 0.0;
  double to = 0.0;
};

/// The parameter of a place that is nearest to x of all beside it, by damped Newton from t in the
/// range. Every step ends nearer, so that the steps end. From a farthest place no slope leads away:
/// begun right there it stays.
[[nodiscard]] double NearestOnCurve(const Curve& curve, const Vec3& x, double t, CurveRange range);

/// The same round a closed curve, of which `range` holds a turn at least: t, unless of 64 places of
/// the range one leads nearer.
[[nodiscard]] double NearestRoundCurve(const Curve& curve, const Vec3& x, double t,
                                       CurveRange range);

}  // namespace holeward
