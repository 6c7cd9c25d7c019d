// Decides which piece, or which part of it, lies where on which page.
#pragma once

#include <optional>
#include <vector>

#include "export/paper.h"
#include "export/sheet_frame.h"

namespace holeward {

/// A join of two tiles: a line in the piece's frame, and the crosses on it.
struct Join {
  bool upright = true;  ///< along y at x = at; else along x at y = at
  double at = 0.0;
  /// A cross: its place along the join, and its letter.
  struct Cross {
    double along = 0.0;
    std::string letter;
  };
  std::vector<Cross> crosses;
  int lower_page = 0;  ///< page of the tile to the left, or below
  int upper_page = 0;  ///< page of the tile to the right, or above
};

/// A piece on a page, whole or the part of it within a window.
struct PiecePlace {
  int piece = 0;              ///< index into the input's pieces
  Box window;                 ///< what is shown, in the piece's frame
  Vec2 shift = Vec2::Zero();  ///< from the piece's frame to the page
  std::vector<Join> joins;    ///< of this tile
};

struct PlannedPage {
  PageSize size;
  std::vector<PiecePlace> places;
  TilePlace tile;
  std::optional<Box> card;  ///< where a bank card is drawn, clear of every piece
};

/// What a piece covers, mm, its marks' outlines included.
[[nodiscard]] Box ExtentOf(const DevelopedPiece& piece);

/// A piece turned a quarter counter-clockwise (for a roll too narrow for it).
[[nodiscard]] DevelopedPiece Turned(const DevelopedPiece& piece);

/// Plans the pages. Where a page has the room for it, it also gets the outline of a bank card; no
/// page is added for one. Pieces that fit are packed on shelves, in whichever orientation takes
/// fewer pages; larger ones are tiled, cuts kept clear of marks where the paper leaves room for it.
/// On a roll a piece may be turned: `pieces` is changed accordingly.
/// @pre every piece has a line; lengths finite
[[nodiscard]] std::vector<PlannedPage> PlanPages(const TemplateSheetInput& input,
                                                 const PageSize& paper,
                                                 std::vector<DevelopedPiece>* pieces);

}  // namespace holeward
