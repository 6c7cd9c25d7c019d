#include "export/page_map.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/piece_drawing.h"
#include "export/said.h"

namespace holeward {
namespace {

constexpr double kBetweenCells = 4.0;
constexpr double kNameLine = kText25 * 1.5;
constexpr double kPageLine = kText25 * 2.0;
constexpr double kTitle = kText25 * 2.4;  ///< height of a framed map's title
constexpr double kFramePad = 2.0;
constexpr double kLeastPage = 24.0;  ///< the longer side of a page on a framed map
constexpr double kLeastCell = 28.0;  ///< width of a cell there
constexpr double kListLine = kText18 * 1.7;

/// How the cells of the map are laid out.
struct MapGrid {
  int columns = 1;
  Vec2 cell = Vec2::Zero();
  double names = 0.0;  ///< height left for the names in a cell
  double scale = 0.0;  ///< of the pages drawn
};

MapGrid GridFor(const std::vector<PlannedPage>& plans, const Vec2& room, bool named) {
  std::size_t most = 1;
  Vec2 page = Vec2::Ones();
  for (const PlannedPage& plan : plans) {
    most = std::max(most, plan.places.size());
    page = page.cwiseMax(Vec2(plan.size.width, plan.size.height));
  }
  MapGrid best;
  const int count = static_cast<int>(plans.size());
  for (int columns = 1; columns <= count; ++columns) {
    MapGrid grid;
    grid.columns = columns;
    const int rows = (count + columns - 1) / columns;
    grid.cell = room.cwiseQuotient(Vec2(columns, rows)) - Vec2::Constant(kBetweenCells);
    // Names that find no room beneath a page are shortened to what does.
    if (named) {
      grid.names = std::min(static_cast<double>(most) * kNameLine, grid.cell.y() / 2.0 - kPageLine);
    }
    grid.scale =
        std::min(grid.cell.x() / page.x(), (grid.cell.y() - grid.names - kPageLine) / page.y());
    if (grid.scale > best.scale) best = grid;
  }
  return best;
}

/// The closed outlines of what a page shows of a piece.
void DrawOutline(const PiecePlace& place, const DevelopedPiece& piece, const Vec2& low,
                 double scale, Drawing* drawing) {
  for (const FlatLine& line : piece.lines) {
    if (line.kind != FlatLineKind::cut && line.kind != FlatLineKind::butt) continue;
    for (std::vector<Vec2>& part : Clipped(line.points, line.closed, place.window)) {
      for (Vec2& p : part) p = low + scale * (p + place.shift);
      drawing->Add(Group::frame, Stroke{part, kNarrowWidth, LineType::continuous, false});
    }
  }
}

/// A piece's number in the outlines, and its name.
std::string NumberedName(int index, const DevelopedPiece& piece, const Words& words) {
  return fmt::format("{} {}", index + 1, PieceName(piece, words));
}

void DrawNumber(const std::string& number, const Vec2& at, Drawing* drawing) {
  const Vec2 half(TextWidth(number, kText25, true) / 2.0 + 0.4, kText25 / 2.0 + 0.4);
  drawing->Add(Group::text, Fill{CornersOf({at - half, at + half}), Ink::white});
  drawing->Add(Group::text,
               TextAt(number, at - Vec2(0.0, kText25 / 2.0), kText25, true, AlignX::centre));
}

/// The numbers of all pieces with their names, in as many columns as find room side by side.
class NameList {
 public:
  NameList(const std::vector<DevelopedPiece>& pieces, const Words& words, double width) {
    double widest = 1.0;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      names_.push_back(NumberedName(static_cast<int>(i), pieces[i], words));
      widest = std::max(widest, TextWidth(names_.back(), kText18) + 3.0);
    }
    columns_ = std::max(1, static_cast<int>(width / widest));
    rows_ = (static_cast<int>(names_.size()) + columns_ - 1) / columns_;
    columns_ = (static_cast<int>(names_.size()) + rows_ - 1) / std::max(1, rows_);
    step_ = width / std::max(1, columns_);
  }
  [[nodiscard]] double Height() const { return rows_ * kListLine + 1.0; }
  void Draw(const Vec2& low, Drawing* drawing) const {
    for (std::size_t i = 0; i < names_.size(); ++i) {
      const int column = static_cast<int>(i) / rows_;
      const int row = static_cast<int>(i) % rows_;
      const Vec2 at = low + Vec2(column * step_, (rows_ - 1 - row) * kListLine + 0.5);
      drawing->Add(Group::text,
                   TextAt(FitText(names_[i], step_, {kText18}).words, at, kText18, false));
    }
  }

 private:
  std::vector<std::string> names_;
  int columns_ = 1;
  int rows_ = 1;
  double step_ = 0.0;
};

/// The pages small, in their grid; names beneath them where it leaves room for any.
void DrawPages(const PageMap& map, const MapGrid& grid, const Box& area, Drawing* drawing) {
  const std::vector<PlannedPage>& plans = map.plans;
  for (std::size_t i = 0; i < plans.size(); ++i) {
    const PlannedPage& plan = plans[i];
    const int column = static_cast<int>(i) % grid.columns;
    const int row = static_cast<int>(i) / grid.columns;
    const Vec2 step = grid.cell + Vec2::Constant(kBetweenCells);
    const Vec2 top(area.low.x() + (column + 0.5) * step.x(), area.high.y() - row * step.y());
    const Vec2 size = grid.scale * Vec2(plan.size.width, plan.size.height);
    double y = top.y() - kText25;
    const auto words = [&](const std::string& text, bool bold) {
      const FittedText fit = FitText(text, grid.cell.x(), {kText25, kText18}, bold);
      drawing->Add(Group::text, TextAt(fit.words, {top.x(), y}, fit.height, bold, AlignX::centre));
    };
    words(map.words.Say("Page {}", map.first_page + static_cast<int>(i)), true);
    const Vec2 low(top.x() - size.x() / 2.0, top.y() - kPageLine - size.y());
    const Box page{low, low + size};
    drawing->Add(Group::text, Fill{CornersOf(page), Ink::white});
    drawing->AddBox(Group::frame, page, kMiddleWidth);
    y = page.low.y() - 1.0;
    const double foot = y - grid.names;
    for (std::size_t k = 0; k < plan.places.size(); ++k) {
      const PiecePlace& place = plan.places[k];
      DrawOutline(place, map.pieces[place.piece], low, grid.scale, drawing);
      DrawNumber(std::to_string(place.piece + 1),
                 low + grid.scale * (place.window.Centre() + place.shift), drawing);
      const bool last = y - 2.0 * kNameLine < foot - 1e-9 && k + 1 < plan.places.size();
      if (y - kNameLine < foot - 1e-9) continue;
      y -= kNameLine;
      words(last ? "…" : NumberedName(place.piece, map.pieces[place.piece], map.words), false);
    }
  }
}

}  // namespace

std::vector<Vec2> MapSizes(int pages, const std::vector<DevelopedPiece>& pieces,
                           const Words& words) {
  std::vector<Vec2> sizes;
  int last_rows = 0;
  for (int columns = pages; columns >= 1; --columns) {
    const int rows = (pages + columns - 1) / columns;
    if (rows == last_rows) sizes.pop_back();  // as high, and wider than need be
    last_rows = rows;
    const double width = columns * (kLeastCell + kBetweenCells);
    const NameList names(pieces, words, width);
    sizes.emplace_back(width + 2.0 * kFramePad, rows * (kPageLine + kLeastPage + kBetweenCells) +
                                                    names.Height() + kTitle + 2.0 * kFramePad);
  }
  return sizes;
}

void DrawFramedMap(const PageMap& map, const Box& area, Drawing* drawing) {
  drawing->Add(Group::text, Fill{CornersOf(area), Ink::white});
  drawing->AddBox(Group::frame, area, kMiddleWidth);
  Box inner = area.Grown(-kFramePad);
  const FittedText title = FitText(map.words.Say("map of the pages, not to scale"),
                                   inner.Size().x(), {kText25, kText18}, true);
  drawing->Add(Group::text, TextAt(title.words, {inner.Centre().x(), inner.high.y() - title.height},
                                   title.height, true, AlignX::centre));
  inner.high.y() -= kTitle;
  const NameList names(map.pieces, map.words, inner.Size().x());
  names.Draw(inner.low, drawing);
  inner.low.y() += names.Height();
  DrawPages(map, GridFor(map.plans, inner.Size(), false), inner, drawing);
}

void DrawPageMap(const PageMap& map, const Box& area, Drawing* drawing) {
  DrawPages(map, GridFor(map.plans, area.Size(), true), area, drawing);
}

}  // namespace holeward
