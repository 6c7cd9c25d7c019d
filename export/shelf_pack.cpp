#include "export/shelf_pack.h"

#include <algorithm>
#include <utility>

#include "export/bank_card.h"

namespace holeward {
namespace {

/// Puts a piece on the first shelf or page that has room for it; false if none has.
bool PutFirst(int piece, const Vec2& size, const Vec2& room, std::vector<ShelfPage>* pages) {
  for (ShelfPage& page : *pages) {
    for (Shelf& shelf : page.shelves) {
      if (shelf.width + kBetween + size.x() > room.x()) continue;
      shelf.width += kBetween + size.x();
      shelf.pieces.push_back(piece);
      return true;
    }
    if (page.height + kBetween + size.y() > room.y()) continue;
    page.height += kBetween + size.y();
    page.shelves.push_back({size.x(), size.y(), {piece}});
    return true;
  }
  return false;
}

std::vector<int> TallestFirst(std::vector<int> order, const std::vector<Box>& extents) {
  std::stable_sort(order.begin(), order.end(),
                   [&](int a, int b) { return extents[a].Size().y() > extents[b].Size().y(); });
  return order;
}

}  // namespace

std::vector<ShelfPage> PackTight(std::vector<int> order, const std::vector<Box>& extents,
                                 const Vec2& room) {
  std::vector<ShelfPage> pages;
  for (const int piece : TallestFirst(std::move(order), extents)) {
    const Vec2 size = extents[piece].Size();
    if (!PutFirst(piece, size, room, &pages))
      pages.push_back({size.y(), {{size.x(), size.y(), {piece}}}});
  }
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
      Shelf& shelf = pages.back().shelves.back();
      shelf.width += kBetween + size.x();
      shelf.pieces.push_back(piece);
      continue;
    }
    const bool above = !pages.empty() && pages.back().height + kBetween + size.y() <= room.y();
    if (!above) pages.emplace_back();
    pages.back().height += (above ? kBetween : 0.0) + size.y();
    pages.back().shelves.push_back({size.x(), size.y(), {piece}});
  }
  return pages;
}

void AddCard(const Vec2& room, bool roll, ShelfPage* page) {
  for (Shelf& shelf : page->shelves) {
    const bool fits =
        shelf.width + kBetween + kCardSize.x() <= room.x() && kCardSize.y() <= shelf.height;
    if (!fits) continue;
    shelf.width += kBetween + kCardSize.x();
    shelf.pieces.push_back(kCardPiece);
    return;
  }
  if (roll || page->height + kBetween + kCardSize.y() > room.y()) return;
  page->height += kBetween + kCardSize.y();
  page->shelves.push_back({kCardSize.x(), kCardSize.y(), {kCardPiece}});
}

}  // namespace holeward
