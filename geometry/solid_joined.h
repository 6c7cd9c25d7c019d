// Faces that are one: many programs split a flat or a cylinder into several faces.
#pragma once

#include <string>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"

namespace holeward {

/// A body with faces that border each other and lie on one plane or surface made one, and edges on
/// one line or curve likewise. To look for ends in; what is proven is proven on the body itself.
/// @param what the body, for messages
/// Errors (computed): the kernel's.
[[nodiscard]] Result<TopoDS_Shape> WithFacesJoined(const TopoDS_Shape& solid,
                                                   const std::string& what);

}  // namespace holeward
