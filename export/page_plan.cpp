#include "export/page_plan.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <utility>

#include "export/bank_card.h"
#include "export/page_spread.h"
#include "export/tiling.h"

namespace holeward {
namespace {

constexpr double kRollStep = 5.0;

bool Fits(const Vec2& size, const Vec2& room) {
  return size.x() <= room.x() && size.y() <= room.y();
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

/// Tiles one piece over pages, a tile a page.
std::vector<PlannedPage> TilePiece(int index, const DevelopedPiece& piece, const PageSize& size,
                                   const Box& area) {
  std::vector<PlannedPage> pages;
  for (PiecePlace& tile : TilesOf(piece, area.Size(), LastTile::as_others)) {
    tile.piece = index;
    tile.shift = area.Centre() - tile.window.Centre();
    PlannedPage page;
    page.size = size;
    page.places = {std::move(tile)};
    if (!size.roll) AddCard(area, &page);
    pages.push_back(std::move(page));
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
      known->second = DividePage(size.width, size.height, input_).drawing.Grown(-kPieceEdge);
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
  std::vector<Box> extents;
  extents.reserve(pieces.size());
  std::vector<PiecePlace> wholes;
  for (const DevelopedPiece& piece : pieces) {
    extents.push_back(ExtentOf(piece));
    PiecePlace& whole = wholes.emplace_back();
    whole.piece = static_cast<int>(wholes.size()) - 1;
    whole.window = extents.back();
  }
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
    for (ShelfPage& packed : areas.input().packed ? PackTight(fitting, extents, area.Size())
                                                  : Pack(fitting, extents, area.Size())) {
      AddCard(area.Size(), size.roll, &packed);
      pages.push_back(Spread(packed, wholes, size, area));
      if (size.roll) ShortenRoll(areas, &pages.back());
    }
  }
  for (const int piece : left) {
    std::vector<PlannedPage> best;
    for (const PageSize& size : sizes) {
      std::vector<PlannedPage> tiles = TilePiece(piece, pieces[piece], size, areas.Of(size));
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

/// The letter of a match mark: A, B, … without I and O, then AA, AB, …
std::string Letter(int index) {
  static const std::string kLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ";
  const int n = static_cast<int>(kLetters.size());
  const std::string last(1, kLetters[static_cast<std::size_t>(index % n)]);
  return index < n ? last : Letter(index / n - 1) + last;
}

/// Where the tiles of a piece lie, and the first of its letters.
struct Tiles {
  std::vector<int> pages;
  int first_letter = 0;
};

std::map<int, Tiles> FindTiles(int first, const std::vector<PlannedPage>& pages) {
  std::map<int, Tiles> found;
  int letters = 0;
  for (std::size_t i = 0; i < pages.size(); ++i) {
    for (const PiecePlace& place : pages[i].places) {
      const TilePlace& tile = place.tile;
      if (!tile.Tiled()) continue;
      const auto [tiles, is_new] = found.try_emplace(place.piece);
      if (is_new) {
        tiles->second.pages.resize(static_cast<std::size_t>(tile.columns) * tile.rows);
        tiles->second.first_letter = letters;
        letters += 2 * ((tile.columns - 1) * tile.rows + tile.columns * (tile.rows - 1));
      }
      tiles->second.pages[tile.Index()] = first + static_cast<int>(i);
    }
  }
  return found;
}

}  // namespace

void NumberTiles(int first, std::vector<PlannedPage>* pages) {
  const std::map<int, Tiles> found = FindTiles(first, *pages);
  for (PlannedPage& page : *pages) {
    for (PiecePlace& place : page.places) {
      if (!place.tile.Tiled()) continue;
      const Tiles& tiles = found.at(place.piece);
      place.tile.pages = tiles.pages;
      for (Join& join : place.joins) {
        join.lower_page = tiles.pages[join.lower_tile];
        join.upper_page = tiles.pages[join.upper_tile];
        int letter = tiles.first_letter + 2 * join.number;
        for (Join::Cross& cross : join.crosses) cross.letter = Letter(letter++);
      }
    }
  }
}

std::vector<PlannedPage> PlanPages(const TemplateSheetInput& input, const PageSize& paper,
                                   std::vector<DevelopedPiece>* pieces) {
  Areas areas(input);
  std::vector<PlannedPage> plan;
  if (paper.roll) {
    const Vec2 room = areas.Of(paper).Size();
    for (DevelopedPiece& piece : *pieces) {
      const Vec2 size = ExtentOf(piece).Size();
      if (!Fits(size, room) && Fits({size.y(), size.x()}, room)) piece = Turned(piece);
    }
    plan = PlanIn(paper, areas, *pieces);
  } else {
    plan = PlanIn(paper, areas, *pieces);
    std::vector<PlannedPage> turned = PlanIn(paper.Turned(), areas, *pieces);
    if (turned.size() < plan.size()) plan = std::move(turned);
  }
  NumberTiles(1, &plan);
  return plan;
}

}  // namespace holeward
