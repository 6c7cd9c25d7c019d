// Pieces of surface seen from a drill: parts of Bezier patches in the frame of an axis, which can
// be bounded by their control points and halved.
#pragma once

#include <vector>

#include "geometry/bezier.h"
#include "geometry/vec.h"

namespace holeward {

/// A frame with its origin on an axis and z along it.
struct AxisFrame {
  Vec3 origin = Vec3::Zero();
  Eigen::Matrix3d rotation = Eigen::Matrix3d::Identity();  ///< rows: x, y, z in vehicle axes

  /// @param origin_world a place on the axis; @param direction the axis, any length but zero.
  [[nodiscard]] static AxisFrame At(const Vec3& origin_world, const Vec3& direction);
  [[nodiscard]] Vec3 ToLocal(const Vec3& p_world) const { return rotation * (p_world - origin); }
  [[nodiscard]] Vec3 ToWorld(const Vec3& p_local) const {
    return origin + rotation.transpose() * p_local;
  }
};

/// A piece of an obstacle's surface in an axis frame.
struct Piece {
  int degree_u = 0;
  int degree_v = 0;
  std::vector<Eigen::Vector4d> poles;  ///< homogeneous, as in BezierPatch
  int obstacle = 0;                    ///< index into the list of obstacles
  double grown = 0.0;                  ///< the true surface lies within this of the piece, mm
};

/// What a piece's control points say about where it lies; every bound holds for the whole piece.
struct Extent {
  double z_least = 0.0;
  double z_greatest = 0.0;
  double r_least = 0.0;          ///< least distance from the axis (a lower bound)
  double r_greatest = 0.0;       ///< greatest distance from the axis (an upper bound)
  Vec2 outward = Vec2::UnitX();  ///< unit lateral direction along which r_least was found
  Vec3 middle = Vec3::Zero();
  double size = 0.0;  ///< diagonal of the box round the control points
};

/// The patch as one piece in a frame.
[[nodiscard]] Piece PieceOf(const BezierPatch& patch, const AxisFrame& frame, int obstacle,
                            double grown);

/// The piece seen from another frame, itself given in the frame that the piece is in.
[[nodiscard]] Piece Seen(Piece piece, const AxisFrame& frame);

/// Bounds from the control points. Source: a rational Bezier patch with positive weights lies in
/// the convex hull of its control points (Farin, Curves and Surfaces for CAGD).
[[nodiscard]] Extent ExtentOf(const Piece& piece);

/// The two halves across the longer way, by de Casteljau's algorithm on homogeneous points.
void Halve(const Piece& piece, Piece& first, Piece& second);

/// A corner of the piece (0..3), a place on the surface itself.
[[nodiscard]] Vec3 CornerOf(const Piece& piece, int corner);

/// Cosine of the angle between the surface's normal and the axis: the least of |n.z| over the
/// piece's control net, less the spread between its corners. 0 where the net is degenerate.
[[nodiscard]] double FacingOf(const Piece& piece);

/// True if every control point is finite and every weight positive.
[[nodiscard]] bool IsSound(const BezierPatch& patch);

}  // namespace holeward
