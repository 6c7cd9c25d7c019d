// Clearance of one hole, drilled exactly as intended: near wall, break-through depth and free
// depth.
//
// A place Y of space with axial distance s and radial distance r from the drill's axis is touched
// when the tip is s + q(r) deep, q(r) being the distance behind the tip at which the drill reaches
// radius r (geometry/drill.h), and never if r is more than the drill's radius. Hence
//
//   free depth          = min of s + q(r) over all metal behind the near wall
//   break-through depth = max of s + q(r) over the near wall inside the full diameter
//
// Both are found by branch and bound on the surfaces' control points (docs/methods/clearance.md),
// never by asking the kernel for a distance. Over all errors: geometry/tolerance.h.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/drill.h"
#include "geometry/near_wall.h"
#include "geometry/obstacle.h"
#include "geometry/vec.h"

namespace holeward {

/// How a drill stands: where its axis meets the skin and which way the tip travels.
struct Pose {
  Vec3 entry = Vec3::Zero();
  Vec3 direction = -Vec3::UnitZ();  ///< unit
};

/// Metal met, and how deep the tip is then.
struct Contact {
  double depth = 0.0;
  std::string body;              ///< "far wall" or the obstacle's name
  Vec3 position = Vec3::Zero();  ///< where, vehicle axes
};

struct Clearance {
  std::string failure;             ///< empty: computed; else why not, and nothing below holds
  double near_wall = 0.0;          ///< length on the axis, mm
  double breakthrough = 0.0;       ///< mm
  std::optional<Contact> contact;  ///< nothing: proven free to the horizon

  [[nodiscard]] bool ok() const { return failure.empty(); }
};

/// Clearance of one pose.
/// @param side inner bodies only: passing beside one closer than this (mm, >= 0) meets it where the
///        drill, its cone continued to a radius greater by `side`, first touches it; a direct hit
///        keeps its true depth
/// @param horizon depth to which nothing must be found to say so, mm
/// @return depths within 2e-4 mm of the exact ones of the patches
/// Failures: a pose or patch that is not finite, no gap behind the near wall, a search that did not
/// settle.
[[nodiscard]] Clearance ClearanceOf(const std::vector<Obstacle>& obstacles, const Pose& pose,
                                    const Drill& drill, double side, double horizon);

/// Break-through and contact of one kind of piece, shared with the worst case.
[[nodiscard]] std::vector<Piece> PiecesWithin(const std::vector<Obstacle>& obstacles,
                                              const AxisFrame& frame, const Reach& reach,
                                              double horizon, bool with_errors);

}  // namespace holeward
