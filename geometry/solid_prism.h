// A flat outline pushed along a direction: blocks and letters; and what stands in such a body.
#pragma once

#include <string>
#include <vector>

#include "geometry/result.h"
#include "geometry/solid.h"
#include "geometry/vec.h"

namespace holeward {

/// The body that a flat outline sweeps. Faces "NAME 1", "NAME 2", ...
/// @param loops closed (the last place joins the first), in one plane, at least three places each:
///   the first bounds the outline, the others are holes in it
/// @param along how far it is pushed, mm, not in the plane of the outline
/// Errors (computed): loops that cross or do not lie in one plane.
[[nodiscard]] Result<NamedSolid> PrismOf(const std::string& name,
                                         const std::vector<std::vector<Vec3>>& loops,
                                         const Vec3& along, FaceRole role = FaceRole::fitting);

/// The volume that two solids have in common, mm³; 0 where they only touch.
/// Errors (computed): the kernel's.
[[nodiscard]] Result<double> CommonVolume(const NamedSolid& a, const NamedSolid& b);

/// How far a line of straight pieces lies from a solid, mm; 0 where it runs into or inside it.
/// Errors (computed): the kernel's.
[[nodiscard]] Result<double> DistanceOf(const NamedSolid& solid, const std::vector<Vec3>& path);

}  // namespace holeward
