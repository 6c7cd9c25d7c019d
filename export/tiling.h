// Cuts a piece that is larger than a page into tiles.
#pragma once

#include <vector>

#include "export/page_plan.h"

namespace holeward {

/// The last tile along an axis is as long as the others, or as short as the others leave it.
enum class LastTile { as_others, short_one };

/// How many tiles a piece takes. @param size of the piece, mm @param room of a page, mm
[[nodiscard]] int TilesOver(const Vec2& size, const Vec2& room);

/// The tiles of a piece, row by row from the upper left, overlapping by kTileOverlap; joins keep
/// off the marks where the room allows it. A piece that fits the room is one tile. Shifts are not
/// set, nor are pages and letters (NumberTiles).
[[nodiscard]] std::vector<PiecePlace> TilesOf(const DevelopedPiece& piece, const Vec2& room,
                                              LastTile last);

}  // namespace holeward
