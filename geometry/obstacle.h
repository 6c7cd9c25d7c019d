// What a drill or a tool could touch, as rational Bezier patches with how far each may be off.
#pragma once

#include <string>
#include <vector>

#include "geometry/bezier.h"
#include "geometry/part.h"
#include "geometry/vec.h"

namespace holeward {

enum class ObstacleKind {
  wall,   ///< the drilled part's own metal: near wall before the gap, far wall behind it
  inner,  ///< an inner body: passing beside it closer than the limit counts as meeting it
  other,  ///< fittings, other parts, neighbours: met where they lie behind the entry
};

/// Surfaces of one body. A body is met when its surface is.
struct Obstacle {
  std::string body;
  ObstacleKind kind = ObstacleKind::other;
  FaceRole role = FaceRole::inner;  ///< walls only
  std::vector<BezierPatch> patches;
  /// Worst case only: the true metal lies within this of the patches, besides their own `grown`,
  /// mm.
  double shift = 0.0;
  double wall_error = 0.0;  ///< walls only: the part of `shift` that is thickness
  double outline_error =
      0.0;             ///< walls only: the part of `shift` that is the section's outside size
  bool round = false;  ///< walls only: a round section
  /// The part of `shift` that the patches themselves are off whatever is marked or measured, mm.
  double own_error = 0.0;
};

// ---- Exact patches of simple bodies

/// A closed cylinder with flat ends: four quarter walls and four quarter discs an end.
/// @pre from and to apart, radius > 0
[[nodiscard]] std::vector<BezierPatch> CylinderPatches(const Vec3& from, const Vec3& to,
                                                       double radius);
/// A sphere in eight octants.
[[nodiscard]] std::vector<BezierPatch> SpherePatches(const Vec3& centre, double radius);
/// A straight line as a degenerate patch; with `grown` set to a radius it stands for a rod with
/// round ends.
[[nodiscard]] BezierPatch LinePatch(const Vec3& from, const Vec3& to, double grown);
/// A flat or twisted quadrilateral with corners p00, p10, p01, p11 (first index along u).
[[nodiscard]] BezierPatch BilinearPatch(const Vec3& p00, const Vec3& p10, const Vec3& p01,
                                        const Vec3& p11, double grown);

// ---- Bodies of a scene

/// An inner body: cylinders along its path and spheres at its bends. `shift` holds the path's error
/// and what a mitred bend stands out of the sphere; add the displacement of marking.
[[nodiscard]] Obstacle ObstacleOf(const InnerBody& body);
/// A neighbour, with round joints.
[[nodiscard]] Obstacle ObstacleOf(const Neighbour& neighbour);
/// A fitting on a skin: eye and stud as cylinders, a block as its footprint raised by `height` (mm)
/// along the skin's normals. Empty for a hole. A block's patches are chords of the skin, grown by
/// twice the sag sampled in each.
[[nodiscard]] Obstacle ObstacleOf(const Fitting& fitting, const Skin& skin, double height);

/// True if every patch is finite.
[[nodiscard]] bool AllSound(const std::vector<Obstacle>& obstacles);

/// Diagonal of the box round all patches, mm; 0 without any.
[[nodiscard]] double DiagonalOf(const std::vector<Obstacle>& obstacles);

}  // namespace holeward
