// Closed forms behind the pose kernel: one drill against one simple surface, bounded both ways.
//
// Everything is said in the plane across a rod's or tube's axis e. There the drill's axis d has
// length c = |d - (d.e) e|; y runs along it, x across. A disc of radius p across the drill's axis
// is seen as an ellipse with half axes p (x) and p C (y), C = |d.e|.
#pragma once

#include <limits>

#include "geometry/pose_kernel.h"
#include "geometry/vec.h"

namespace holeward {

/// Two bounds on one number.
struct Span {
  double lower = std::numeric_limits<double>::infinity();
  double upper = std::numeric_limits<double>::infinity();
};

/// The drill's axis and a round body's, seen across the body's axis.
struct AcrossView {
  double c = 1.0;     ///< length of the drill's unit direction seen across the axis
  double tilt = 0.0;  ///< C = |d.e|
  double x = 0.0;     ///< distance of the two axes seen so, >= 0
  double y = 0.0;     ///< along the drill's direction from the entry to the body's axis
};

/// What is left of a rod or tube when seen along its axis.
/// @param from_entry the vector from the entry to any place of the body's axis
[[nodiscard]] AcrossView ViewAcross(const Vec3& from_entry, const Vec3& direction,
                                    const Vec3& axis);

/// Where a drill's part first touches a rod.
struct RodTouch {
  Span depth;
  double along = 0.0;  ///< of the touched place, along the rod's axis from the entry's own, mm
};

/// Depth at which one convex part of a drill first touches an endless rod. Exact by duality: the
/// depth is the greatest over all supporting lines, so any line gives a lower bound.
/// @param view of the rod; @param direction_along d.e with its sign; @param radius of the rod
[[nodiscard]] RodTouch TouchRod(const PoseDrill::Part& part, const AcrossView& view,
                                double direction_along, double radius);

/// Depth at which one part first touches a ball, `ahead` mm along the axis from the entry and
/// `aside` off it.
[[nodiscard]] Span TouchBall(const PoseDrill::Part& part, double ahead, double aside,
                             double radius);

/// Least of sqrt(R² - (x + p cos t)²) - C p sin t over t: what is left of a tube of radius R ahead
/// of the worst place of a circle of radius p. Unimodal, so bracketing its stationary place bounds
/// it (docs/methods/pose-kernel.md). @pre x >= 0, x + p < R
[[nodiscard]] Span LeastChord(double tube_radius, double x, double p, double tilt);

/// A quadratic seen from the drill: s(v) = g.v + v'Hv / 2.
struct Quadratic2 {
  Vec2 g = Vec2::Zero();
  double h11 = 0.0;
  double h12 = 0.0;
  double h22 = 0.0;
};

/// Least value on the circle |v| = p. The lower bound is a Lagrange dual value, which holds for any
/// multiplier; strong duality makes the two meet (the trust region problem; Moré and Sorensen,
/// SIAM J. Sci. Stat. Comput. 4, 1983).
[[nodiscard]] Span LeastOnCircle(const Quadratic2& q, double p);
/// Greatest value on the circle.
[[nodiscard]] Span GreatestOnCircle(const Quadratic2& q, double p);

}  // namespace holeward
