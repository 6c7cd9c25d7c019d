// The skin of a body closed where a mount stood that lay over several of its faces.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Face.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/result.h"

namespace holeward {

/// A solid without some of its faces: each face that bordered them is made anew on its own surface
/// without that border, and what its edges with its neighbours lack goes on along their curves.
/// @param standing faces of the solid that border each other
/// Errors (job): an edge that does not go on beyond the footprint on the line or circle it began
/// on; (computed) the faces do not close.
[[nodiscard]] Result<TopoDS_Shape> WithFootprintClosed(const TopoDS_Shape& solid,
                                                       const std::vector<TopoDS_Face>& standing,
                                                       const std::string& what);

}  // namespace holeward
