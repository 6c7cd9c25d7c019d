// Making a PoseKernel: parting the walls, keeping what is within reach, knowing simple shapes.
#include <algorithm>
#include <cmath>
#include <utility>

#include "geometry/pose_kernel_impl.h"
#include "geometry/tolerance.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kMostTilt = 60.0 * kDegree;
// Corners of a section off its size move by up to (2√2 - 1) of the error (geometry/clearance.cpp).
constexpr double kCornerFactor = 1.8285;

/// True if a cylinder has the wall's axis and is not inside it.
bool IsAbout(const Cylinder& cylinder, const RoundWall& wall) {
  const Vec3 apart = cylinder.place - wall.place;
  return cylinder.axis.cross(wall.axis).norm() < 1e-9 &&
         (apart - apart.dot(wall.axis) * wall.axis).norm() < 1e-6 &&
         cylinder.radius >= wall.radius - 1e-6;
}

}  // namespace

PoseCone PoseKernel::Impl::Cone() const {
  return {{Vec3::Zero(), Vec3::UnitZ()}, region.place, region.rise, region.tilt};
}

bool PoseKernel::Impl::IsSane(const std::vector<Obstacle>& obstacles) const {
  const Pose& pose = region.middle;
  if (!pose.entry.allFinite() || !pose.direction.allFinite() ||
      !(std::abs(pose.direction.norm() - 1.0) < 1e-6)) {
    return false;
  }
  for (const double value : {region.place, region.rise, region.tilt, region.radius, region.side,
                             region.horizon, region.wall, region.outline, region.inner}) {
    if (!(value >= 0.0) || !std::isfinite(value)) return false;
  }
  return AllSound(obstacles) &&
         std::all_of(obstacles.begin(), obstacles.end(), [](const Obstacle& obstacle) {
           return std::isfinite(obstacle.own_error) && obstacle.own_error >= 0.0;
         });
}

void PoseKernel::Impl::Build(const std::vector<Obstacle>& obstacles) {
  for (const Obstacle& obstacle : obstacles) {
    const bool wall = obstacle.kind == ObstacleKind::wall;
    names.push_back(wall && obstacle.role != FaceRole::fitting ? "far wall" : obstacle.body);
    is_wall.push_back(wall);
  }
  if (!IsSane(obstacles)) {
    failure = "the hole's place, direction or surroundings are not finite numbers";
    return;
  }
  if (region.tilt >= kMostTilt) {
    failure = "the drill may lean more than 60 degrees off its axis";
    return;
  }
  frame = AxisFrame::At(region.middle.entry, region.middle.direction);
  cos_tilt = std::cos(region.tilt);
  sin_tilt = std::sin(region.tilt);
  BuildWalls(obstacles);
  if (!failure.empty()) return;
  BuildInner(obstacles);
  BuildOther(obstacles);
}

double PoseKernel::Impl::LeastOverRegion(const Piece& piece, double more, double radius) const {
  const auto drill = Drill::Twist(2.0 * std::max(radius, 1e-3), 179.0 * kDegree);
  if (!drill) return 0.0;
  const Extent extent = ExtentOf(piece);
  return LeastDepthOver(
      Cone(), *drill,
      {extent.z_least, extent.z_greatest, extent.r_least, extent.r_greatest, piece.grown + more});
}

void PoseKernel::Impl::BuildWalls(const std::vector<Obstacle>& obstacles) {
  const double loose = region.wall + kCornerFactor * region.outline;
  const Reach reach{region.place, region.rise, region.tilt, region.radius};
  std::vector<Piece> walls;
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    if (obstacles[i].kind != ObstacleKind::wall) continue;
    for (const BezierPatch& patch : obstacles[i].patches) {
      Piece piece = PieceOf(patch, frame, static_cast<int>(i), 0.0);
      piece.grown = patch.grown + obstacles[i].own_error + loose;
      const Extent extent = ExtentOf(piece);
      const double high = std::max(std::abs(extent.z_greatest), std::abs(extent.z_least));
      const double farthest = region.horizon / cos_tilt + region.rise + region.place;
      if (extent.z_least - piece.grown > farthest) continue;
      if (extent.r_least - piece.grown > reach.At(std::min(high + piece.grown, farthest))) continue;
      walls.push_back(std::move(piece));
    }
  }
  PartedWalls parted = PartWalls(walls, obstacles, reach);
  if (!parted.wall.ok()) {
    failure = parted.wall.failure;
    return;
  }
  near_wall = parted.wall.length;
  for (Piece& piece : parted.near) piece.grown = std::max(0.0, piece.grown - loose);
  for (Piece& piece : parted.far) piece.grown = std::max(0.0, piece.grown - loose);
  for (const Piece& piece : parted.near) near.push_back(Balled(piece));
  for (const Piece& piece : parted.far) far.push_back(Balled(piece));
  FindRoundWall(obstacles);
  if (!round) {
    BuildSheets(parted, obstacles);
    return;
  }
  // Beside a round wall: what is neither it nor a wider cylinder about the same axis.
  for (const BalledPiece& balled : far) {
    const Piece& piece = balled.piece;
    const auto cylinder = CylinderOf({piece.degree_u, piece.degree_v, piece.poles, 0.0});
    const bool held = cylinder && IsAbout(*cylinder, *round);
    const FaceRole role = obstacles[static_cast<std::size_t>(piece.obstacle)].role;
    if (held && (role == FaceRole::inner || role == FaceRole::outer)) continue;
    other.push_back(balled);
  }
}

bool PoseKernel::Impl::Covers(const Cylinder& cylinder) const {
  const double lean = std::asin(std::clamp(cylinder.axis.z(), -1.0, 1.0));
  if (std::abs(lean) + region.tilt > 45.0 * kDegree) return false;
  const double low = std::sin(lean - region.tilt);
  const double high = std::sin(lean + region.tilt);
  const double deepest =
      (2.0 * cylinder.radius + region.rise + region.place) / std::cos(std::abs(lean) + region.tilt);
  const double at = -cylinder.place.dot(cylinder.axis);
  const double around = region.place + region.rise + region.radius + region.wall + region.outline;
  const double from = at - around + std::min(0.0, deepest * low);
  const double to = at + around + std::max(0.0, deepest * high);
  return from > 0.0 && to < cylinder.length;
}

void PoseKernel::Impl::FindRoundWall(const std::vector<Obstacle>& obstacles) {
  std::vector<Cylinder> found;
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    const Obstacle& obstacle = obstacles[i];
    if (obstacle.kind != ObstacleKind::wall || obstacle.role != FaceRole::inner) continue;
    std::vector<int> of_patch;
    const std::vector<Cylinder> cylinders = WholeCylinders(obstacle.patches, of_patch);
    for (std::size_t c = 0; c < cylinders.size(); ++c) {
      if (std::find(of_patch.begin(), of_patch.end(), static_cast<int>(c)) == of_patch.end()) {
        continue;
      }
      Cylinder local = cylinders[c];
      local.place = frame.ToLocal(local.place);
      local.axis = frame.rotation * local.axis;
      const Vec3 off = local.place - local.place.dot(local.axis) * local.axis;
      // The entry lies outside it, the axis goes well into it.
      if (!Covers(local) || off.norm() < local.radius) continue;
      found.push_back(local);
      round_obstacle = static_cast<int>(i);
    }
  }
  if (found.size() != 1) return;
  const double own = obstacles[static_cast<std::size_t>(round_obstacle)].own_error;
  round = RoundWall{found[0].place, found[0].axis, found[0].radius, found[0].grown + own};
}

void PoseKernel::Impl::BuildSheets(const PartedWalls& parted,
                                   const std::vector<Obstacle>& obstacles) {
  const auto split = [&](const std::vector<Piece>& pieces, bool is_inner) {
    std::vector<Piece> chosen;
    for (const Piece& piece : pieces) {
      const FaceRole role = obstacles[static_cast<std::size_t>(piece.obstacle)].role;
      if ((role == FaceRole::inner) == is_inner) chosen.push_back(piece);
    }
    return chosen;
  };
  const double wall = region.wall + region.outline;
  const double tan_tilt = std::tan(region.tilt);
  const double disc = 1.7 + (region.radius + wall) * (1.0 + 0.6 * std::sin(region.tilt));
  const auto needs = [&](double height, double drop) {
    PoseSheet::Needs n;
    n.first_ring = 2.2 + wall;
    n.disc = disc + std::sin(region.tilt) * drop;
    n.drop = drop;
    n.greatest = n.disc + std::sin(region.tilt) * (height + region.radius) + 1.0;
    n.reach_radius = region.place + (height + region.rise) * tan_tilt;
    return n;
  };
  std::vector<Piece> far_sheet_pieces = split(parted.far, true);
  double height = 0.0;
  for (const Piece& piece : far_sheet_pieces) {
    const Extent extent = ExtentOf(piece);
    if (extent.r_least > region.place + std::abs(extent.z_greatest) * tan_tilt + 1.0) continue;
    height = std::max(height, extent.z_greatest + region.rise);
    sheet_obstacle = piece.obstacle;
  }
  if (height > 0.0) {
    far_sheet =
        PoseSheet::Make(split(parted.far, false), far_sheet_pieces, true, needs(height, 0.0));
  }
  const double thick = parted.wall.Parting() + region.rise;
  near_sheet = PoseSheet::Make(split(parted.near, false), split(parted.near, true), false,
                               needs(thick, thick));
}

void PoseKernel::Impl::BuildInner(const std::vector<Obstacle>& obstacles) {
  const double wide = region.radius + region.side;
  const double more = region.inner + 0.5 * region.outline;
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    const Obstacle& obstacle = obstacles[i];
    if (obstacle.kind != ObstacleKind::inner) continue;
    InnerGroup group;
    group.obstacle = static_cast<int>(i);
    group.own_error = obstacle.own_error;
    const auto within = [&](const std::vector<BezierPatch>& patches) {
      std::vector<BalledPiece> kept;
      for (const BezierPatch& patch : patches) {
        Piece piece = PieceOf(patch, frame, static_cast<int>(i), patch.grown + obstacle.own_error);
        if (LeastOverRegion(piece, more, wide) > region.horizon) continue;
        kept.push_back(Balled(std::move(piece)));
      }
      return kept;
    };
    RodsAndRest sorted = SortRods(obstacle, static_cast<int>(i));
    for (Rod& rod : sorted.rods) {
      rod.body.place = frame.ToLocal(rod.body.place);
      rod.body.axis = frame.rotation * rod.body.axis;
      group.rods.push_back(rod);
    }
    group.rest = within(sorted.rest);
    group.all = within(obstacle.patches);
    inner.push_back(std::move(group));
  }
  if (static_cast<int>(inner.size()) > kMostInner) failure = "there are too many inner bodies";
}

void PoseKernel::Impl::BuildOther(const std::vector<Obstacle>& obstacles) {
  for (std::size_t i = 0; i < obstacles.size(); ++i) {
    const Obstacle& obstacle = obstacles[i];
    if (obstacle.kind != ObstacleKind::other) continue;
    for (const BezierPatch& patch : obstacle.patches) {
      Piece piece = PieceOf(patch, frame, static_cast<int>(i), patch.grown + obstacle.own_error);
      const Extent extent = ExtentOf(piece);
      if (extent.z_greatest + piece.grown < -region.rise - 2.0 * (region.place + region.radius))
        continue;
      if (LeastOverRegion(piece, 0.0, region.radius) > region.horizon) continue;
      other.push_back(Balled(std::move(piece)));
    }
  }
  other_least = kNever;
  for (const BalledPiece& balled : other) {
    other_least = std::min(
        other_least, LeastOverRegion(balled.piece, region.wall + region.outline, region.radius));
  }
}

}  // namespace holeward
