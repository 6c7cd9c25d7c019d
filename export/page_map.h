// The map in front of a packed set: which piece lies on which page.
#pragma once

#include <vector>

#include "export/page_plan.h"

namespace holeward {

/// Sizes, mm, in which a framed map of so many pages can be read, fewest rows first.
/// @param pieces whose names it lists
[[nodiscard]] std::vector<Vec2> MapSizes(int pages, const std::vector<DevelopedPiece>& pieces,
                                         const Words& words);

/// What a map shows.
struct PageMap {
  const std::vector<PlannedPage>& plans;
  const std::vector<DevelopedPiece>& pieces;
  const Words& words;
  int first_page = 1;  ///< the number of the first of the pages
};

/// Draws each planned page small: its border, the outlines of its pieces, its page number, and
/// beneath it the pieces' names by the numbers they have in the outlines.
/// @param area where to draw, mm
void DrawPageMap(const PageMap& map, const Box& area, Drawing* drawing);

/// The map with its title in a frame, beside pieces that are to scale; the names in a list below.
/// @param area one of MapSizes
void DrawFramedMap(const PageMap& map, const Box& area, Drawing* drawing);

}  // namespace holeward
