#include "geometry/near_wall.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace holeward {
namespace {

constexpr double kAtSkin =
    0.1;  // the entry is a place of the skin's law, the solid lies within 0.02
constexpr double kLeastGap = 0.2;  // less air than this is not counted as a gap
constexpr double kLeastFacing =
    0.2;                       // |normal . axis|: steeper near walls are corners or side walls
constexpr double kFine = 0.4;  // pieces are judged no finer than this, mm
constexpr int kMostPieces = 60000;

struct Crossing {
  double z = 0.0;
  FaceRole role = FaceRole::inner;
};

/// Every place where the axis meets a surface, by halving the pieces whose hull it may touch.
std::optional<std::vector<Crossing>> CrossingsOf(const std::vector<Piece>& walls,
                                                 const std::vector<Obstacle>& obstacles) {
  constexpr double kTouch = 1e-7;
  constexpr double kResolved = 1e-6;
  std::vector<Crossing> crossings;
  std::vector<Piece> stack = walls;
  Piece first;
  Piece second;
  for (int count = 0; !stack.empty(); ++count) {
    if (count > kMostPieces) return std::nullopt;
    const Piece piece = std::move(stack.back());
    stack.pop_back();
    const Extent extent = ExtentOf(piece);
    if (extent.r_least > kTouch) continue;
    if (extent.size > kResolved) {
      Halve(piece, first, second);
      stack.push_back(first);
      stack.push_back(second);
      continue;
    }
    crossings.push_back(
        {extent.middle.z(), obstacles[static_cast<std::size_t>(piece.obstacle)].role});
  }
  std::sort(crossings.begin(), crossings.end(),
            [](const Crossing& a, const Crossing& b) { return a.z < b.z; });
  const auto same = [](const Crossing& a, const Crossing& b) { return b.z - a.z < 1e-4; };
  crossings.erase(std::unique(crossings.begin(), crossings.end(), same), crossings.end());
  return crossings;
}

/// The heights a small part of surface covers.
struct Leaf {
  double from = 0.0;
  double to = 0.0;
  bool near_side_ok = false;  ///< faces the drill, and is skin or inner surface
};

/// Surface within reach, in small leaves, up to height `cap`. The gap is looked for behind `exit`:
/// the further a piece begins behind it, the larger a leaf may be; it only makes the gap shorter.
std::optional<std::vector<Leaf>> LeavesOf(const std::vector<Piece>& walls,
                                          const std::vector<Obstacle>& obstacles,
                                          const Reach& reach, double exit, double cap) {
  const ReachAt reach_at(reach);
  std::vector<Leaf> leaves;
  std::vector<Piece> stack = walls;
  Piece first;
  Piece second;
  for (int count = 0; !stack.empty(); ++count) {
    if (count > kMostPieces) return std::nullopt;
    const Piece piece = std::move(stack.back());
    stack.pop_back();
    const Extent extent = ExtentOf(piece);
    const double highest = extent.z_greatest + piece.grown;
    if (extent.z_least - piece.grown > cap) continue;
    if (extent.r_least - piece.grown >
        reach_at(std::max(std::abs(highest), std::abs(extent.z_least)))) {
      continue;
    }
    const bool facing = FacingOf(piece) >= kLeastFacing;
    const bool level = extent.z_greatest - extent.z_least <= 0.25;
    const double beyond = extent.z_least - exit;
    if (extent.size > std::max(kFine, 0.5 * beyond) && !(facing && level)) {
      Halve(piece, first, second);
      stack.push_back(first);
      stack.push_back(second);
      continue;
    }
    const FaceRole role = obstacles[static_cast<std::size_t>(piece.obstacle)].role;
    const bool wall = role == FaceRole::inner || role == FaceRole::outer;
    leaves.push_back({extent.z_least - piece.grown, highest, facing && wall});
  }
  return leaves;
}

NearWall Failed(std::string why) {
  NearWall wall;
  wall.failure = std::move(why);
  return wall;
}

/// The first stretch free of leaves at or after the exit.
NearWall GapAfter(double exit, double next, std::vector<Leaf> leaves) {
  std::sort(leaves.begin(), leaves.end(),
            [](const Leaf& a, const Leaf& b) { return a.from < b.from; });
  NearWall wall;
  wall.gap_from = exit;
  bool near_side_ok = true;
  for (const Leaf& leaf : leaves) {
    if (leaf.from > wall.gap_from + kLeastGap) {
      wall.gap_to = leaf.from;
      break;
    }
    near_side_ok = near_side_ok && leaf.near_side_ok;
    wall.gap_from = std::max(wall.gap_from, leaf.to);
  }
  if (wall.gap_from + kLeastGap > next) {
    return Failed(
        "there is no clear space behind the near wall: the hole runs into a corner, a side wall or "
        "an end");
  }
  wall.gap_to = std::min(wall.gap_to, next);
  if (!near_side_ok)
    return Failed("the hole runs into a corner, a side wall, an edge or an existing hole");
  return wall;
}

}  // namespace

double Reach::At(double z) const { return ReachAt(*this)(z); }

double Reach::Ahead(double depth) const { return rise + depth + radius * std::sin(tilt); }

NearWall SeparateNearWall(const std::vector<Piece>& walls, const std::vector<Obstacle>& obstacles,
                          const Reach& reach) {
  const auto crossings = CrossingsOf(walls, obstacles);
  if (!crossings) return Failed("the drill's axis runs along a surface");
  const auto entry = std::find_if(crossings->begin(), crossings->end(), [](const Crossing& c) {
    return c.role == FaceRole::outer && std::abs(c.z) <= kAtSkin;
  });
  if (entry == crossings->end()) return Failed("the drill's axis does not enter metal at the mark");
  const auto exit = std::next(entry);
  if (exit == crossings->end()) return Failed("the drill's axis never leaves the wall");
  if (exit->role != FaceRole::inner) {
    return Failed("the drill's axis leaves the part without coming to its inside");
  }
  const double horizon = std::numeric_limits<double>::infinity();
  const double next = std::next(exit) == crossings->end() ? horizon : std::next(exit)->z;
  const auto leaves = LeavesOf(walls, obstacles, reach, exit->z, next);
  if (!leaves) return Failed("the surface within the drill's reach is too intricate to judge");
  NearWall wall = GapAfter(exit->z, next, *leaves);
  wall.length = exit->z;
  return wall;
}

PartedWalls PartWalls(const std::vector<Piece>& walls, const std::vector<Obstacle>& obstacles,
                      const Reach& reach) {
  constexpr double kNearSize = 4.0;
  constexpr double kFarSize = 12.0;
  constexpr double kStuck = 1e-3;  // too small to halve on: counted as far wall, the safe side
  PartedWalls parted;
  parted.wall = SeparateNearWall(walls, obstacles, reach);
  if (!parted.wall.ok()) return parted;
  const double parting = parted.wall.Parting();
  const ReachAt reach_at(reach);
  std::vector<Piece> stack = walls;
  Piece first;
  Piece second;
  for (int count = 0; !stack.empty(); ++count) {
    if (count > kMostPieces) {
      parted.wall = Failed("the surface within the drill's reach is too intricate to judge");
      return parted;
    }
    const Piece piece = std::move(stack.back());
    stack.pop_back();
    const Extent extent = ExtentOf(piece);
    const double high = std::max(std::abs(extent.z_greatest), std::abs(extent.z_least));
    if (extent.r_least - piece.grown > reach_at(high + piece.grown)) continue;
    const bool near = extent.z_greatest < parting;
    const bool far = extent.z_least > parting;
    const double size = near ? kNearSize : far ? kFarSize : kStuck;
    if (extent.size <= size) {
      (near ? parted.near : parted.far).push_back(piece);
      continue;
    }
    Halve(piece, first, second);
    stack.push_back(first);
    stack.push_back(second);
  }
  return parted;
}

}  // namespace holeward
