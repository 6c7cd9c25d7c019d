#include "export/shelf_pack.h"

#include <algorithm>
#include <utility>

#include "export/bank_card.h"

namespace holeward {
namespace {

/// What rounding may make of a thing that just fits, mm.
constexpr double kRounding = 1e-6;

void AddColumn(int piece, const Vec2& size, Shelf* shelf) {
  shelf->width += (shelf->columns.empty() ? 0.0 : kBetween) + size.x();
  shelf->height = std::max(shelf->height, size.y());
  shelf->columns.push_back({size.x(), size.y(), {piece}});
}

/// Puts a thing on a shelf, under what is in a column or in a new one; false if there is no room.
bool PutOn(const Boxed& thing, double width, Shelf* shelf) {
  for (Column& column : shelf->columns) {
    const double height = column.height + kBetween + thing.size.y();
    if (thing.size.x() > column.width || height > shelf->height) continue;
    column.height = height;
    column.pieces.push_back(thing.number);
    return true;
  }
  if (shelf->width + kBetween + thing.size.x() > width || thing.size.y() > shelf->height) {
    return false;
  }
  AddColumn(thing.number, thing.size, shelf);
  return true;
}

/// Puts a thing on the first shelf that has room for it, or on a new one; false if there is none.
bool Put(const Boxed& thing, const Vec2& exact, ShelfPage* page) {
  const Vec2 room = exact + Vec2::Constant(kRounding);
  const auto takes = [&](Shelf& shelf) { return PutOn(thing, room.x(), &shelf); };
  if (std::any_of(page->shelves.begin(), page->shelves.end(), takes)) return true;
  const double above = page->shelves.empty() ? 0.0 : page->height + kBetween;
  if (thing.size.x() > room.x() || above + thing.size.y() > room.y()) return false;
  page->height = above + thing.size.y();
  AddColumn(thing.number, thing.size, &page->shelves.emplace_back());
  return true;
}

std::vector<int> TallestFirst(std::vector<int> order, const std::vector<Box>& extents) {
  std::stable_sort(order.begin(), order.end(),
                   [&](int a, int b) { return extents[a].Size().y() > extents[b].Size().y(); });
  return order;
}

}  // namespace

ShelfPage FillPage(const Vec2& room, std::vector<Boxed>* left) {
  ShelfPage page;
  std::erase_if(*left, [&](const Boxed& thing) { return Put(thing, room, &page); });
  return page;
}

std::vector<ShelfPage> PackTight(std::vector<int> order, const std::vector<Box>& extents,
                                 const Vec2& room) {
  std::vector<Boxed> left;
  for (const int piece : TallestFirst(std::move(order), extents)) {
    left.push_back({piece, extents[piece].Size()});
  }
  std::vector<ShelfPage> pages;
  while (!left.empty()) pages.push_back(FillPage(room, &left));
  return pages;
}

std::vector<ShelfPage> Pack(std::vector<int> order, const std::vector<Box>& extents,
                            const Vec2& room) {
  std::vector<ShelfPage> pages;
  for (const int piece : TallestFirst(std::move(order), extents)) {
    const Vec2 size = extents[piece].Size();
    const bool beside = !pages.empty() && !pages.back().shelves.empty() &&
                        pages.back().shelves.back().width + kBetween + size.x() <= room.x();
    if (beside) {
      AddColumn(piece, size, &pages.back().shelves.back());
      continue;
    }
    const bool above = !pages.empty() && pages.back().height + kBetween + size.y() <= room.y();
    if (!above) pages.emplace_back();
    pages.back().height += (above ? kBetween : 0.0) + size.y();
    AddColumn(piece, size, &pages.back().shelves.emplace_back());
  }
  return pages;
}

void AddCard(const Vec2& room, bool roll, ShelfPage* page) {
  for (Shelf& shelf : page->shelves) {
    if (PutOn({kCardPiece, kCardSize}, room.x(), &shelf)) return;
  }
  if (roll || page->height + kBetween + kCardSize.y() > room.y()) return;
  page->height += kBetween + kCardSize.y();
  AddColumn(kCardPiece, kCardSize, &page->shelves.emplace_back());
}

}  // namespace holeward
