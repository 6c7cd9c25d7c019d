// Lays a piece, by computation, where it should not go: docs/methods/misfit.md.
#pragma once

#include <vector>

#include "geometry/develop_piece.h"
#include "geometry/misfit.h"

namespace holeward {

/// The wrong places where a piece fits within kMisfitWithin, printed face outward: on the other
/// side of the vehicle, end for end, on other faces of its own part; each named once, the nearest
/// fit of it. A place whose marks all come out right is none.
///
/// Pessimistic: a piece counts as fitting unless one of its alignment lines, folded edges or
/// fittings in the way cannot lie within the limit of its like, a mark would lie off the faces, or
/// it would lie over a raised fitting it has no opening for.
/// @param request  what the piece was made for; a part that is not shared has a mirror image
[[nodiscard]] std::vector<Misfit> FindMisfits(const PieceRequest& request, const PieceResult& made);

}  // namespace holeward
