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

/// The cut-out round one fitting.
struct CutOut {
  std::string fitting;
  Phrase words;               ///< as printed at the fitting's outline
  std::vector<Vec2> toe;      ///< the fitting's outline on the sheet, to its weld's toe; closed
  std::vector<Vec2> outline;  ///< what is cut; closed
  bool tall = false;          ///< stands up: the sheet is slit to be put round it
  bool eye = false;           ///< an eye that comes through the skin
  bool held = false;          ///< the piece is aligned to it: some of its cut edge lies against it
};

struct CutOuts {
  std::vector<CutOut> all;
  std::vector<std::string> remarks;
  std::string wrong;  ///< why the piece cannot be had; empty: it can
};

/// The cut-outs of a piece: round every stud, bracket, plate and seam on it, larger than the
/// fitting (to its weld's toe) by `request.gap` on all sides. Against a side that the piece is
/// aligned to there is no gap: the cut edge lies on it. Where a hole's or foot's outline is nearer,
/// the gap is less, so that kMarkKeeps are left; an outline over a fitting is wrong. An eye is cut
/// out where its cylinder comes through the sheet. A hole that is there already needs none.
[[nodiscard]] CutOuts CutOutsOf(const PieceRequest& request, const PieceLayout& layout,
                                const DevelopedPatch& patch, const std::vector<FlatMark>& marks);

}  // namespace holeward
