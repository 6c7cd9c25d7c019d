// A model as an STL file, for printers: triangles in mm, vehicle axes.
#pragma once

#include <string>
#include <vector>

#include "geometry/result.h"
#include "geometry/solid_mesh.h"

namespace holeward {

/// A binary STL file of closed meshes, one after the other: a head of 80 bytes, the number of
/// triangles, for each its normal and corners as 32-bit floats (little-endian) and two zero bytes.
/// @param words for the head; cut at 80 bytes, its first five are never "solid"
/// Errors (computed): more triangles than the form can count, a number that is not finite.
[[nodiscard]] Result<std::string> ToStl(const std::vector<SolidMesh>& meshes,
                                        const std::string& words);

}  // namespace holeward
