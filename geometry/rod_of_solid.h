// Finding the straight round bar or sleeve that a solid from elsewhere is.
#pragma once

#include <string>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// A straight round bar, or a sleeve, between two flat ends square to it.
struct FoundRod {
  Vec3 from = Vec3::Zero();  ///< on its axis, in the plane of an end
  Vec3 to = Vec3::Zero();
  double diameter = 0.0;  ///< outer, mm
  double bore = 0.0;      ///< 0: a bar
};

/// The rod of a solid: none of its faces reaches beyond what is told by more than 0.02 mm.
/// @param what the body in words, for the messages
/// Errors (job): it is bent, closed at one end only, or has a face that is neither its outside, its
/// bore nor an end within 0.02 mm; a volume other than the rod's; (computed) the kernel failed.
[[nodiscard]] Result<FoundRod> RodOfSolid(const TopoDS_Shape& solid, const std::string& what);

}  // namespace holeward
