// A developed piece as a sheet that is laid back on the skin.
#pragma once

#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"
#include "geometry/wrap_back.h"

namespace holeward {

/// What is printed of a piece, for the wrap-back proof: its marks, the lines it is laid by, its
/// outline without flaps. Lines that the piece does not show are left out. Refers to `patch`.
/// @param marks  the piece's marks, in the order of the request's
[[nodiscard]] WrapSheet WrapSheetOf(const PieceRequest& request, const PieceLayout& layout,
                                    const DevelopedPatch& patch,
                                    const std::vector<FlatMark>& marks);

}  // namespace holeward
