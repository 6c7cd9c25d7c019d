// What surrounds the pieces on a template page: side, title block, check bars, cautions, legend.
#pragma once

#include <string>
#include <vector>

#include "export/template_sheet.h"

namespace holeward {

/// A tile among the tiles of its piece: which of them it is, and on which pages they lie.
struct TilePlace {
  int columns = 1;
  int rows = 1;
  int column = 0;          ///< from the left
  int row = 0;             ///< from the bottom
  std::vector<int> pages;  ///< page number of each tile, by Index

  [[nodiscard]] bool Tiled() const { return columns * rows > 1; }
  /// Tiles are counted row by row from the upper left.
  [[nodiscard]] int Index(int of_column, int of_row) const {
    return (rows - 1 - of_row) * columns + of_column;
  }
  [[nodiscard]] int Index() const { return Index(column, row); }
};

/// The parts of a page, mm. Nothing lies within kPaperMargin of an edge.
struct PageParts {
  Box frame;
  Box header;
  Box bar_up;      ///< strip of the upright check bar
  Box drawing;     ///< for the pieces
  Box bar_across;  ///< strip of the level check bar
  Box legend;
  Box cautions;
  Box title;
};

/// Divides a page. The height of the lower part does not depend on the page's height.
[[nodiscard]] PageParts DividePage(double width, double height, const TemplateSheetInput& input);

/// What a page's frame says besides the input.
struct FrameWords {
  int page = 1;
  int pages = 1;
  std::string pieces;  ///< names of the pieces on it
  TilePlace tile;
};

/// Draws header, bars, cautions, legend and title block; sets the page's check bars.
void DrawFrame(const PageParts& parts, const TemplateSheetInput& input, const FrameWords& words,
               SheetPage* page);

/// NOT RELEASED in large outline letters over the area of the pieces; drawn before them.
void DrawBanner(const Box& area, const Words& words, Drawing* drawing);

/// LEFT: white letters in a black field at the left; RIGHT: black letters in a double frame at the
/// right. Word, place and look differ, so that one cannot pass for the other. Gives what it covers.
Box DrawSide(const Box& header, Side side, const Words& words, Drawing* drawing);

/// A level check bar from `from` to the right, its words above and its numbers below; it needs 7 mm
/// above and below. @param axis the paper's, 'x' or 'y'
CheckBar DrawLevelBar(const Vec2& from, char axis, const Words& words, Drawing* drawing);

/// "LEFT" or "RIGHT".
[[nodiscard]] std::string SideWord(Side side, const Words& words = {});

}  // namespace holeward
