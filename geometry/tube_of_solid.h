// Finding the straight hollow tube that a solid from elsewhere is: its ends, its outline there and
// its axis. What is not such a tube is refused with the reason (docs/methods/solid.md).
#pragma once

#include <array>
#include <string>
#include <vector>

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// The outside of a tube in the plane of one of its ends.
struct TubeEnd {
  Vec3 centre = Vec3::Zero();    ///< centroid of the area within the outline
  Vec3 outward = Vec3::UnitY();  ///< normal of the end's plane, out of the tube, unit
  bool closed = false;
  bool round = false;
  double radius = 0.0;               ///< round only
  std::vector<Vec3> vertices;        ///< sharp corners in order, in space; none if round
  std::vector<double> corner_radii;  ///< one a vertex
};

/// A straight tube between two flat ends square to its axis. The vertices of both ends run the same
/// way round, those of the same number on one edge.
struct FoundTube {
  std::array<TubeEnd, 2> ends;
};

/// The outline of a flat face: its centroid, its circle or its corners in order.
/// @param within what its lines and arcs may depart from such, mm
/// Errors (job): it is of other than straight lines and arcs that touch them.
[[nodiscard]] Result<TubeEnd> OutlineOfFace(const TopoDS_Face& face, const std::string& what,
                                            double within = 1e-4);

/// The two ends of a hollow solid: flat faces with an opening that leaves but a rim, or one of them
/// and the flat face farthest from it.
/// Errors (job): other ends; outlines as OutlineOfFace. (computed) what the kernel could not do.
[[nodiscard]] Result<std::array<TubeEnd, 2>> EndsOfSolid(const TopoDS_Shape& solid,
                                                         const std::string& what);

/// True if the ends of a solid are of flats and not parallel: only a part that bends has such.
[[nodiscard]] bool HasTiltedEnds(const TopoDS_Shape& solid);

/// Brings the vertices of the second end into the order of the first's, seen along `axis`: those of
/// the same number lie nearest to each other. False if there is another number of them.
[[nodiscard]] bool AlignEnds(const TubeEnd& first, TubeEnd& second, const Vec3& axis);

/// The tube of a solid. Where its ends are parallel but not square to the line between their
/// centroids, the centre line runs square to them through the first's.
/// @param what the body in words, for the messages
/// Errors (job): no flat end with an opening, or more than two; ends not square to the line between
/// their centroids; an outline of other than straight lines and arcs that touch them, or not the
/// same at both ends.
[[nodiscard]] Result<FoundTube> TubeOfSolid(const TopoDS_Shape& solid, const std::string& what);

}  // namespace holeward
