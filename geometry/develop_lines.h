// The lines of a developed piece: outline, folds, tangent lines, alignment, fittings, butt.
#pragma once

#include <vector>

#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"
#include "geometry/part.h"

namespace holeward {

/// The outline of a patch, to be cut.
[[nodiscard]] FlatLine CutLine(const DevelopedPatch& patch);

/// All lines of a piece, in the coordinates of its patch; the cut line is the first.
[[nodiscard]] std::vector<FlatLine> PieceLines(const Part& part, const PieceLayout& layout,
                                               const DevelopedPatch& patch);

/// True if a closed outline crosses itself.
[[nodiscard]] bool CrossesItself(const std::vector<Vec2>& outline);

/// A polyline without the places that lie within `tolerance` mm of the line through the others.
[[nodiscard]] std::vector<Vec2> Thinned(const std::vector<Vec2>& line, double tolerance);

}  // namespace holeward
