// The round faces of a solid, as mounts, tubes and bars to be offered.
#pragma once

#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// A cylinder of a solid, its faces on one axis taken together.
struct SolidCylinder {
  Vec3 from = Vec3::Zero();  ///< on the axis, at the lower end along its direction
  Vec3 to = Vec3::Zero();
  double diameter = 0.0;
  bool outward = true;  ///< false: a bore
};

/// The cylinders of a solid that go half round or further, largest first. Errors (computed): the
/// kernel failed.
[[nodiscard]] Result<std::vector<SolidCylinder>> CylindersOf(const TopoDS_Shape& solid);

}  // namespace holeward
