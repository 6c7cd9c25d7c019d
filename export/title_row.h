// The rows of a title block: boxes side by side, each with a caption and words.
#pragma once

#include <string>
#include <vector>

#include "export/drawing.h"

namespace holeward {

inline constexpr double kTitleRowHeight = 8.6;  ///< mm
inline constexpr double kTitlePad = 1.5;        ///< mm between a box and its words

struct TitleCell {
  std::string caption;
  std::string words;
  double share;  ///< of the row's width
};

/// Draws a row, all its words in one height: the largest of the lettering heights at which every
/// cell's fit. Gives its last cell.
Box DrawTitleRow(const Box& row, const std::vector<TitleCell>& cells, Drawing* drawing);

}  // namespace holeward
