// Closed forms of the search for the worst pose: one cell of places against one piece of metal.
// Private to worst_pose*.cpp.
#pragma once

#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <vector>

#include "geometry/drill.h"
#include "geometry/worst_pose_cells.h"

namespace holeward {

/// A disc across the drill's axis, `behind` its tip.
struct DrillDisc {
  double radius = 0.0;
  double behind = 0.0;
};

/// A convex part of a drill: the hull of two discs and all behind them.
struct DrillPart {
  std::array<DrillDisc, 2> disc;
};
/// A drill as the union of convex parts, its shoulders early.
[[nodiscard]] std::vector<DrillPart> PartsOf(const Drill& drill);

/// A piece of metal with what the search asks of it.
struct MetalPiece {
  Piece piece;
  std::vector<Vec3> poles;  ///< in space
  std::array<Vec3, 4> corner;
  std::array<Vec3, 4> normal;  ///< unit at the corners; zero where there is none
  Vec3 middle = Vec3::Zero();
  Vec3 middle_normal = Vec3::Zero();
  double radius = 0.0;  ///< all of it lies within this of the middle
  double size = 0.0;
  double lowest = 0.0;  ///< z in the zone's frame
  double grown = 0.0;
  int group = 0;   ///< which list of drill parts it is judged with
  int child = -1;  ///< first half; the second is next
};
[[nodiscard]] MetalPiece MetalOf(Piece piece, int group);

/// Least cosine of the angle between the metal's normals and the axes intended in a cell: that of
/// the corners of both less half of what the normals differ by and what the axes may bend. 0 where
/// that leaves nothing.
[[nodiscard]] double LeastFacing(const PlaceCell& cell, const MetalPiece& piece);

struct SurfaceHit {
  Vec3 place = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();
};
/// Where a line meets a piece, by Newton's method from its middle. Nothing if it does not settle on
/// the piece.
[[nodiscard]] std::optional<SurfaceHit> MeetLine(const Piece& piece, const Vec3& origin,
                                                 const Vec3& direction);

/// A bound over all poses of a cell, and the pose it would come from.
struct CellBound {
  double depth = std::numeric_limits<double>::infinity();
  int mix = 0;                 ///< where in the cell
  double nu = 0.0;             ///< the intended axis' angle there to `along`
  Vec3 along = Vec3::UnitZ();  ///< the direction that keeps drill and metal apart
  double psi = 0.0;            ///< the worst axis' angle to it
  double piece_spread = 0.0;   ///< what the piece's size costs, mm of depth, about
  double cell_spread = 0.0;    ///< what the cell's size costs
  int way = 0;                 ///< the way across which to halve the cell
};

/// What a bound is taken with.
struct BoundOf {
  BoundOf(const std::vector<DrillPart>& of_parts, double of_tilt, double no_more)
      : parts(of_parts),
        tilt(of_tilt),
        sin_tilt(std::sin(of_tilt)),
        cos_tilt(std::cos(of_tilt)),
        cut(no_more) {}

  const std::vector<DrillPart>& parts;
  double tilt;
  double sin_tilt;
  double cos_tilt;
  double cut;  ///< no need to prove more than this
};

/// No pose of the cell touches the piece shallower than this; infinite if proven never touched.
[[nodiscard]] CellBound LeastTouch(const PlaceCell& cell, const MetalPiece& piece,
                                   const BoundOf& of);

/// Least depth at which any pose of the cell touches the piece, all of its poses held in one
/// truncated cone (LeastDepthOver): looser than LeastTouch where places and leans hang together,
/// tighter where a leaning drill just grazes the piece.
[[nodiscard]] double LeastTouchOfCone(const PlaceCell& cell, const MetalPiece& piece,
                                      const Drill& drill, double tilt);

/// No pose of the cell needs to go deeper than this to take the drill's full radius through the
/// piece; minus infinite if out of every pose's reach.
/// @param grown how far the metal reaches beyond the piece, mm
[[nodiscard]] CellBound GreatestThrough(const PlaceCell& cell, const MetalPiece& piece,
                                        double grown, const Drill& drill, double tilt);

/// Depth at which one pose first touches a ball of metal. Exact. Infinite: never.
[[nodiscard]] double TouchOfBall(const std::vector<DrillPart>& parts, const Vec3& from_entry,
                                 const Vec3& direction, double grown);

/// The axis, within `tilt` of the stance's own, that touches a ball the shallowest, or comes
/// nearest to it.
[[nodiscard]] Vec3 WorstAxis(const std::vector<DrillPart>& parts, const Stance& stance,
                             const Vec3& from_entry, double grown, double tilt);

/// The axis at angle `psi` to `along`, in their plane with `axis`, on the same side.
[[nodiscard]] Vec3 LeantAxis(const Vec3& axis, const Vec3& along, double psi);

}  // namespace holeward
