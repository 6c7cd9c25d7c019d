// Lays packed shelves out on a page.
#pragma once

#include <vector>

#include "export/page_plan.h"
#include "export/shelf_pack.h"

namespace holeward {

/// Places what was packed, the room left spread evenly between.
/// @param items what the numbers on the shelves stand for; their shifts are set
/// @param area of the page's pieces, mm
/// @param map the size of the map of the pages, if kMapPiece is on a shelf, mm
[[nodiscard]] PlannedPage Spread(const ShelfPage& packed, const std::vector<PiecePlace>& items,
                                 const PageSize& size, const Box& area,
                                 const Vec2& map = Vec2::Zero());

}  // namespace holeward
