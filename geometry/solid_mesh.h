// A solid's faces as triangles, for what is handed over as a mesh.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "geometry/bezier.h"
#include "geometry/result.h"
#include "geometry/solid.h"
#include "geometry/vec.h"

namespace holeward {

/// The triangles of one named face, counter-clockwise as seen from outside.
struct FaceMesh {
  std::string name;
  FaceRole role = FaceRole::outer;
  std::vector<Vec3> places;                   ///< mm, in the solid's frame
  std::vector<std::array<int, 3>> triangles;  ///< indices into `places`
};

/// How closely triangles follow a solid.
struct MeshFineness {
  double deflection = 0.05;  ///< greatest distance of a triangle from its face, mm, > 0
  double angle_rad = 0.35;   ///< greatest angle between neighbouring triangles, > 0
};

/// A closed mesh: the faces share the places along their common edges exactly.
struct SolidMesh {
  std::vector<FaceMesh> faces;  ///< in the order of the solid's faces

  [[nodiscard]] std::size_t TriangleCount() const;
  /// Volume inside by the divergence theorem, mm³.
  [[nodiscard]] double Volume() const;
  /// True if every edge is shared by exactly two triangles that run through it opposite ways.
  [[nodiscard]] bool IsWatertight() const;
};

/// The mesh of a solid. Triangles that are no more than a line are left out.
/// Errors (computed): the kernel could not mesh a face, or the triangles do not close.
[[nodiscard]] Result<SolidMesh> MeshOf(const NamedSolid& solid, const MeshFineness& fineness = {});

}  // namespace holeward
