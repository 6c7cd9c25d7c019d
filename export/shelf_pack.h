// Packs boxes on pages in rows, as books on shelves.
#pragma once

#include <vector>

#include "export/box.h"

namespace holeward {

inline constexpr double kBetween = 16.0;  ///< between two pieces, so that labels find room, mm
inline constexpr int kCardPiece = -1;     ///< stands for the bank card among the pieces of a shelf
inline constexpr int kMapPiece = -2;      ///< stands for the map of the pages

/// Things one above the other, the first at the top.
struct Column {
  double width = 0.0;
  double height = 0.0;
  std::vector<int> pieces;
};
/// Columns beside each other.
struct Shelf {
  double width = 0.0;
  double height = 0.0;
  std::vector<Column> columns;
};
struct ShelfPage {
  double height = 0.0;
  std::vector<Shelf> shelves;
};

/// Tallest first, on the last page only. `order` are places in `extents`.
/// @pre each fits the room
[[nodiscard]] std::vector<ShelfPage> Pack(std::vector<int> order, const std::vector<Box>& extents,
                                          const Vec2& room);

/// A thing to be packed: its number on the shelves, and its size, mm.
struct Boxed {
  int number = 0;
  Vec2 size = Vec2::Zero();
};

/// One page of as many things as find room in the order given, each under what is in a column, in a
/// new column or on a new shelf, whichever is first; they are taken out of `left`.
[[nodiscard]] ShelfPage FillPage(const Vec2& room, std::vector<Boxed>* left);

/// Tallest first, each where it first fits, for many templates' pieces.
/// @pre each fits the room
[[nodiscard]] std::vector<ShelfPage> PackTight(std::vector<int> order,
                                               const std::vector<Box>& extents, const Vec2& room);

/// Adds the bank card to a page where there is room: beside pieces that are no lower, or else on a
/// shelf of its own at the foot of the page. A roll is not made longer for it.
void AddCard(const Vec2& room, bool roll, ShelfPage* page);

}  // namespace holeward
