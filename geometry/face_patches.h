// One face of a body as Bezier patches, without the rest of it.
#pragma once

#include <string>
#include <vector>

#include <TopoDS_Face.hxx>

#include "geometry/bezier.h"
#include "geometry/result.h"

namespace holeward {

/// Patches that together cover a face: exact where it is all of its surface
/// (geometry/whole_bands.h) or a flat rim (geometry/rim_patches.h); elsewhere triangles, from which
/// it departs by at most `grown`.
/// @param deflection mm, of the triangles; beside exact patches they may be 0.02 off
/// Errors (computed): the kernel could not divide it.
[[nodiscard]] Result<std::vector<BezierPatch>> PatchesOfFace(const TopoDS_Face& face,
                                                             double deflection,
                                                             const std::string& what);

/// Triangles that cover a face, as patches of equal weights: it departs from them by at most
/// `grown`, and each of their corners lies on it. They turn left seen from outside the body.
/// @param deflection mm
/// Errors (computed): the kernel could not divide it.
[[nodiscard]] Result<std::vector<BezierPatch>> TrianglesOfFace(const TopoDS_Face& face,
                                                               double deflection,
                                                               const std::string& what);

}  // namespace holeward
