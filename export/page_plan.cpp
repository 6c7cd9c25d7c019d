#include "export/page_plan.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include "export/bank_card.h"
#include "export/shelf_pack.h"

namespace holeward {
namespace {

constexpr double kEdge = 2.0;         ///< white between a piece and the area's border, mm
constexpr double kMatchClear = 12.0;  ///< a cut keeps this far from a mark if it can, mm
constexpr double kRollStep = 5.0;

/// The letter of a match mark: A, B, … without I and O, then AA, AB, …
std::string Letter(int index) {
  static const std::string kLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ";
  const int n = static_cast<int>(kLetters.size());
  const std::string last(1, kLetters[static_cast<std::size_t>(index % n)]);
  return index < n ? last : Letter(index / n - 1) + last;
}

bool Fits(const Vec2& size, const Vec2& room) {
  return size.x() <= room.x() && size.y() <= room.y();
}

/// Places packed pieces, what room is left spread evenly between them.
PlannedPage Spread(const ShelfPage& packed, const std::vector<Box>& extents, const PageSize& size,
                   const Box& area) {
  PlannedPage page;
  page.size = size;
  // A roll's page is cut to length afterwards: its shelves stay together.
  const double slack_y = size.roll ? 0.0
                                   : (area.Size().y() - packed.height) /
                                         (static_cast<double>(packed.shelves.size()) + 1.0);
  double top = area.high.y() - slack_y;
  for (const Shelf& shelf : packed.shelves) {
    const double slack_x =
        (area.Size().x() - shelf.width) / (static_cast<double>(shelf.pieces.size()) + 1.0);
    double left = area.low.x() + slack_x;
    for (const int piece : shelf.pieces) {
      const Vec2 extent = piece == kCardPiece ? kCardSize : extents[piece].Size();
      const Vec2 low(left, top - (shelf.height + extent.y()) / 2.0);
      if (piece == kCardPiece) {
        page.card = Box{low, low + kCardSize};
      } else {
        page.places.push_back({piece, extents[piece], low - extents[piece].low, {}});
      }
      left += extent.x() + kBetween + slack_x;
    }
    top -= shelf.height + kBetween + slack_y;
  }
  return page;
}

/// Windows of the tiles along one axis: joins between them, the windows overlapping by
/// kTileOverlap.
struct Cuts {
  std::vector<double> joins;
  double low = 0.0;
  double high = 0.0;

  [[nodiscard]] double Low(int i) const {
    return i == 0 ? low : joins[static_cast<std::size_t>(i - 1)] - kTileOverlap / 2.0;
  }
  [[nodiscard]] double High(int i) const {
    return i == static_cast<int>(joins.size())
               ? high
               : joins[static_cast<std::size_t>(i)] + kTileOverlap / 2.0;
  }
};

int TilesAlong(double length, double room) {
  if (length <= room) return 1;
  return static_cast<int>(std::ceil((length - kTileOverlap) / (room - kTileOverlap) - 1e-9));
}

double Clearance(double at, const std::vector<FlatMark>& marks, int axis) {
  double clear = kMatchClear;
  for (const FlatMark& mark : marks) clear = std::min(clear, std::abs(mark.at[axis] - at));
  return clear;
}

/// The place within `slack` of the nominal one that keeps farthest from marks; the nearest such.
double BestCut(double nominal, double slack, const std::vector<FlatMark>& marks, int axis) {
  double best = nominal;
  const int steps = static_cast<int>(slack / 0.5);
  for (int i = 1; i <= 2 * steps; ++i) {
    const int step = (i + 1) / 2;  // 1, -1, 2, -2, …
    const double at = nominal + 0.5 * (i % 2 == 0 ? step : -step);
    if (Clearance(at, marks, axis) > Clearance(best, marks, axis) + 1e-9) best = at;
  }
  return best;
}

Cuts CutAlong(const Box& extent, const std::vector<FlatMark>& marks, int axis, double room) {
  Cuts cuts{{}, extent.low[axis], extent.high[axis]};
  const double length = cuts.high - cuts.low;
  const int n = TilesAlong(length, room);
  const double window = (length + (n - 1) * kTileOverlap) / n;
  const double slack = n > 1 ? (room - window) / 2.0 : 0.0;
  for (int i = 1; i < n; ++i) {
    const double nominal = cuts.low + i * (window - kTileOverlap) + kTileOverlap / 2.0;
    cuts.joins.push_back(BestCut(nominal, slack, marks, axis));
  }
  return cuts;
}

double NearestMark(const Vec2& p, const std::vector<FlatMark>& marks) {
  double nearest = 25.0;  // farther off is as good
  for (const FlatMark& mark : marks) nearest = std::min(nearest, (mark.at - p).norm());
  return nearest;
}

/// The place near `share` of the range along a join that keeps farthest from marks.
double BestCross(const Join& join, const Vec2& range, double share,
                 const std::vector<FlatMark>& marks) {
  double best = 0.0;
  double best_clear = -1.0;
  for (const double aside : {0.0, -0.04, 0.04, -0.08, 0.08, -0.12, 0.12}) {
    const double along = range[0] + (share + aside) * (range[1] - range[0]);
    const Vec2 p = join.upright ? Vec2(join.at, along) : Vec2(along, join.at);
    const double clear = NearestMark(p, marks);
    if (clear <= best_clear + 1e-9) continue;
    best = along;
    best_clear = clear;
  }
  return best;
}

struct Tiling {
  Cuts x, y;
  TilePlace grid;
  std::vector<Join> joins;  ///< every join between two tiles, once
};

/// The join above or to the right of a tile, with its two crosses.
Join JoinAfter(int column, int row, bool upright, const Tiling& tiling) {
  Join join;
  join.upright = upright;
  join.at = upright ? tiling.x.joins[column] : tiling.y.joins[row];
  join.lower_page = tiling.grid.PageOf(column, row);
  join.upper_page =
      upright ? tiling.grid.PageOf(column + 1, row) : tiling.grid.PageOf(column, row + 1);
  return join;
}

void AddJoins(const DevelopedPiece& piece, Tiling* tiling) {
  int letters = 0;
  const auto add = [&](int column, int row, bool upright) {
    Join join = JoinAfter(column, row, upright, *tiling);
    const Vec2 range = upright ? Vec2(tiling->y.Low(row), tiling->y.High(row))
                               : Vec2(tiling->x.Low(column), tiling->x.High(column));
    for (const double share : {0.25, 0.75}) {
      join.crosses.push_back({BestCross(join, range, share, piece.marks), Letter(letters++)});
    }
    tiling->joins.push_back(join);
  };
  for (int row = tiling->grid.rows - 1; row >= 0; --row) {
    for (int column = 0; column < tiling->grid.columns; ++column) {
      if (column + 1 < tiling->grid.columns) add(column, row, true);
      if (row > 0) add(column, row - 1, false);
    }
  }
}

/// What lies on the page of one tile.
PiecePlace TileAt(int column, int row, const Tiling& tiling, const Box& area) {
  PiecePlace place;
  place.window = {{tiling.x.Low(column), tiling.y.Low(row)},
                  {tiling.x.High(column), tiling.y.High(row)}};
  place.shift = area.Centre() - place.window.Centre();
  const int number = tiling.grid.PageOf(column, row);
  for (const Join& join : tiling.joins) {
    if (join.lower_page == number || join.upper_page == number) place.joins.push_back(join);
  }
  return place;
}

/// Puts the bank card under or beside a tile that leaves the room, the tile moved aside for it.
void AddCard(const Box& area, PlannedPage* page) {
  PiecePlace& place = page->places[0];
  const Vec2 tile = place.window.Size();
  const Vec2 slack = area.Size() - tile - kCardSize - Vec2::Constant(kBetween);
  for (const int axis : {1, 0}) {
    if (slack[axis] < 0.0 || area.Size()[1 - axis] < kCardSize[1 - axis]) continue;
    // Under it, the tile stays above; beside it, the tile stays at the left.
    Vec2 card_low = area.Centre() - kCardSize / 2.0;
    card_low[axis] = axis == 1 ? area.low.y() + slack.y() / 3.0
                               : area.high.x() - slack.x() / 3.0 - kCardSize.x();
    const double tile_low =
        axis == 1 ? area.high.y() - slack.y() / 3.0 - tile.y() : area.low.x() + slack.x() / 3.0;
    place.shift[axis] = tile_low - place.window.low[axis];
    page->card = Box{card_low, card_low + kCardSize};
    return;
  }
}

/// Tiles one piece over pages; numbers them from `first_page`.
std::vector<PlannedPage> TilePiece(int index, const DevelopedPiece& piece, const PageSize& size,
                                   const Box& area, int first_page) {
  const Box extent = ExtentOf(piece);
  Tiling tiling;
  tiling.x = CutAlong(extent, piece.marks, 0, area.Size().x());
  tiling.y = CutAlong(extent, piece.marks, 1, area.Size().y());
  tiling.grid.columns = static_cast<int>(tiling.x.joins.size()) + 1;
  tiling.grid.rows = static_cast<int>(tiling.y.joins.size()) + 1;
  tiling.grid.first_page = first_page;
  AddJoins(piece, &tiling);

  const int count = tiling.grid.columns * tiling.grid.rows;
  std::vector<PlannedPage> pages(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) {
    PlannedPage& page = pages[static_cast<std::size_t>(i)];
    page.size = size;
    page.tile = tiling.grid;
    page.tile.column = i % tiling.grid.columns;
    page.tile.row = tiling.grid.rows - 1 - i / tiling.grid.columns;
    page.places = {TileAt(page.tile.column, page.tile.row, tiling, area)};
    page.places[0].piece = index;
    if (!size.roll) AddCard(area, &page);
  }
  return pages;
}

/// Where pieces may lie on a page, worked out once a size: breaking the texts round it takes long.
class Areas {
 public:
  explicit Areas(const TemplateSheetInput& input) : input_(input) {}

  const Box& Of(const PageSize& size) {
    const auto [known, is_new] = areas_.try_emplace({size.width, size.height});
    if (is_new) {
      known->second = DividePage(size.width, size.height, input_).drawing.Grown(-kEdge);
    }
    return known->second;
  }
  [[nodiscard]] const TemplateSheetInput& input() const { return input_; }

 private:
  const TemplateSheetInput& input_;
  std::map<std::pair<double, double>, Box> areas_;
};

/// Cuts a roll's page to the height its pieces need.
void ShortenRoll(Areas& areas, PlannedPage* page) {
  const Box area = areas.Of(page->size);
  double needed = 0.0;
  double low = area.high.y();
  double high = area.low.y();
  for (const PiecePlace& place : page->places) {
    low = std::min(low, place.window.low.y() + place.shift.y());
    high = std::max(high, place.window.high.y() + place.shift.y());
  }
  needed = high - low + 2.0 * kBetween;
  const double around = page->size.height - area.Size().y();
  const double least = kCheckBar + 45.0;
  const double height = std::min(
      page->size.height, std::ceil(std::max(needed + around, least) / kRollStep) * kRollStep);
  page->size.height = height;
  const double drop = areas.Of(page->size).Centre().y() - (low + high) / 2.0;
  for (PiecePlace& place : page->places) place.shift.y() += drop;
  if (page->card) {
    page->card->low.y() += drop;
    page->card->high.y() += drop;
  }
}

/// Pages of all pieces with one orientation tried first.
std::vector<PlannedPage> PlanIn(const PageSize& first, Areas& areas,
                                const std::vector<DevelopedPiece>& pieces) {
  const TemplateSheetInput& input = areas.input();
  std::vector<Box> extents;
  extents.reserve(pieces.size());
  for (const DevelopedPiece& piece : pieces) extents.push_back(ExtentOf(piece));
  std::vector<PageSize> sizes = {first};
  if (!first.roll) sizes.push_back(first.Turned());
  std::vector<int> left(pieces.size());
  std::iota(left.begin(), left.end(), 0);

  std::vector<PlannedPage> pages;
  for (const PageSize& size : sizes) {
    const Box area = areas.Of(size);
    const auto middle = std::stable_partition(left.begin(), left.end(), [&](int piece) {
      return !Fits(extents[piece].Size(), area.Size());
    });
    const std::vector<int> fitting(middle, left.end());
    left.erase(middle, left.end());
    for (ShelfPage& packed : input.packed ? PackTight(fitting, extents, area.Size())
                                          : Pack(fitting, extents, area.Size())) {
      AddCard(area.Size(), size.roll, &packed);
      pages.push_back(Spread(packed, extents, size, area));
      if (size.roll) ShortenRoll(areas, &pages.back());
    }
  }
  for (const int piece : left) {
    std::vector<PlannedPage> best;
    for (const PageSize& size : sizes) {
      const int first_page = static_cast<int>(pages.size()) + input.first_page;
      std::vector<PlannedPage> tiles =
          TilePiece(piece, pieces[piece], size, areas.Of(size), first_page);
      if (best.empty() || tiles.size() < best.size()) best = std::move(tiles);
    }
    pages.insert(pages.end(), best.begin(), best.end());
  }
  return pages;
}

}  // namespace

Box ExtentOf(const DevelopedPiece& piece) {
  Box box{Vec2::Constant(1e30), Vec2::Constant(-1e30)};
  const auto widen = [&](const Vec2& p) {
    box.low = box.low.cwiseMin(p);
    box.high = box.high.cwiseMax(p);
  };
  for (const FlatLine& line : piece.lines)
    std::for_each(line.points.begin(), line.points.end(), widen);
  for (const FlatMark& mark : piece.marks) {
    widen(mark.at);
    std::for_each(mark.outline.begin(), mark.outline.end(), widen);
  }
  return box;
}

DevelopedPiece Turned(const DevelopedPiece& piece) {
  const auto turn = [](const Vec2& p) { return Vec2(-p.y(), p.x()); };
  DevelopedPiece turned = piece;
  for (FlatLine& line : turned.lines) {
    for (Vec2& p : line.points) p = turn(p);
  }
  for (FlatMark& mark : turned.marks) {
    mark.at = turn(mark.at);
    for (Vec2& p : mark.outline) p = turn(p);
  }
  turned.front = turn(piece.front);
  turned.up = turn(piece.up);
  return turned;
}

namespace {

/// Pages in the better of the two orientations.
std::vector<PlannedPage> PlanEitherWay(Areas& areas, const PageSize& paper,
                                       const std::vector<DevelopedPiece>& pieces) {
  std::vector<PlannedPage> portrait = PlanIn(paper, areas, pieces);
  std::vector<PlannedPage> landscape = PlanIn(paper.Turned(), areas, pieces);
  return landscape.size() < portrait.size() ? landscape : portrait;
}

/// Turns one piece after another a quarter where that takes fewer pages. Lettering is set on the
/// page after this, so it stands upright on a turned piece as on any other.
std::vector<PlannedPage> PlanTurning(Areas& areas, const PageSize& paper,
                                     std::vector<DevelopedPiece>* pieces) {
  std::vector<PlannedPage> best = PlanEitherWay(areas, paper, *pieces);
  for (DevelopedPiece& piece : *pieces) {
    if (best.size() < 2) break;
    const DevelopedPiece upright = std::exchange(piece, Turned(piece));
    std::vector<PlannedPage> plan = PlanEitherWay(areas, paper, *pieces);
    if (plan.size() < best.size()) {
      best = std::move(plan);
    } else {
      piece = upright;
    }
  }
  return best;
}

}  // namespace

std::vector<PlannedPage> PlanPages(const TemplateSheetInput& input, const PageSize& paper,
                                   std::vector<DevelopedPiece>* pieces) {
  Areas areas(input);
  if (paper.roll) {
    const Vec2 room = areas.Of(paper).Size();
    for (DevelopedPiece& piece : *pieces) {
      const Vec2 size = ExtentOf(piece).Size();
      if (!Fits(size, room) && Fits({size.y(), size.x()}, room)) piece = Turned(piece);
    }
    return PlanIn(paper, areas, *pieces);
  }
  return input.packed ? PlanTurning(areas, paper, pieces) : PlanEitherWay(areas, paper, *pieces);
}

}  // namespace holeward
