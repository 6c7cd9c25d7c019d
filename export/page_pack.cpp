#include "export/page_pack.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>
#include <utility>

#include "export/page_map.h"
#include "export/page_spread.h"
#include "export/tiling.h"

namespace holeward {
namespace {

constexpr int kMostPlans = 600;  ///< plans tried; a job of a dozen pieces is tried through

/// How a piece lies: as it is or turned a quarter, whole or in tiles of one page's room.
struct Choice {
  bool turned = false;
  std::vector<PiecePlace> parts;  ///< the piece as one, or its tiles
};

/// A page being filled: which way it lies, and what is on it.
struct OpenPage {
  int way = 0;
  ShelfPage shelves;
};

double AreaOf(const Vec2& size) { return size.x() * size.y(); }

/// The ways a piece can lie that take the fewest tiles.
std::vector<Choice> ChoicesOf(const DevelopedPiece& piece, const std::array<Vec2, 2>& rooms) {
  const Vec2 size = ExtentOf(piece).Size();
  const Vec2 across(size.y(), size.x());
  int fewest = TilesOver(size, rooms[0]);
  for (const Vec2& room : rooms)
    fewest = std::min({fewest, TilesOver(size, room), TilesOver(across, room)});

  std::vector<Choice> choices;
  for (const bool turned : {false, true}) {
    const DevelopedPiece laid = turned ? Turned(piece) : piece;
    for (const Vec2& room : rooms) {
      if (TilesOver(turned ? across : size, room) != fewest) continue;
      for (const LastTile last : {LastTile::as_others, LastTile::short_one}) {
        choices.push_back({turned, TilesOf(laid, room, last)});
        if (fewest == 1) break;
      }
      if (fewest == 1) break;  // whole is whole
    }
  }
  return choices;
}

/// The pieces of one paper, and the search for the fewest pages.
class Packer {
 public:
  Packer(const std::array<Vec2, 2>& rooms, const std::vector<DevelopedPiece>& pieces)
      : rooms_(rooms) {
    for (const DevelopedPiece& piece : pieces) {
      choices_.push_back(ChoicesOf(piece, rooms));
      for (Choice& choice : choices_.back()) {
        for (PiecePlace& part : choice.parts) {
          part.piece = static_cast<int>(choices_.size()) - 1;
        }
      }
    }
    chosen_.resize(pieces.size(), 0);
  }

  /// The fewest pages found. @param map the size of the map that must find room too, if any
  std::vector<OpenPage> Fewest(const std::optional<Vec2>& map) {
    map_ = map;
    plans_ = 0;
    std::vector<OpenPage> best = Plan();
    for (std::size_t piece = 0; piece < choices_.size(); ++piece) {
      for (std::size_t k = 0; k < choices_[piece].size(); ++k) {
        if (best.size() <= Least() || plans_ > kMostPlans) return best;
        const std::size_t before = std::exchange(chosen_[piece], k);
        std::vector<OpenPage> plan = Plan();
        if (plan.size() < best.size()) {
          best = std::move(plan);
        } else {
          chosen_[piece] = before;
        }
      }
    }
    return best;
  }

  /// What the numbers on the shelves stand for.
  [[nodiscard]] std::vector<PiecePlace> Items() const {
    std::vector<PiecePlace> items;
    for (std::size_t i = 0; i < choices_.size(); ++i) {
      const std::vector<PiecePlace>& parts = choices_[i][chosen_[i]].parts;
      items.insert(items.end(), parts.begin(), parts.end());
    }
    return items;
  }
  [[nodiscard]] bool IsTurned(std::size_t piece) const {
    return choices_[piece][chosen_[piece]].turned;
  }

 private:
  [[nodiscard]] std::vector<Boxed> Things() const {
    std::vector<Boxed> things;
    for (const PiecePlace& item : Items()) {
      things.push_back({static_cast<int>(things.size()), item.window.Size()});
    }
    if (map_) things.push_back({kMapPiece, *map_});
    return things;
  }

  /// No plan takes fewer: what the areas alone need.
  [[nodiscard]] std::size_t Least() const {
    double area = 0.0;
    for (const Boxed& thing : Things()) area += AreaOf(thing.size);
    const double room = std::max(AreaOf(rooms_[0]), AreaOf(rooms_[1]));
    return static_cast<std::size_t>(std::max(1.0, std::ceil(area / room - 1e-9)));
  }

  /// Pages filled one after another, each lying the way that takes the most of what is left; the
  /// things tallest first, widest first or largest first, whichever takes fewer pages.
  std::vector<OpenPage> Plan() {
    ++plans_;
    std::vector<OpenPage> best;
    const auto by = [](int order, const Boxed& thing) {
      return order == 0 ? thing.size.y() : order == 1 ? thing.size.x() : AreaOf(thing.size);
    };
    for (const int order : {0, 1, 2}) {
      std::vector<Boxed> left = Things();
      std::stable_sort(left.begin(), left.end(),
                       [&](const Boxed& a, const Boxed& b) { return by(order, a) > by(order, b); });
      std::vector<OpenPage> pages;
      while (!left.empty()) pages.push_back(FullestPage(&left));
      if (best.empty() || pages.size() < best.size()) best = std::move(pages);
    }
    return best;
  }

  [[nodiscard]] OpenPage FullestPage(std::vector<Boxed>* left) const {
    OpenPage best;
    std::vector<Boxed> rest;
    double most = -1.0;
    for (const int way : {0, 1}) {
      std::vector<Boxed> over = *left;
      ShelfPage page = FillPage(rooms_[way], &over);
      double taken = 0.0;
      for (const Boxed& thing : *left) taken += AreaOf(thing.size);
      for (const Boxed& thing : over) taken -= AreaOf(thing.size);
      if (taken <= most + 1e-9) continue;
      most = taken;
      best = {way, std::move(page)};
      rest = std::move(over);
    }
    *left = std::move(rest);
    return best;
  }

  std::array<Vec2, 2> rooms_;
  std::vector<std::vector<Choice>> choices_;  ///< by piece
  std::vector<std::size_t> chosen_;           ///< by piece: one of its choices
  std::optional<Vec2> map_;
  int plans_ = 0;
};

std::vector<int> OnPage(const OpenPage& page) {
  std::vector<int> all;
  for (const Shelf& shelf : page.shelves.shelves) {
    for (const Column& column : shelf.columns) {
      all.insert(all.end(), column.pieces.begin(), column.pieces.end());
    }
  }
  return all;
}

bool HasMap(const OpenPage& page) {
  const std::vector<int> all = OnPage(page);
  return std::find(all.begin(), all.end(), kMapPiece) != all.end();
}

}  // namespace

PackedPages PackPages(const TemplateSheetInput& input, const PageSize& paper,
                      std::optional<int> others, std::vector<DevelopedPiece>* pieces) {
  const std::array<PageSize, 2> sizes = {paper, paper.Turned()};
  std::array<Box, 2> areas;
  std::array<Vec2, 2> rooms;
  for (const int way : {0, 1}) {
    areas[way] = DividePage(sizes[way].width, sizes[way].height, input).drawing.Grown(-kPieceEdge);
    rooms[way] = areas[way].Size();
  }
  Packer packer(rooms, *pieces);
  std::vector<OpenPage> best = packer.Fewest({});
  PackedPages packed;
  Vec2 map = Vec2::Zero();
  const int count = static_cast<int>(best.size()) + others.value_or(0);
  if (others && count > 1) {
    const auto fits = [](const Vec2& size, const Vec2& room) {
      return size.x() <= room.x() && size.y() <= room.y();
    };
    for (const Vec2& size : MapSizes(count, input.pieces, input.words)) {
      if (!fits(size, rooms[0]) && !fits(size, rooms[1])) continue;
      Packer with = packer;
      std::vector<OpenPage> plan = with.Fewest(size);
      if (plan.size() > best.size()) continue;
      std::stable_partition(plan.begin(), plan.end(), HasMap);
      packer = std::move(with);
      best = std::move(plan);
      map = size;
      packed.with_map = true;
      break;
    }
  }
  for (std::size_t i = 0; i < pieces->size(); ++i) {
    if (packer.IsTurned(i)) (*pieces)[i] = Turned((*pieces)[i]);
  }
  const std::vector<PiecePlace> items = packer.Items();
  for (OpenPage& page : best) {
    AddCard(rooms[page.way], false, &page.shelves);
    packed.pages.push_back(Spread(page.shelves, items, sizes[page.way], areas[page.way], map));
  }
  return packed;
}

}  // namespace holeward
