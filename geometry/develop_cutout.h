// What is cut out of a piece so that it lies flat round the fittings that stand in its way.
#pragma once

#include <string>
#include <vector>

#include "geometry/develop_layout.h"
#include "geometry/develop_patch.h"
#include "geometry/development.h"

namespace holeward {

/// Sheet left between a cut-out and a hole or foot printed beside it, mm.
inline constexpr double kMarkKeeps = 1.0;
/// An alignment line of which less than this is left beside cut-outs does not hold a sheet, mm.
inline constexpr double kLeastAlign = 10.0;

/// The cut-out round one fitting.
struct CutOut {
  std::string fitting;
  Phrase words;               ///< as printed at the fitting's outline
  std::vector<Vec2> toe;      ///< the fitting's outline on the sheet, to its weld's toe; closed
  std::vector<Vec2> outline;  ///< what is cut; closed
  bool tall = false;          ///< stands up: the sheet is slit to be put round it
};

struct CutOuts {
  std::vector<CutOut> all;
  std::vector<std::string> remarks;
  std::string wrong;  ///< why the piece cannot be had; empty: it can
};

/// The cut-outs of a piece: round every stud, bracket, plate and seam on it, larger than the
/// fitting (to its weld's toe) by `request.gap` on all sides. Against a side that the piece is
/// aligned to there is no gap: the cut edge lies on it. Where a hole's or foot's outline is nearer,
/// the gap is less, so that kMarkKeeps are left; an outline over a fitting is wrong. A hole that is
/// there already needs none, and an eye gets none.
[[nodiscard]] CutOuts CutOutsOf(const PieceRequest& request, const PieceLayout& layout,
                                const DevelopedPatch& patch, const std::vector<FlatMark>& marks);

/// Cuts them out of a piece: bites out of its outline, closed cuts inside with a slit to the
/// border where the fitting stands up. Lines are left off where the sheet is cut away, and what the
/// cut-outs separate from the marks. A line of `layout.align` that is lost moves to `not_shown`.
/// @return why it cannot be done, in words; empty: done
[[nodiscard]] std::string CutSheet(const std::vector<CutOut>& cuts, PieceLayout& layout,
                                   DevelopedPiece& piece);

/// The largest part of a closed outline that the cut-outs leave.
[[nodiscard]] std::vector<Vec2> LeftOf(const std::vector<Vec2>& outline,
                                       const std::vector<CutOut>& cuts);

}  // namespace holeward
