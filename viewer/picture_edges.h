// The edges of a picture's facets worth a line: where a surface turns away from the eye, and where
// it is creased.
#pragma once

#include <array>
#include <vector>

#include "viewer/picture_mesh.h"

namespace holeward {

/// An edge between two facets.
struct PictureEdge {
  std::array<Vec3, 2> ends;
  std::array<Vec3, 2> normals;  ///< of the two facets, outward
};

/// Every edge that two facets share, each once; a facet's edge that meets none has no line of its
/// own (feature lines say where a surface ends).
[[nodiscard]] std::vector<PictureEdge> EdgesOf(const PictureMesh& mesh);

/// True where the edge is seen from `eye` as an outline or a crease.
[[nodiscard]] bool ShowsFrom(const PictureEdge& edge, const Vec3& eye);

}  // namespace holeward
