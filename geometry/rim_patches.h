// The flat end of a hollow section as exact patches.
#pragma once

#include <vector>

#include <TopoDS_Face.hxx>

#include "geometry/bezier.h"

namespace holeward {

/// A flat face between two outlines that run alike, each of lines and arcs of circles, an arc of
/// the inner one about the centre of the outer one's; or a disc. One patch between each two lines,
/// and one for each quarter turn of two arcs. No patch is folded and each shares its sides with its
/// neighbours: together they cover the face once.
/// None if the face is no such rim. The kernel's exceptions come through.
[[nodiscard]] std::vector<BezierPatch> RimPatches(const TopoDS_Face& face);

}  // namespace holeward
