#include "geometry/tolerance.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "geometry/bound_search.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kMostTilt = 60.0 * kDegree;
const SearchLimits kWorstSearch{0.01, 20000};

WorstClearance Failed(std::string why) {
  WorstClearance worst;
  worst.failure = std::move(why);
  return worst;
}

bool IsFinite(const PoseCone& cone) {
  return cone.pose.entry.allFinite() && cone.pose.direction.allFinite() &&
         std::abs(cone.pose.direction.norm() - 1.0) < 1e-6 && std::isfinite(cone.place) &&
         std::isfinite(cone.rise) && std::isfinite(cone.tilt) && cone.place >= 0.0 &&
         cone.rise >= 0.0 && cone.tilt >= 0.0;
}

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// The drill's depth when a place at distance m, angle alpha off the axis, is touched.
double Touch(const Drill& drill, double m, double alpha) {
  return m * std::cos(alpha) + drill.Behind(std::min(m * std::sin(alpha), drill.radius()));
}

/// How far a piece of near wall may reach beyond its patch: thickness, and what a section off its
/// size moves of it. A flat lies where the mark is on it; only what slopes off it moves.
double NearGrowth(const Piece& piece, const Obstacle& obstacle, double built) {
  const double facing = FacingOf(piece);
  const double slope = std::sqrt(std::max(0.0, 1.0 - facing * facing));
  const double by_outline = obstacle.round ? 0.5 * (1.0 - facing) : slope;
  return built + obstacle.wall_error + obstacle.outline_error * by_outline;
}

/// Greatest height of the near wall within reach.
double NearWallTop(const std::vector<Piece>& walls, const std::vector<Obstacle>& obstacles,
                   const Reach& reach, double parting) {
  const auto growth = [&](const Piece& piece) {
    const Obstacle& obstacle = obstacles[static_cast<std::size_t>(piece.obstacle)];
    const double built = std::max(0.0, piece.grown - obstacle.shift);
    return NearGrowth(piece, obstacle, built);
  };
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.z_least > parting) return kNever;
    const double grown = growth(piece);
    const double high = std::max(std::abs(extent.z_greatest), std::abs(extent.z_least)) + grown;
    if (extent.r_least - grown > reach.At(high)) return kNever;
    return -(std::min(extent.z_greatest, parting) + grown);
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    if (place.z() > parting || place.head<2>().norm() > reach.At(place.z())) return kNever;
    return -(place.z() + growth(piece));
  };
  return -MinimumOver(walls, lower, upper, kWorstSearch).lower;
}

/// First touch over the poses of a cone.
Minimum FirstTouchOver(const std::vector<Piece>& pieces, const PoseCone& cone, const Drill& drill,
                       double from, double horizon) {
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.z_greatest < from) return kNever;
    const double depth = LeastDepthOver(cone, drill,
                                        {std::max(extent.z_least, from), extent.z_greatest,
                                         extent.r_least, extent.r_greatest, piece.grown});
    return depth > horizon ? kNever : depth;
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    if (place.z() < from) return kNever;
    const double l = place.head<2>().norm();
    const double depth = LeastDepthOver(cone, drill, {place.z(), place.z(), l, l, piece.grown});
    return depth > horizon ? kNever : depth;
  };
  return MinimumOver(pieces, lower, upper, kWorstSearch);
}

/// The worst over one cone, put into `worst` where it is worse.
void Judge(const std::vector<Obstacle>& obstacles, const PoseCone& cone, const Drill& drill,
           double side, double horizon, WorstClearance& worst) {
  const AxisFrame frame = AxisFrame::At(cone.pose.entry, cone.pose.direction);
  const Reach reach{cone.place, cone.rise, cone.tilt, drill.radius()};
  Reach wide = reach;
  wide.radius += side;
  const std::vector<Piece> pieces =
      PiecesWithin(obstacles, frame, wide, horizon / std::cos(cone.tilt) + cone.rise, true);
  std::vector<Piece> walls;
  std::vector<Piece> inner;
  std::vector<Piece> other;
  for (const Piece& piece : pieces) {
    const ObstacleKind kind = obstacles[static_cast<std::size_t>(piece.obstacle)].kind;
    (kind == ObstacleKind::wall    ? walls
     : kind == ObstacleKind::inner ? inner
                                   : other)
        .push_back(piece);
  }
  const NearWall wall = SeparateNearWall(walls, obstacles, reach);
  if (!wall.ok()) {
    worst.failure = wall.failure;
    return;
  }
  const double top = NearWallTop(walls, obstacles, reach, wall.Parting());
  if (!std::isfinite(top)) {
    worst.failure = "the break-through depth did not settle";
    return;
  }
  const double through = (top + cone.rise) / std::cos(cone.tilt) +
                         drill.radius() * std::tan(cone.tilt) + drill.FullBehind();
  worst.breakthrough = std::max(worst.breakthrough, through);
  const auto meet = [&](const Minimum& touch, bool far_wall) {
    if (!(touch.lower < worst.free_depth)) return;
    worst.free_depth = touch.lower;
    worst.attained = touch.upper;
    worst.body = far_wall              ? "far wall"
                 : touch.obstacle >= 0 ? obstacles[static_cast<std::size_t>(touch.obstacle)].body
                                       : "not found";
  };
  meet(FirstTouchOver(walls, cone, drill, wall.Parting(), horizon), true);
  meet(FirstTouchOver(other, cone, drill, 0.0, horizon), false);
  meet(FirstTouchOver(inner, cone, drill.Widened(side), 0.0, horizon), false);
}

/// One cone that holds all others, to choose the patches that matter.
PoseCone Hull(const std::vector<PoseCone>& cones) {
  PoseCone hull = cones.front();
  const Pose& first = cones.front().pose;
  for (const PoseCone& cone : cones) {
    const Vec3 apart = cone.pose.entry - first.entry;
    hull.place = std::max(hull.place, apart.norm() + cone.place + cone.rise);
    hull.rise = std::max(hull.rise, std::abs(apart.dot(first.direction)) + cone.rise + cone.place);
    hull.tilt = std::max(hull.tilt, AngleBetween(cone.pose.direction, first.direction) + cone.tilt);
  }
  return hull;
}

std::vector<Obstacle> Within(const std::vector<Obstacle>& obstacles, const PoseCone& hull,
                             double radius, double horizon) {
  if (hull.tilt >= kMostTilt) return obstacles;
  const AxisFrame frame = AxisFrame::At(hull.pose.entry, hull.pose.direction);
  const Reach reach{hull.place, hull.rise, hull.tilt, radius};
  std::vector<Obstacle> near = obstacles;
  for (Obstacle& obstacle : near) {
    std::erase_if(obstacle.patches, [&](const BezierPatch& patch) {
      const double grown = patch.grown + 2.0 * obstacle.shift;  // a corner moves by less than twice
      const Extent extent = ExtentOf(PieceOf(patch, frame, 0, 0.0));
      const double high = std::max(std::abs(extent.z_greatest), std::abs(extent.z_least)) + grown;
      return extent.r_least - grown > reach.At(std::min(high, 2.0 * horizon + 1.0));
    });
  }
  return near;
}

}  // namespace

double LeastDepthOver(const PoseCone& cone, const Drill& drill, const Band& band) {
  const double a = drill.radius();
  const double lateral = std::max(band.l_least - cone.place, 0.0);
  const double away = std::hypot(std::max(band.z_least - cone.rise, 0.0), lateral);
  const double m = away - band.grown;
  const double farthest =
      std::hypot(std::max(std::abs(band.z_least), std::abs(band.z_greatest)) + cone.rise,
                 band.l_greatest + cone.place) +
      band.grown;
  if (m <= 0.0) return -farthest;  // it may lie at the entry itself
  const double turned = std::asin(std::min(1.0, band.grown / away));
  const double least = std::max(
      0.0, std::atan2(lateral, std::max(band.z_greatest + cone.rise, 0.0)) - turned - cone.tilt);
  if (m * std::sin(least) > a) return kNever;
  const double low = band.z_least - cone.rise;
  const double widest =
      std::atan2(low >= 0.0 ? band.l_greatest + cone.place : lateral, low) + turned + cone.tilt;
  // From straight ahead as can be to where the place leaves the drill's side; nearer than a it
  // never does.
  const double most = std::max(least, std::min(widest, m > a ? std::asin(a / m) : 0.5 * kPi));
  double depth = std::min(Touch(drill, m, least), Touch(drill, m, most));
  for (const Drill::Rise& rise : drill.rises()) {
    if (rise.to >= m) break;
    const double alpha = std::asin(rise.to / m);
    if (alpha > least && alpha < most) depth = std::min(depth, Touch(drill, m, alpha));
  }
  // Leant so far that the place lies behind the entry, yet beside the drill: s = r cot(alpha).
  if (widest <= 0.5 * kPi || m * std::cos(std::min(widest, kPi) - 0.5 * kPi) > a) return depth;
  const double behind = widest < 0.9 * kPi ? a * std::tan(widest - 0.5 * kPi) : farthest;
  return std::min(depth, -std::min(behind, farthest));
}

WorstClearance WorstOver(const std::vector<Obstacle>& obstacles, const std::vector<PoseCone>& cones,
                         const Drill& drill, double side, double horizon) {
  if (cones.empty()) return Failed("there is no place to judge");
  if (!AllSound(obstacles) || !std::isfinite(side) || !std::isfinite(horizon) ||
      !std::all_of(cones.begin(), cones.end(), IsFinite)) {
    return Failed("the hole's place, direction or surroundings are not finite numbers");
  }
  const std::vector<Obstacle> near = Within(obstacles, Hull(cones), drill.radius() + side, horizon);
  WorstClearance worst;
  for (const PoseCone& cone : cones) {
    if (cone.tilt >= kMostTilt)
      return Failed("the drill may lean more than 60 degrees off its axis");
    Judge(near, cone, drill, side, horizon, worst);
    if (!worst.ok()) return worst;
  }
  return worst;
}

}  // namespace holeward
