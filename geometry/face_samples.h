// Places on a face of a solid, close enough together to tell what the face is.
#pragma once

#include <vector>

#include <TopoDS_Face.hxx>

#include "geometry/vec.h"

namespace holeward {

/// 81 places within the face and ten on each of its edges (fewer within where it has holes).
[[nodiscard]] std::vector<Vec3> SamplesOf(const TopoDS_Face& face);

}  // namespace holeward
