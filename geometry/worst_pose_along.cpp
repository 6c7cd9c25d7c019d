#include "geometry/worst_pose_along.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSide = 89.995 * kDegree;  // an axis nearer square to w proves nothing by w
constexpr double kFirstStep = 0.4 * kDegree;
constexpr double kTiny = 1e-9;

/// An angle with its sine and cosine.
struct Angle {
  double at = 0.0;
  double sine = 0.0;
  double cosine = 1.0;
};

Angle AngleOf(double at) { return {at, std::sin(at), std::cos(at)}; }

/// Between unit vectors.
Angle AngleBetween(const Vec3& a, const Vec3& b) {
  const double sine = a.cross(b).norm();
  const double cosine = a.dot(b);
  return {std::atan2(sine, cosine), sine, cosine};
}

}  // namespace

struct AlongBound::DiscDepth {
  double depth = kNever;
  double psi = 0.0;  ///< NaN: the angle whose sine is rho / delta
  double cosine = 1.0;
};

/// Least of (delta - rho sin psi) / cos psi + b over psi in a range: it falls up to
/// sin psi = rho / delta, where it is sqrt(delta² - rho²) + b, and rises from there.
AlongBound::DiscDepth AlongBound::Least(double delta, const DrillDisc& disc, const Range& psi) {
  if (delta > disc.radius && disc.radius < delta * psi.sin_high) {
    if (disc.radius > delta * psi.sin_low) {
      const double along = std::sqrt((delta - disc.radius) * (delta + disc.radius));
      return {along + disc.behind, std::numeric_limits<double>::quiet_NaN(), along / delta};
    }
    return {(delta - disc.radius * psi.sin_low) / psi.cos_low + disc.behind, psi.low, psi.cos_low};
  }
  return {(delta - disc.radius * psi.sin_high) / psi.cos_high + disc.behind, psi.high,
          psi.cos_high};
}

Vec3 SquareTo(const Vec3& axis) {
  const Vec3 helper = std::abs(axis.x()) < 0.6 ? Vec3::UnitX() : Vec3::UnitY();
  return (helper - axis * helper.dot(axis)).normalized();
}

Vec3 Toward(const Vec3& a, const Vec3& b, double angle) {
  const Vec3 square = b - a * a.dot(b);
  const double length = square.norm();
  const Vec3 side = length > 1e-12 ? Vec3(square / length) : SquareTo(a);
  return std::cos(angle) * a + std::sin(angle) * side;
}

AlongView ViewAlong(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece, double sign) {
  AlongView view;
  double low = kNever;
  double high = -kNever;
  for (const Vec3& pole : piece.poles) {
    low = std::min(low, pole.dot(w));
    high = std::max(high, pole.dot(w));
  }
  view.spread = high - low;
  std::array<double, 4> delta{};
  std::array<double, 4> nu{};
  std::array<Angle, 4> angle;
  double nu_least = kNever;
  const std::size_t corners = cell.mixes == 1 ? 1 : 4;  // one mix: one stance, all corners the same
  for (std::size_t c = 0; c < corners; ++c) {
    delta[c] = (sign > 0.0 ? low : high) - cell.corner[c].entry.dot(w);
    angle[c] = AngleBetween(w, cell.corner[c].axis);
    nu[c] = angle[c].at;
  }
  if (cell.mixes > 1) {
    const double arm = (piece.middle - cell.middle.entry).norm();
    const auto change = [&](std::size_t c, std::size_t d) {
      return std::abs(delta[c] - delta[d]) + arm * std::abs(nu[c] - nu[d]);
    };
    view.change = {change(0, 1) + change(2, 3), change(0, 2) + change(1, 3)};
  }
  view.count = cell.mixes;
  for (std::size_t k = 0; k < cell.mixes; ++k) {
    view.delta[k] = cell.mix[k].Of(delta);
    const CornerMix& mix = cell.mix[k];
    view.nu[k] = mix.Of(nu);
    const bool corner = mix.from == mix.to;
    const Angle at = corner ? angle[static_cast<std::size_t>(mix.from)] : AngleOf(view.nu[k]);
    view.sin_nu[k] = at.sine;
    view.cos_nu[k] = at.cosine;
    nu_least = std::min(nu_least, view.nu[k]);
    view.nu_most = std::max(view.nu_most, view.nu[k]);
  }
  view.nu_least = nu_least;
  view.turn = view.nu_most - nu_least;
  // The angle to w bends by at most cot(nu) over the sphere of directions.
  const double turn = cell.turn;
  view.slack = cell.axis_sag;
  if (turn > 0.0) {
    const double nearest = std::max(nu_least - turn, 0.0);
    view.slack += std::min(turn, turn * turn / (4.0 * std::max(std::tan(nearest), 1e-12))) +
                  turn * turn * turn;
  }
  return view;
}

AlongBound::AlongBound(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece,
                       const BoundOf& of)
    : w_(w), cell_(cell), piece_(piece), of_(of), view_(ViewAlong(w, cell, piece, 1.0)) {
  for (double& delta : view_.delta) delta -= piece.grown + kTiny;
}

CellBound AlongBound::Of(const DrillPart& part) const {
  CellBound bound = OverPart(part, {});
  // Axes that lean away until they are square to w are judged along directions nearer the axis,
  // in steps: each takes those for which the one before was square or beyond. Along the middle axis
  // itself none is: what turns and leans so far together is refused (PlaceCells, WorstPoseOver).
  double most = view_.nu_most + of_.tilt + view_.slack;
  const double nu = AngleBetween(w_, cell_.middle.axis).at;
  double turned = 0.0;
  for (double step = kFirstStep; most > kSide && turned < nu && bound.depth < of_.cut;
       step *= 2.0) {
    const double next = std::min(turned + step, nu);
    const AlongBound beside(Toward(cell_.middle.axis, w_, nu - next), cell_, piece_, of_);
    const CellBound other = beside.OverPart(part, {kSide - (next - turned) - kTiny, kNever});
    if (other.depth < bound.depth) bound = other;
    most = beside.view_.nu_most + of_.tilt + view_.slack;
    turned = next;
  }
  return bound;
}

CellBound AlongBound::Over(const DrillPart& part, const AxesWithin& within) const {
  if (within.floor > within.ceiling) return {};
  if (std::min(within.ceiling, view_.nu_most + of_.tilt + view_.slack) > kSide) {
    CellBound nothing;
    nothing.depth = -kNever;
    return nothing;
  }
  return OverPart(part, Useful(within));
}

/// The limits that bind at every corner of the cell: one that binds at some only would put a kink
/// into what has to be smooth there.
AxesWithin AlongBound::Useful(const AxesWithin& within) const {
  AxesWithin useful;
  if (within.floor > view_.nu_most - of_.tilt + view_.slack) useful.floor = within.floor;
  if (within.ceiling < view_.nu_least + of_.tilt - view_.slack) useful.ceiling = within.ceiling;
  return useful;
}

AlongBound::Range AlongBound::Psi(std::size_t mix, const AxesWithin& within) const {
  const double nu = view_.nu[mix];
  const double sin_nu = view_.sin_nu[mix];
  const double cos_nu = view_.cos_nu[mix];
  const double most = std::min(within.ceiling, kSide);
  static const Angle kAtSide = AngleOf(kSide);
  const auto at_most = [&] { return most == kSide ? kAtSide : AngleOf(most); };
  // Most limits are nu less or more the tilt: their sines come from those of both.
  Angle low{std::max(0.0, nu - of_.tilt)};
  if (within.floor > 0.0) {
    low = AngleOf(within.floor);
  } else if (low.at > 0.0) {
    low.sine = sin_nu * of_.cos_tilt - cos_nu * of_.sin_tilt;
    low.cosine = cos_nu * of_.cos_tilt + sin_nu * of_.sin_tilt;
  }
  if (low.at > most) low = at_most();
  Angle high{nu + of_.tilt, sin_nu * of_.cos_tilt + cos_nu * of_.sin_tilt,
             cos_nu * of_.cos_tilt - sin_nu * of_.sin_tilt};
  if (high.at > most) high = at_most();
  if (high.at < low.at) high = low;
  return {low.at, high.at, low.sine, low.cosine, high.sine, high.cosine};
}

CellBound AlongBound::OverPart(const DrillPart& part, const AxesWithin& within) const {
  CellBound bound;
  bound.along = w_;
  if (within.floor > 0.0 && view_.nu_most + of_.tilt + view_.slack < within.floor) return bound;
  const bool whole = within.floor <= 0.0 && within.ceiling == kNever;
  Ranges ranges;
  for (std::size_t k = 0; k < view_.count; ++k) ranges[k] = Psi(k, within);
  for (const DrillDisc& disc : part.disc) {
    const CellBound of_disc = OverDisc(disc, ranges, whole);
    if (of_disc.depth < bound.depth) bound = of_disc;
  }
  return bound;
}

CellBound AlongBound::OverDisc(const DrillDisc& disc, const Ranges& ranges, bool whole) const {
  CellBound bound;
  bound.along = w_;
  double greatest = -kNever;
  double cosine = 1.0;
  for (std::size_t k = 0; k < view_.count; ++k) {
    const DiscDepth at = Least(view_.delta[k], disc, ranges[k]);
    greatest = std::max(greatest, at.depth);
    if (!(at.depth < bound.depth)) continue;
    bound.depth = at.depth;
    bound.mix = static_cast<int>(k);
    bound.nu = view_.nu[k];
    bound.psi = at.psi;
    cosine = at.cosine;
  }
  if (std::isnan(bound.psi)) {
    bound.psi = std::asin(disc.radius / view_.delta[static_cast<std::size_t>(bound.mix)]);
  }
  const double raw = std::min(bound.depth, of_.cut);
  double proven = With(disc, ranges, raw, Rest(disc, raw, 1.0));
  if (whole && view_.turn + view_.slack > 0.0) {
    const double rest = Rest(disc, raw, Steepness(disc, proven, raw));
    proven = std::max(proven, With(disc, ranges, raw, rest));
  }
  bound.piece_spread = view_.spread / std::max(cosine, 1e-3);
  bound.cell_spread = std::min(greatest, raw + 1e3) - proven;
  bound.way = view_.change[0] > view_.change[1] ? 0 : 1;
  if (raw - proven > 0.5 * bound.cell_spread) bound.way = cell_.half.x() > cell_.half.y() ? 0 : 1;
  bound.depth = proven;
  return bound;
}

/// What to take off delta for all that is not bilinear in the cell, at depths up to `depth`.
double AlongBound::Rest(const DrillDisc& disc, double depth, double steepness) const {
  const double along = depth - disc.behind;
  const double arm = std::sqrt(disc.radius * disc.radius + along * along);
  if (steepness <= 0.0) return cell_.sag;
  return cell_.sag + arm * (steepness * view_.slack + view_.turn * view_.turn / 8.0);
}

/// Greatest slope (over the arm) of the separation by the axis' angle, over the cell, at depths
/// from `from` to `to`; 0 where the worst lean is the same whatever the angle.
double AlongBound::Steepness(const DrillDisc& disc, double from, double to) const {
  double steepest = 0.0;
  for (const double depth : {from, to}) {
    const double chi = std::atan2(disc.radius, depth - disc.behind);
    for (std::size_t k = 0; k < view_.count; ++k) {
      const double beyond = std::abs(view_.nu[k] - chi) + view_.slack + view_.turn - of_.tilt;
      steepest = std::max(steepest, std::min(beyond, 0.5 * kPi));
    }
  }
  return steepest > 0.0 ? std::sin(steepest) : 0.0;
}

double AlongBound::With(const DrillDisc& disc, const Ranges& ranges, double raw,
                        double rest) const {
  double depth = raw;
  for (std::size_t k = 0; k < view_.count; ++k) {
    const double at = Least(view_.delta[k] - rest, disc, ranges[k]).depth;
    if (std::isnan(at)) return -kNever;
    depth = std::min(depth, at);
  }
  return depth;
}

}  // namespace holeward
