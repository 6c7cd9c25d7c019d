// Places on a sheet for what holds it where a sticker does not: slots for straps, magnets.
#pragma once

#include <string>

#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"

namespace holeward {

/// A slot is this wide and longer than the strap is wide by as much, mm.
inline constexpr double kSlotWidth = 2.0;
/// From a slot to the border beside it, and from a slot or magnet to a printed hole or foot, mm.
inline constexpr double kHoldClear = 5.0;

/// Adds what holds the sheet: for a strap of `request.strap` mm one or two pairs of slots, each
/// pair level across the part, as far apart along it as there is room; for magnets of
/// `request.magnet` mm up to four circles, likewise. Clear of marks, of everything cut and of
/// alignment lines. A wrap that goes all round takes its straps outside and gets no slots.
/// @param piece  with its outline, cut-outs and marks
/// @return what the trainer should know, in words; empty: nothing
[[nodiscard]] std::string AddHold(const PieceRequest& request, const PieceLayout& layout,
                                  const DevelopedPatch& patch, DevelopedPiece& piece);

}  // namespace holeward
