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

/// The drill's depth when a place at distance m, angle alpha off the axis, is touched. A place that
/// rounding may have put just beyond a step's radius counts as within it.
double Touch(const Drill& drill, double m, double alpha) {
  constexpr double kRounding = 1e-9;
  const double r = std::min(m * std::sin(alpha), drill.radius()) - kRounding;
  return m * std::cos(alpha) + drill.Behind(std::max(r, 0.0));
}

/// How far a piece of near wall may reach beyond its patch: thickness, and what a section off its
/// size moves of it. A flat lies where the mark is on it; only what slopes off it moves.
double NearGrowth(const Piece& piece, const Obstacle& obstacle, double built) {
  const double facing = FacingOf(piece);
  const double slope = std::sqrt(std::max(0.0, 1.0 - facing * facing));
  const double by_outline = obstacle.round ? 0.5 * (1.0 - facing) : slope;
  return built + obstacle.wall_error + obstacle.outline_error * by_outline;
}

/// Greatest height of the near wall within reach, if above `cut`; else minus infinity.
double NearWallTop(const std::vector<Piece>& near, const Reach& reach, double cut) {
  const ReachAt reach_at(reach);
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.z_greatest + piece.grown <= cut) return kNever;
    const double high = std::max(std::abs(extent.z_greatest), std::abs(extent.z_least));
    if (extent.r_least - piece.grown > reach_at(high + piece.grown)) return kNever;
    return -(extent.z_greatest + piece.grown);
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    if (place.head<2>().norm() > reach_at(place.z())) return kNever;
    return -(place.z() + piece.grown);
  };
  return -MinimumOver(near, lower, upper, kWorstSearch).lower;
}

/// First touch over the poses of a cone, if shallower than `cut`.
Minimum FirstTouchOver(const std::vector<Piece>& pieces, const PoseCone& cone, const Drill& drill,
                       double cut) {
  const auto lower = [&](const Piece& piece, const Extent& extent) {
    if (extent.z_greatest < 0.0) return kNever;
    const double depth = LeastDepthOver(cone, drill,
                                        {std::max(extent.z_least, 0.0), extent.z_greatest,
                                         extent.r_least, extent.r_greatest, piece.grown});
    return depth >= cut ? kNever : depth;
  };
  const auto upper = [&](const Vec3& place, const Piece& piece) {
    if (place.z() < 0.0) return kNever;
    const double l = place.head<2>().norm();
    const double depth = LeastDepthOver(cone, drill, {place.z(), place.z(), l, l, piece.grown});
    return depth >= cut ? kNever : depth;
  };
  return MinimumOver(pieces, lower, upper, kWorstSearch);
}

/// Everything the poses of one nominal place can reach, in the frame of its middle.
struct Surroundings {
  const std::vector<Obstacle>* obstacles = nullptr;
  std::vector<Piece> near;
  std::vector<Piece> far;
  std::vector<Piece> other;
  std::vector<Piece> inner;
};

std::vector<Piece> SeenFrom(const AxisFrame& frame, const std::vector<Piece>& pieces) {
  std::vector<Piece> seen;
  seen.reserve(pieces.size());
  for (const Piece& piece : pieces) seen.push_back(Seen(piece, frame));
  return seen;
}

/// Judges one cone, given in the surroundings' frame; puts into `worst` what is worse.
void Judge(const Surroundings& around, const PoseCone& cone, const Drill& drill,
           const WorstSearch& search, WorstClearance& worst) {
  const AxisFrame frame = AxisFrame::At(cone.pose.entry, cone.pose.direction);
  const std::vector<Obstacle>& obstacles = *around.obstacles;
  std::vector<Piece> near = SeenFrom(frame, around.near);
  for (Piece& piece : near) {
    const Obstacle& obstacle = obstacles[static_cast<std::size_t>(piece.obstacle)];
    piece.grown = NearGrowth(piece, obstacle, std::max(0.0, piece.grown - obstacle.shift));
  }
  const double cos_tilt = std::cos(cone.tilt);
  const double beyond = drill.radius() * std::tan(cone.tilt) + drill.FullBehind();
  const double cut =
      worst.breakthrough > 0.0 ? (worst.breakthrough - beyond) * cos_tilt - cone.rise : -kNever;
  const Reach reach{cone.place, cone.rise, cone.tilt, drill.radius()};
  const double top = NearWallTop(near, reach, cut);
  // Not a number: not less.
  if (!(top < kNever) || (worst.breakthrough <= 0.0 && !std::isfinite(top))) {
    worst.failure = "the break-through depth did not settle";
    return;
  }
  if (std::isfinite(top)) {
    worst.breakthrough = std::max(worst.breakthrough, (top + cone.rise) / cos_tilt + beyond);
  }
  const auto meet = [&](const std::vector<Piece>& pieces, const Drill& by, bool far_wall) {
    const double cut_depth = std::min(worst.free_depth, search.horizon);
    const Minimum touch = FirstTouchOver(SeenFrom(frame, pieces), cone, by, cut_depth);
    if (!(touch.lower < worst.free_depth)) return;
    worst.free_depth = touch.lower;
    worst.attained = touch.upper;
    worst.body = far_wall              ? "far wall"
                 : touch.obstacle >= 0 ? obstacles[static_cast<std::size_t>(touch.obstacle)].body
                                       : "a body that is not settled";
  };
  meet(around.far, drill, true);
  meet(around.other, drill, false);
  meet(around.inner, drill.Widened(search.side), false);
}

/// One cone whose reach is that of all others together.
PoseCone Hull(const std::vector<PoseCone>& cones) {
  Vec3 middle = Vec3::Zero();
  for (const PoseCone& cone : cones) middle += cone.pose.entry / static_cast<double>(cones.size());
  // Of the cones, the one nearest their middle: its axis starts on the skin.
  PoseCone hull = *std::min_element(cones.begin(), cones.end(), [&](const auto& a, const auto& b) {
    return (a.pose.entry - middle).norm() < (b.pose.entry - middle).norm();
  });
  const Pose pose = hull.pose;
  for (const PoseCone& cone : cones) {
    const Vec3 apart = cone.pose.entry - pose.entry;
    const double along = apart.dot(pose.direction);
    const double across = (apart - along * pose.direction).norm();
    const double angle = AngleBetween(cone.pose.direction, pose.direction);
    // Its disc is partly height where its axis leans. Its rise moves an axis along itself and
    // leaves it on its line: a matter of height alone.
    const double turned_rise = cone.rise + cone.place * std::sin(angle);
    hull.place = std::max(hull.place, across + cone.place);
    hull.rise = std::max(hull.rise, std::abs(along) + turned_rise);
    hull.tilt = std::max(hull.tilt, angle + cone.tilt);
  }
  return hull;
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
                         const Drill& drill, const WorstSearch& search) {
  if (cones.empty()) return Failed("there is no place to judge");
  if (!AllSound(obstacles) || !std::isfinite(search.side) || !std::isfinite(search.horizon) ||
      !std::all_of(cones.begin(), cones.end(), IsFinite)) {
    return Failed("the hole's place, direction or surroundings are not finite numbers");
  }
  const PoseCone hull = Hull(cones);
  if (hull.tilt >= kMostTilt) return Failed("the drill may lean more than 60 degrees off its axis");
  const AxisFrame frame = AxisFrame::At(hull.pose.entry, hull.pose.direction);
  const Reach reach{hull.place, hull.rise, hull.tilt, drill.radius()};
  Reach wide = reach;
  wide.radius += search.side;
  Surroundings around;
  around.obstacles = &obstacles;
  std::vector<Piece> walls;
  for (Piece& piece : PiecesWithin(obstacles, frame, wide, wide.Ahead(search.horizon), true)) {
    const ObstacleKind kind = obstacles[static_cast<std::size_t>(piece.obstacle)].kind;
    (kind == ObstacleKind::wall    ? walls
     : kind == ObstacleKind::inner ? around.inner
                                   : around.other)
        .push_back(std::move(piece));
  }
  PartedWalls parted = PartWalls(walls, obstacles, reach);
  if (!parted.wall.ok()) return Failed(parted.wall.failure);
  around.near = std::move(parted.near);
  around.far = std::move(parted.far);
  WorstClearance worst = search.so_far;
  for (const PoseCone& cone : cones) {
    PoseCone seen = cone;
    seen.pose = {frame.ToLocal(cone.pose.entry), frame.rotation * cone.pose.direction};
    Judge(around, seen, drill, search, worst);
    if (!worst.ok()) return worst;
  }
  return worst;
}

}  // namespace holeward
