// The map in front of a packed set: which piece lies on which page.
#pragma once

#include "export/page_plan.h"

namespace holeward {

/// Draws each planned page small: its border, the outlines of its pieces, its page number, and
/// beneath it the pieces' names by the numbers they have in the outlines.
/// @param area where to draw, mm
/// @param first_page the number of the first of the pages
void DrawPageMap(const std::vector<PlannedPage>& plans, const std::vector<DevelopedPiece>& pieces,
                 const Box& area, int first_page, Drawing* drawing);

}  // namespace holeward
