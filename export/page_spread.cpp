#include "export/page_spread.h"

#include "export/bank_card.h"

namespace holeward {

PlannedPage Spread(const ShelfPage& packed, const std::vector<PiecePlace>& items,
                   const PageSize& size, const Box& area, const Vec2& map) {
  PlannedPage page;
  page.size = size;
  const auto size_of = [&](int item) -> Vec2 {
    if (item == kCardPiece) return kCardSize;
    return item == kMapPiece ? map : items[item].window.Size();
  };
  // A roll's page is cut to length afterwards: its shelves stay together.
  const double slack_y = size.roll ? 0.0
                                   : (area.Size().y() - packed.height) /
                                         (static_cast<double>(packed.shelves.size()) + 1.0);
  double top = area.high.y() - slack_y;
  for (const Shelf& shelf : packed.shelves) {
    const double slack_x =
        (area.Size().x() - shelf.width) / (static_cast<double>(shelf.columns.size()) + 1.0);
    double left = area.low.x() + slack_x;
    for (const Column& column : shelf.columns) {
      double high = top - (shelf.height - column.height) / 2.0;
      for (const int item : column.pieces) {
        const Vec2 extent = size_of(item);
        const Vec2 low(left + (column.width - extent.x()) / 2.0, high - extent.y());
        if (item == kCardPiece) {
          page.card = Box{low, low + extent};
        } else if (item == kMapPiece) {
          page.map = Box{low, low + extent};
        } else {
          page.places.push_back(items[item]);
          page.places.back().shift = low - items[item].window.low;
        }
        high = low.y() - kBetween;
      }
      left += column.width + kBetween + slack_x;
    }
    top -= shelf.height + kBetween + slack_y;
  }
  return page;
}

}  // namespace holeward
