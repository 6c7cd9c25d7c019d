// Letters as outlines, to be cut into something.
#pragma once

#include <string>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// One sign or part of one: its outline, then the holes in it; closed loops, mm, y up.
using LetterOutline = std::vector<std::vector<Vec2>>;

/// Lines of text under each other, each centred about x = 0, all of them about y = 0; each line is
/// made as high as fits `width`, at most `height` (of a capital).
/// @param least height of a capital below which nothing can be read, mm
/// @return the outlines, within 0.03 mm; none if a line does not fit at `least`
[[nodiscard]] std::vector<LetterOutline> OutlinesOf(const std::vector<std::string>& lines,
                                                    double width, double height, double least);

}  // namespace holeward
