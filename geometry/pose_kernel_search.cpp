#include "geometry/pose_kernel_search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "geometry/bound_search.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kRounding = 2e-9;

/// Depth at which one part touches a ball of metal; a point where `grown` is 0.
double Touch(const PoseDrill::Part& part, double ahead, double aside, double grown) {
  if (grown > 0.0) return TouchBall(part, ahead, aside, grown).lower;
  if (aside > part.radius + kRounding) return kNever;
  if (aside <= part.tip_radius) return ahead + part.front;
  const double share = std::min(1.0, (aside - part.tip_radius) / (part.radius - part.tip_radius));
  return ahead + part.front + share * (part.back - part.front);
}

double Touch(const std::vector<PoseDrill::Part>& parts, double ahead, double aside, double grown) {
  double least = kNever;
  for (const PoseDrill::Part& part : parts)
    least = std::min(least, Touch(part, ahead, aside, grown));
  return least;
}

/// A bound over a whole piece. The cone's depth is convex: it lies above its tangent plane.
double LeastOf(const Piece& piece, const Extent& extent, const PoseDrill::Part& part,
               double grown) {
  const double apart = Touch(part, std::max(extent.z_least, -grown), extent.r_least, grown);
  if (!(part.radius > part.tip_radius) || !std::isfinite(apart)) return apart;
  const double cot = (part.back - part.front) / (part.radius - part.tip_radius);
  double together = kNever;
  for (const Eigen::Vector4d& pole : piece.poles) {
    const double along = pole.z() + cot * pole.head<2>().dot(extent.outward);
    together = std::min(together, along / pole.w());
  }
  together += part.front - cot * part.tip_radius - grown * std::sqrt(1.0 + cot * cot) - kRounding;
  return std::max(apart, together);
}

/// The pieces that may be touched, seen from the pose.
std::vector<Piece> PiecesFor(const std::vector<BalledPiece>& pieces, const LocalPose& pose,
                             const TouchSearch& search) {
  const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
  std::vector<Piece> seen;
  for (const BalledPiece& balled : pieces) {
    const double least =
        LeastInBall(balled.middle - pose.entry, pose.direction,
                    balled.radius + std::abs(search.wall), search.radius, search.cot);
    if (least <= search.horizon) seen.push_back(Seen(balled.piece, frame));
  }
  return seen;
}

/// Greatest s + q over near metal within `within` of the axis, q of the profile's late shoulders.
Span Deepest(const std::vector<Piece>& near, const Drill& drill, double within) {
  const double a = drill.radius();
  const auto behind = [&](double r) { return drill.BehindLate(std::min(r, a)); };
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.r_least - piece.grown > within) return kNever;
    const double most =
        extent.z_greatest + behind(std::min(extent.r_greatest + piece.grown, within));
    return -(most + piece.grown);
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    const double r = place.head<2>().norm();
    if (r + piece.grown > within) return kNever;
    return -(place.z() - piece.grown + behind(std::max(0.0, r - piece.grown)));
  };
  const Minimum least = MinimumOver(near, lower, upper, {4e-4, 6000});
  if (!std::isfinite(least.lower)) return {0.0, kNever};  // no metal found: nothing is known
  return {-least.upper - kRounding, -least.lower + kRounding};
}

}  // namespace

BalledPiece Balled(Piece piece) {
  BalledPiece balled;
  const Extent extent = ExtentOf(piece);
  balled.middle = extent.middle;
  for (const Eigen::Vector4d& pole : piece.poles) {
    balled.radius = std::max(balled.radius, (pole.head<3>() / pole.w() - extent.middle).norm());
  }
  balled.radius += piece.grown + 1e-9;
  balled.piece = std::move(piece);
  return balled;
}

FoundTouch SearchTouch(const std::vector<BalledPiece>& pieces, const LocalPose& pose,
                       const TouchSearch& search) {
  const std::vector<Piece> seen = PiecesFor(pieces, pose, search);
  FoundTouch found;
  if (seen.empty()) return found;
  const double thicker = std::max(0.0, search.wall);
  const double thinner = std::max(0.0, -search.wall);
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    const double grown = thicker + piece.grown;
    if (extent.z_greatest + grown < 0.0 || extent.r_least - grown > search.radius) return kNever;
    double least = kNever;
    for (const PoseDrill::Part& part : *search.parts) {
      least = std::min(least, LeastOf(piece, extent, part, grown));
    }
    return least > search.horizon ? kNever : least;
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    const double r = place.head<2>().norm();
    const double sure = thicker - piece.grown;
    if (place.z() < 0.0) return kNever;
    const double depth = sure >= 0.0 ? Touch(*search.parts, place.z(), r, sure)
                                     : Touch(*search.parts, place.z() - sure, r - sure, 0.0);
    return depth > search.horizon ? kNever : depth;
  };
  const Minimum least = MinimumOver(seen, lower, upper, {0.4 * search.gap, 6000});
  found.settled = least.settled;
  found.obstacle = least.obstacle;
  // Metal cut back by t along its normals lies within the same metal carried t along the axis; and
  // the place t behind the one touched is left of it, where the drill is wide enough to meet it.
  found.depth.lower = least.lower + thinner - kRounding;
  // Likewise where the patches are only known to within `grown`.
  double loose = 0.0;
  for (const Piece& piece : seen) loose = std::max(loose, 2.0 * piece.grown);
  loose = thinner + (loose > 1e-8 ? loose : 0.0);
  found.depth.upper = least.upper + loose * (1.0 + search.cot) + kRounding;
  if (loose > 0.0 && least.at.head<2>().norm() + loose > search.radius) found.depth.upper = kNever;
  if (!std::isfinite(least.lower)) found.depth.lower = kNever;
  return found;
}

Span SearchBreakthrough(const std::vector<BalledPiece>& near, const LocalPose& pose,
                        const PoseDrill& drill, double wall) {
  const double a = drill.radius();
  TouchSearch reach;
  reach.radius = a + std::abs(wall);
  reach.wall = wall;
  reach.horizon = kNever;
  const AxisFrame frame = AxisFrame::At(pose.entry, pose.direction);
  std::vector<Piece> pieces;
  for (const BalledPiece& balled : near) {
    const Vec3 from = balled.middle - pose.entry;
    const double aside = (from - from.dot(pose.direction) * pose.direction).norm();
    if (aside - balled.radius <= reach.radius) pieces.push_back(Seen(balled.piece, frame));
  }
  const Span as_is = Deepest(pieces, drill.drill(), a);
  if (wall == 0.0) return as_is;
  if (wall > 0.0) return {as_is.lower, Deepest(pieces, drill.drill(), a + wall).upper + wall};
  return {Deepest(pieces, drill.drill(), std::max(0.0, a + wall)).lower + wall, as_is.upper};
}

}  // namespace holeward
