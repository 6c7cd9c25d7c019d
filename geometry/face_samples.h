// Places on a face of a solid, close enough together to tell what the face is.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Face.hxx>

#include "geometry/vec.h"

namespace holeward {

/// 81 places within the face (fewer where it has holes).
[[nodiscard]] std::vector<Vec3> SamplesWithin(const TopoDS_Face& face);

/// 81 places within the face and ten on each of its edges (fewer within where it has holes).
[[nodiscard]] std::vector<Vec3> SamplesOf(const TopoDS_Face& face);

/// `face 7 of it, between [x, y, z] and [x, y, z]`: where a face lies, by places on it.
[[nodiscard]] std::string WhereFaceLies(int number, const std::vector<Vec3>& places);

}  // namespace holeward
