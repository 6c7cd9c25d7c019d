// Rational Bezier patches: the exact faces of a solid in a form whose control points bound them.
#pragma once

#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/vec.h"

namespace holeward {

/// A (rational) Bezier patch. Control points are homogeneous (w x, w y, w z, w), weights positive,
/// so the patch lies in the convex hull of its control points. Row-major: index = i * (degree_v +
/// 1) + j.
struct BezierPatch {
  int degree_u = 1;
  int degree_v = 1;
  std::vector<Eigen::Vector4d> poles;
  double grown = 0.0;  ///< the true face lies within this of the patch, mm (0: exact)
};

enum class FaceRole { outer, inner, end, lip, fitting, hole };

/// All patches of one named face of a solid.
struct FacePatches {
  std::string name;
  FaceRole role = FaceRole::outer;
  std::vector<BezierPatch> patches;
};

}  // namespace holeward
