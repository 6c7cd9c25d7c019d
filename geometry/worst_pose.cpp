#include "geometry/worst_pose.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "geometry/worst_pose_search.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kMostTilt = 60.0 * kDegree;
constexpr double kPoseGap = 5e-4;
constexpr double kRimSpare = 1e-4;  // a place is looked for this far within the rim
constexpr int kThroughBudget = 6000;
constexpr int kPoseBudget = 20000;
enum Group { kFar, kOther, kInner, kNear };

WorstDepths Failed(std::string why) {
  WorstDepths worst;
  worst.failure = std::move(why);
  return worst;
}

std::vector<int> Indices(int count) {
  std::vector<int> all(static_cast<std::size_t>(count));
  std::iota(all.begin(), all.end(), 0);
  return all;
}

/// What is known beforehand of the break-through depth, if some pose attains it within the gap.
bool TakeKnownThrough(const WorstPoseSearch& search, WorstDepths& worst) {
  const bool settled =
      worst.breakthrough > 0.0 && search.proven_through - worst.breakthrough_attained <= search.gap;
  if (settled) worst.breakthrough = search.proven_through;
  return settled;
}

/// Likewise of the free depth.
bool TakeKnownFree(const WorstPoseSearch& search, WorstDepths& worst) {
  if (search.proven_free >= search.horizon) return true;
  const bool settled = search.proven_free >= worst.upper - search.gap;
  if (settled) worst.lower = std::min(search.proven_free, worst.upper);
  return settled;
}

/// The worst of one zone, in the frame of its middle.
class WorstOfZone {
 public:
  WorstOfZone(const std::vector<Obstacle>& obstacles, PlaceCells cells, double tilt,
              const Drill& drill, const WorstPoseSearch& search)
      : obstacles_(obstacles),
        cells_(std::move(cells)),
        tilt_(tilt),
        drill_(drill),
        search_(search),
        wide_(drill.Widened(search.side)),
        parts_(PartsOf(drill)),
        wide_parts_(PartsOf(wide_)),
        worst_(search.so_far) {}

  WorstDepths Run() {
    if (!Surround()) return worst_;
    if (!TakeKnownThrough(search_, worst_)) Breakthrough();
    if (worst_.ok() && !TakeKnownFree(search_, worst_)) FreeDepth();
    return worst_;
  }

 private:
  bool Surround() {
    const Reach reach = cells_.HullReach(tilt_, drill_.radius());
    if (!(reach.tilt < kMostTilt)) {
      worst_ = Failed("the drill may lean more than 60 degrees off its axis");
      return false;
    }
    Reach wide = reach;
    wide.radius += search_.side;
    std::vector<Piece> walls;
    for (Piece& piece :
         PiecesWithin(obstacles_, cells_.frame(), wide, wide.Ahead(search_.horizon), true)) {
      const ObstacleKind kind = Of(piece.obstacle).kind;
      if (kind == ObstacleKind::wall) {
        walls.push_back(std::move(piece));
      } else {
        metal_.Add(MetalOf(std::move(piece), kind == ObstacleKind::inner ? kInner : kOther));
      }
    }
    PartedWalls parted = PartWalls(walls, obstacles_, reach);
    if (!parted.wall.ok()) {
      worst_ = Failed(parted.wall.failure);
      return false;
    }
    for (Piece& piece : parted.far) metal_.Add(MetalOf(std::move(piece), kFar));
    for (Piece& piece : parted.near) near_.Add(MetalOf(std::move(piece), kNear));
    metal_.Close();
    near_.Close();
    return true;
  }

  [[nodiscard]] const Obstacle& Of(int obstacle) const {
    return obstacles_[static_cast<std::size_t>(obstacle)];
  }
  [[nodiscard]] const std::vector<DrillPart>& PartsFor(const MetalPiece& piece) const {
    return piece.group == kInner ? wide_parts_ : parts_;
  }

  /// How far near-wall metal may reach beyond its piece, seen from any axis of a cell. A flat lies
  /// where the mark is on it; only what slopes off it moves with the section's size.
  [[nodiscard]] double NearGrowth(const MetalPiece& piece, const PlaceCell& cell) const {
    const Obstacle& obstacle = Of(piece.piece.obstacle);
    const double built = std::max(0.0, piece.grown - obstacle.shift) + obstacle.wall_error;
    if (obstacle.outline_error <= 0.0) return built;
    const double facing = LeastFacing(cell, piece);
    const double slope = std::sqrt(std::max(0.0, 1.0 - facing * facing));
    return built + obstacle.outline_error * (obstacle.round ? 0.5 * (1.0 - facing) : slope);
  }

  /// Metal of a near-wall piece that one pose has to clear; negated. Looked for at the piece's
  /// corners and where the drill's rim leaves it last.
  [[nodiscard]] double ThroughAttained(const Stance& stance, const Vec3& axis,
                                       const MetalPiece& piece) const {
    PlaceCell here;
    here.corner.fill(stance);
    const double grown = NearGrowth(piece, here);
    const Vec3 apart = piece.middle - stance.entry;
    const double reach = piece.radius + grown + drill_.radius();
    if ((apart - axis * apart.dot(axis)).norm() > reach) return kNever;
    double deepest = -kNever;
    const auto meet = [&](const Vec3& place, const Vec3& normal) {
      const Vec3 outward = normal.dot(axis) < 0.0 ? Vec3(-normal) : normal;
      for (const Vec3& way : {outward, axis}) {
        const Vec3 from = place + grown * way - stance.entry;
        const double s = from.dot(axis);
        const double r = (from - s * axis).norm();
        if (r <= drill_.radius()) deepest = std::max(deepest, s + drill_.BehindLate(r));
      }
    };
    for (std::size_t c = 0; c < 4; ++c) meet(piece.corner[c], piece.normal[c]);
    // Where metal grown along its normal meets the rim's line on the side that leaves last.
    Vec3 normal = piece.middle_normal;
    for (int k = 0; k < 3; ++k) {
      if (normal.dot(axis) < 0.0) normal = -normal;
      const Vec3 side = normal - axis * normal.dot(axis);
      if (side.norm() < 1e-9) break;
      const Vec3 rim =
          stance.entry - (drill_.radius() - kRimSpare) * side.normalized() - grown * normal;
      const Vec3 off = piece.middle - rim;
      if ((off - axis * off.dot(axis)).norm() > piece.radius) break;
      const auto hit = MeetLine(piece.piece, rim, axis);
      if (!hit) break;
      meet(hit->place, hit->normal);
      normal = hit->normal;
    }
    return -deepest;
  }

  void Breakthrough() {
    PairSearch pairs;
    pairs.bound = [&](const PlaceCell& cell, const MetalPiece& piece, double) {
      CellBound bound = GreatestThrough(cell, piece, NearGrowth(piece, cell), drill_, tilt_);
      bound.depth = -bound.depth;
      return bound;
    };
    pairs.attained = [&](const Stance& stance, const Vec3& axis, const MetalPiece& piece) {
      return ThroughAttained(stance, axis, piece);
    };
    pairs.settled = [&](const Stance& stance, const Vec3& axis, int) {
      double deepest = kNever;
      for (int piece = 0; piece < near_.roots(); ++piece) {
        deepest = std::min(deepest, ThroughAttained(stance, axis, near_[piece]));
      }
      return deepest;
    };
    pairs.gap = search_.gap;
    pairs.budget = std::min(search_.budget, kThroughBudget);
    pairs.tilt = tilt_;
    pairs.stop = search_.stop;
    pairs.floor = -search_.proven_through;
    if (worst_.breakthrough > 0.0) pairs.cut = -worst_.breakthrough_attained;
    const PoseMinimum most = LeastOver(cells_, near_, Indices(near_.roots()), pairs);
    worst_.nodes += most.nodes;
    if (most.piece >= 0) worst_.breakthrough_attained = -most.upper;
    worst_.breakthrough =
        std::min(std::max(worst_.breakthrough, -most.lower), search_.proven_through);
    // What may be attained rests on the growth of coarser pieces.
    worst_.breakthrough_attained = std::min(worst_.breakthrough_attained, worst_.breakthrough);
    if (!std::isfinite(worst_.breakthrough) || worst_.breakthrough <= 0.0) {
      worst_ = Failed("the break-through depth did not settle");
    }
  }

  [[nodiscard]] double ConeBound(const PlaceCell& cell, const MetalPiece& piece,
                                 double tilt) const {
    return LeastTouchOfCone(cell, piece, piece.group == kInner ? wide_ : drill_, tilt);
  }
  [[nodiscard]] CellBound TouchBound(const PlaceCell& cell, const MetalPiece& piece, double cut,
                                     double tilt) const {
    CellBound bound;
    const double of_cone = ConeBound(cell, piece, tilt);
    if (of_cone < cut) bound = LeastTouch(cell, piece, {PartsFor(piece), tilt, cut});
    // Not a number: not less.
    if (!(bound.depth >= of_cone)) bound.depth = of_cone;
    return bound;
  }
  [[nodiscard]] double TouchAttained(const Stance& stance, const Vec3& axis,
                                     const MetalPiece& piece) const {
    double depth = kNever;
    for (const Vec3& corner : piece.corner) {
      const Vec3 from = corner - stance.entry;
      if (from.dot(stance.axis) < 0.0) continue;
      depth = std::min(depth, TouchOfBall(PartsFor(piece), from, axis, piece.grown));
    }
    return depth;
  }

  /// First touch of one pose on some pieces, within kPoseGap.
  PoseMinimum TouchOfPose(const Stance& stance, const Vec3& axis, const std::vector<int>& roots,
                          double cut) {
    // The place stays ahead of the entry along the intended axis, whatever the lean.
    Stance leant = stance;
    leant.axis = axis;
    PlaceCells single = PlaceCells::Single(leant);
    PairSearch pairs;
    pairs.bound = [&](const PlaceCell& cell, const MetalPiece& piece, double cut_now) {
      return TouchBound(cell, piece, cut_now, 0.0);
    };
    pairs.attained = [&](const Stance& at, const Vec3& along, const MetalPiece& piece) {
      return TouchAttained(at, along, piece);
    };
    pairs.cut = cut;
    pairs.gap = kPoseGap;
    pairs.budget = kPoseBudget;
    pairs.stop = search_.stop;
    return LeastOver(single, metal_, roots, pairs);
  }

  /// The better of the intended pose and of the one to start from, brought among the poses.
  PoseMinimum KnownTouch(double cut) {
    const std::vector<int> all = Indices(metal_.roots());
    PoseMinimum known = TouchOfPose(Stance{}, Vec3::UnitZ(), all, cut);
    if (!search_.start || !search_.start->entry.allFinite() ||
        !search_.start->direction.allFinite()) {
      return known;
    }
    const Stance stance = cells_.NearTo(cells_.frame().ToLocal(search_.start->entry));
    Vec3 axis = (cells_.frame().rotation * search_.start->direction).normalized();
    const double lean = std::acos(std::clamp(axis.dot(stance.axis), -1.0, 1.0));
    if (lean > tilt_) axis = LeantAxis(axis, stance.axis, tilt_);
    PoseMinimum started = TouchOfPose(stance, axis, all, std::min(cut, known.upper));
    if (started.piece < 0) return known;  // no shallower than the intended one
    started.stance = stance;
    started.axis = axis;
    return started;
  }

  void FreeDepth() {
    PairSearch pairs;
    pairs.rough = [&](const PlaceCell& cell, const MetalPiece& piece) {
      return ConeBound(cell, piece, tilt_);
    };
    pairs.bound = [&](const PlaceCell& cell, const MetalPiece& piece, double cut) {
      return TouchBound(cell, piece, cut, tilt_);
    };
    pairs.attained = [&](const Stance& stance, const Vec3& axis, const MetalPiece& piece) {
      return TouchAttained(stance, axis, piece);
    };
    pairs.leans = [&](const Stance& stance, const MetalPiece& piece) {
      std::array<Vec3, 4> leans;
      for (std::size_t c = 0; c < 4; ++c) {
        leans[c] =
            WorstAxis(PartsFor(piece), stance, piece.corner[c] - stance.entry, piece.grown, tilt_);
      }
      return leans;
    };
    pairs.settled = [&](const Stance& stance, const Vec3& axis, int piece) {
      return TouchOfPose(stance, axis, {piece}, search_.horizon).upper;
    };
    pairs.gap = search_.gap;
    pairs.budget = search_.budget;
    pairs.tilt = tilt_;
    pairs.stop = search_.stop;
    pairs.floor = search_.proven_free;
    pairs.cut = std::min(worst_.upper, search_.horizon);
    pairs.known = KnownTouch(pairs.cut);
    const PoseMinimum touch = LeastOver(cells_, metal_, Indices(metal_.roots()), pairs);
    worst_.nodes += touch.nodes;
    if (touch.lower < search_.horizon) worst_.lower = std::min(worst_.lower, touch.lower);
    if (touch.piece < 0) return;
    // What that pose meets first of all.
    const PoseMinimum exact =
        TouchOfPose(touch.stance, touch.axis, Indices(metal_.roots()), search_.horizon);
    worst_.upper = std::min(touch.upper, exact.upper);
    const int piece = exact.piece >= 0 ? exact.piece : touch.piece;
    worst_.pose = {cells_.frame().ToWorld(touch.stance.entry),
                   (cells_.frame().rotation.transpose() * touch.axis).normalized()};
    worst_.body = metal_[piece].group == kFar ? "far wall" : Of(metal_[piece].piece.obstacle).body;
  }

  const std::vector<Obstacle>& obstacles_;
  PlaceCells cells_;
  double tilt_;
  const Drill& drill_;
  const WorstPoseSearch& search_;
  Drill wide_;
  std::vector<DrillPart> parts_;
  std::vector<DrillPart> wide_parts_;
  MetalPieces metal_;
  MetalPieces near_;
  WorstDepths worst_;
};

bool IsSane(const std::vector<Obstacle>& obstacles, const WorstPoseSearch& search) {
  return AllSound(obstacles) && std::isfinite(search.side) && search.side >= 0.0 &&
         std::isfinite(search.horizon) && search.horizon > 0.0 && std::isfinite(search.gap) &&
         std::all_of(obstacles.begin(), obstacles.end(), [](const Obstacle& o) {
           return std::isfinite(o.wall_error) && std::isfinite(o.outline_error);
         });
}

const char* const kNotFinite = "the hole's place, direction or surroundings are not finite numbers";

}  // namespace

WorstDepths WorstPoseOver(const std::vector<Obstacle>& obstacles, const PoseZone& zone,
                          const Drill& drill, const WorstPoseSearch& search) {
  if (!search.so_far.ok()) return search.so_far;
  if (!IsSane(obstacles, search)) return Failed(kNotFinite);
  WorstDepths known = search.so_far;
  if (TakeKnownThrough(search, known) && TakeKnownFree(search, known)) return known;
  auto cells = PlaceCells::Over(zone);
  if (!cells) return Failed(cells.error().message);
  if (cells->roots() == 0) return Failed("there is no place to judge");
  return WorstOfZone(obstacles, std::move(*cells), zone.tilt, drill, search).Run();
}

WorstDepths DepthsOf(const std::vector<Obstacle>& obstacles, const Pose& pose, const Drill& drill,
                     const WorstPoseSearch& search) {
  if (!IsSane(obstacles, search) || !pose.entry.allFinite() || !pose.direction.allFinite() ||
      std::abs(pose.direction.norm() - 1.0) > 1e-6) {
    return Failed(kNotFinite);
  }
  return WorstOfZone(obstacles, PlaceCells::Single(pose), 0.0, drill, search).Run();
}

}  // namespace holeward
