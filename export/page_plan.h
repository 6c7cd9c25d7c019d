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
  int number = 0;      ///< among the joins of its piece
  int lower_tile = 0;  ///< index of the tile to the left, or below
  int upper_tile = 0;  ///< index of the tile to the right, or above
  int lower_page = 0;  ///< page of the lower tile
  int upper_page = 0;  ///< page of the upper tile
};

/// A piece on a page, whole or the part of it within a window.
struct PiecePlace {
  int piece = 0;              ///< index into the input's pieces
  Box window;                 ///< what is shown, in the piece's frame
  Vec2 shift = Vec2::Zero();  ///< from the piece's frame to the page
  TilePlace tile;             ///< of its piece's tiles
  std::vector<Join> joins;    ///< of this tile
};

struct PlannedPage {
  PageSize size;
  std::vector<PiecePlace> places;
  std::optional<Box> card;  ///< where a bank card is drawn, clear of every piece
  std::optional<Box> map;   ///< where the map of the pages is drawn, clear of every piece

  /// The tile that lies alone on the page; not tiled if there is none.
  [[nodiscard]] TilePlace Tile() const {
    return places.size() == 1 ? places.front().tile : TilePlace{};
  }
};

/// White between a piece and the border of the pieces' area, mm.
inline constexpr double kPieceEdge = 2.0;

/// What a piece covers, mm, its marks' outlines included.
[[nodiscard]] Box ExtentOf(const DevelopedPiece& piece);

/// A piece turned a quarter counter-clockwise (for a roll too narrow for it).
[[nodiscard]] DevelopedPiece Turned(const DevelopedPiece& piece);

/// Plans the pages of a template. Where a page has the room for it, it also gets the outline of a
/// bank card; no page is added for one. Pieces that fit are packed on shelves, in whichever
/// orientation takes fewer pages; larger ones are tiled, cuts kept clear of marks where the paper
/// leaves room for it. On a roll a piece may be turned: `pieces` is changed accordingly.
/// @pre every piece has a line; lengths finite
[[nodiscard]] std::vector<PlannedPage> PlanPages(const TemplateSheetInput& input,
                                                 const PageSize& paper,
                                                 std::vector<DevelopedPiece>* pieces);

/// Tells every tile on which pages its piece's tiles lie, and letters the crosses of the joins,
/// none twice. @param first number of the first page
void NumberTiles(int first, std::vector<PlannedPage>* pages);

}  // namespace holeward
