// Closed polylines in a cutting plane, and the few things done to them before they are drawn.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Geometry>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// A plane to cut or to look along, with the axes a drawing of it has: x to the right, y the way a
/// drill's tip travels. All unit and square to each other.
struct CutPlane {
  Vec3 origin = Vec3::Zero();
  Vec3 x = Vec3::UnitX();
  Vec3 y = -Vec3::UnitZ();

  /// The plane through a line and a second direction.
  /// @param along the line's direction, vehicle axes; becomes y
  /// @param across any direction not along it; what of it is square to the line becomes x
  /// Errors (job): a direction that is not finite or nothing, or both the same way.
  [[nodiscard]] static Result<CutPlane> Through(const Vec3& origin, const Vec3& along,
                                                const Vec3& across);

  [[nodiscard]] Vec3 Normal() const { return x.cross(y); }
  /// Height of a place above the plane, along its normal, mm.
  [[nodiscard]] double Height(const Vec3& p_world) const {
    return (p_world - origin).dot(Normal());
  }
  /// The foot of a place in the plane.
  [[nodiscard]] Vec2 Flat(const Vec3& p_world) const {
    return {(p_world - origin).dot(x), (p_world - origin).dot(y)};
  }
  [[nodiscard]] Vec3 World(const Vec2& p) const { return origin + p.x() * x + p.y() * y; }
};

/// A closed polyline in plane coordinates, mm.
struct CutLoop {
  std::vector<Vec2> points;
  /// One a point: the edge from it to the next is border of the body. False: the edge only closes
  /// the loop (the window's border, a joint within the body) and is not to be drawn.
  std::vector<bool> drawn;

  [[nodiscard]] double Area() const;  ///< positive if counter-clockwise as seen with y up
};

/// A half-plane: places p with (p - through)·inward >= 0.
struct HalfPlane {
  Vec2 through = Vec2::Zero();
  Vec2 inward = Vec2::UnitX();
};

/// What of a loop lies in a half-plane; empty if nothing. New edges get `drawn` as given.
[[nodiscard]] CutLoop Clipped(const CutLoop& loop, const HalfPlane& half, bool drawn);

/// What of a loop lies in a window; the window's border is not drawn.
[[nodiscard]] CutLoop Clipped(const CutLoop& loop, const Eigen::AlignedBox2d& window);

/// The loop with what of its edges lies in (or on) a convex loop not drawn.
[[nodiscard]] CutLoop HiddenInside(const CutLoop& loop, const CutLoop& convex);

/// Of several convex loops that together are one body, each with only the body's border drawn.
[[nodiscard]] std::vector<CutLoop> Joined(const std::vector<CutLoop>& convex);

/// The convex hull, counter-clockwise, every edge drawn.
[[nodiscard]] CutLoop HullOf(std::vector<Vec2> points);

/// The loop without points that lie within `tolerance` (mm) of the line that replaces them.
[[nodiscard]] CutLoop Thinned(const CutLoop& loop, double tolerance);

}  // namespace holeward
