// Flaps that keep a piece from being laid where it should not: docs/methods/misfit.md.
#pragma once

#include "geometry/develop_piece.h"

namespace holeward {

/// Notes where a piece fits and should not, and gives it flaps past its corners that something
/// stands in the way of there: as few as prevent the most of these places. What remains is
/// `made.piece.misfits`.
/// @param request  what the piece was made for
void GuardAgainstMisfits(const PieceRequest& request, PieceResult& made);

}  // namespace holeward
