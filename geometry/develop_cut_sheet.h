// Cutting a piece: what is left of its outline and lines, slits, bridges of sheet.
#pragma once

#include <string>
#include <vector>

#include "geometry/develop_cutout.h"

namespace holeward {

/// An alignment line of which less than this is left beside cut-outs does not hold a sheet, mm.
inline constexpr double kLeastAlign = 10.0;
/// A bridge of sheet between a cut-out and the border that is narrower tears, mm.
inline constexpr double kBridge = 5.0;

/// The cut-outs, widened to the border (or to one another) where they would leave a bridge of less
/// than kBridge beside a cut inside the sheet. One that would come too near a mark stays as it is.
/// @param piece  with its outline and marks, before anything is cut
[[nodiscard]] std::vector<CutOut> WithoutThinBridges(const std::vector<CutOut>& cuts,
                                                     const DevelopedPiece& piece);

/// Cuts them out of a piece: bites out of its outline, closed cuts inside with a slit to the
/// border where the fitting stands up. Lines are left off where the sheet is cut away, and what the
/// cut-outs separate from the marks. A line of `layout.align` that is lost moves to `not_shown`.
/// @param remarks  what the trainer should know is added: cut-outs that no slit leads to
/// @return why it cannot be done, in words; empty: done
[[nodiscard]] std::string CutSheet(const std::vector<CutOut>& cuts, PieceLayout& layout,
                                   DevelopedPiece& piece, std::vector<std::string>& remarks);

/// The largest part of a closed outline that the cut-outs leave.
[[nodiscard]] std::vector<Vec2> LeftOf(const std::vector<Vec2>& outline,
                                       const std::vector<CutOut>& cuts);

}  // namespace holeward
