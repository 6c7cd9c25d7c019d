#include "geometry/fitting_spread.h"

#include <algorithm>
#include <cmath>

#include "geometry/datum.h"

namespace holeward {
namespace {

constexpr int kWays = 8;
// Between the ways sampled the skin may turn a little more.
constexpr double kBetween = 1.2;

// The frame of the skin: along the part, across, outward.
Eigen::Matrix3d FrameAt(const Skin& skin, const SkinPlace& place) {
  const SkinPoint p = skin.At(place);
  Eigen::Matrix3d frame;
  frame.col(0) = p.du.normalized();
  frame.col(2) = p.normal;
  frame.col(1) = frame.col(2).cross(frame.col(0)).normalized();
  return frame;
}

// Greatest chord, for a unit of reach, by which a body turns with the skin over `spread`.
double TurnWithin(const Skin& skin, const SkinPlace& centre, double spread) {
  const Eigen::Matrix3d here = FrameAt(skin, centre);
  const double per_u = skin.At(centre).du.norm();
  double most = 0.0;
  for (int k = 0; k < kWays; ++k) {
    const double angle = 2.0 * kPi * k / kWays;
    SkinPlace there;
    there.u = std::clamp(centre.u + spread * std::cos(angle) / per_u, 0.0, skin.u_end());
    there.v = WalkAround(skin, there.u, centre.v, spread * std::sin(angle));
    there.v = skin.closed() ? skin.Wrapped(there.v)
                            : std::clamp(there.v, 0.0, static_cast<double>(skin.piece_count()));
    // 2 sin(turn / 2) from the trace, 1 + 2 cos(turn).
    const double trace = (here.transpose() * FrameAt(skin, there)).trace();
    most = std::max(most, std::sqrt(std::max(0.0, 3.0 - trace)));
  }
  return std::min(2.0, kBetween * most);
}

// How far the fitting reaches over the skin from its centre.
double ReachOf(const Skin& skin, const Fitting& fitting) {
  const Footprint& print = fitting.footprint;
  if (print.disc) return print.radius;
  if (fitting.shape != FittingShape::block) return 0.5 * fitting.diameter;
  const double along = skin.StationOf(print.u_to) - skin.StationOf(print.u_from);
  return std::hypot(along, 0.5 * print.around);
}

}  // namespace

std::optional<double> MovedAtMost(const Skin& skin, const Fitting& fitting, double height) {
  if (!fitting.spread || *fitting.spread == 0.0) return fitting.spread;
  const double reach = std::hypot(ReachOf(skin, fitting), height);
  return *fitting.spread + reach * TurnWithin(skin, fitting.centre, *fitting.spread);
}

}  // namespace holeward
