// The faces of a scene as flat quadrilaterals, fine enough for a picture and no finer.
#pragma once

#include <array>
#include <vector>

#include "geometry/part.h"

namespace holeward {

/// One facet of a picture: corners in vehicle axes, outward normal, and what it belongs to.
struct Facet {
  std::array<Vec3, 4> corners;
  Vec3 normal = Vec3::UnitZ();
  bool fitting = false;
};

/// A line along a part worth drawing: where a flat ends, or the outline of an end.
struct FeatureLine {
  std::vector<Vec3> points;
  std::vector<Vec3> normals;  ///< outward at each point; a line is seen where one faces the viewer
};

struct PictureMesh {
  std::vector<Facet> facets;
  std::vector<FeatureLine> lines;
};

/// Facets and lines of a part with its fittings.
[[nodiscard]] PictureMesh MeshForPicture(const Part& part);

}  // namespace holeward
