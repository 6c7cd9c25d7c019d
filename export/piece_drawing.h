// Draws the planned pieces of one page with their marks, and labels them.
#pragma once

#include <vector>

#include "export/page_plan.h"

namespace holeward {

/// The parts of a polyline that lie in the box, in order.
[[nodiscard]] std::vector<std::vector<Vec2>> Clipped(const std::vector<Vec2>& points, bool closed,
                                                     const Box& box);

/// Draws everything in the drawing area of a page and adds its labels, mark boxes and match marks
/// to the page.
/// @return the marks of the page, where they came to lie
/// Errors: no room for the label of a mark (names the point and what to do).
[[nodiscard]] Result<std::vector<SheetMark>> DrawPieces(const PlannedPage& plan, const Box& area,
                                                        const TemplateSheetInput& input,
                                                        const std::vector<DevelopedPiece>& pieces,
                                                        SheetPage* page);

}  // namespace holeward
