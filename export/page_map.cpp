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
constexpr double kLeastCell = 30.0;  ///< width of a cell there, for the names

/// How the cells of the map are laid out.
struct MapGrid {
  int columns = 1;
  Vec2 cell = Vec2::Zero();
  double names = 0.0;  ///< height left for the names in a cell
  double scale = 0.0;  ///< of the pages drawn
  double page = 0.0;   ///< height of the highest page, mm

  /// What a cell needs of its height.
  [[nodiscard]] double Height() const { return kPageLine + scale * page + 1.0 + names; }
};

MapGrid GridFor(const std::vector<PlannedPage>& plans, const Vec2& room) {
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
    grid.page = page.y();
    const int rows = (count + columns - 1) / columns;
    grid.cell = room.cwiseQuotient(Vec2(columns, rows)) - Vec2::Constant(kBetweenCells);
    // Names that find no room beneath a page are shortened to what does.
    grid.names = std::min(static_cast<double>(most) * kNameLine, grid.cell.y() / 2.0 - kPageLine);
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

void DrawNumber(const std::string& number, const Vec2& at, Drawing* drawing) {
  const Vec2 half(TextWidth(number, kText25, true) / 2.0 + 0.4, kText25 / 2.0 + 0.4);
  drawing->Add(Group::text, Fill{CornersOf({at - half, at + half}), Ink::white});
  drawing->Add(Group::text,
               TextAt(number, at - Vec2(0.0, kText25 / 2.0), kText25, true, AlignX::centre));
}

}  // namespace

std::vector<Vec2> MapSizes(int pages, int most) {
  std::vector<Vec2> sizes;
  const double cell = kPageLine + kLeastPage + 1.0 + most * kNameLine + kBetweenCells;
  int last_rows = 0;
  for (int columns = pages; columns >= 1; --columns) {
    const int rows = (pages + columns - 1) / columns;
    if (rows == last_rows) sizes.pop_back();  // as high, and wider than need be
    last_rows = rows;
    sizes.emplace_back(columns * (kLeastCell + kBetweenCells) + 2.0 * kFramePad,
                       rows * cell + kTitle + 2.0 * kFramePad);
  }
  return sizes;
}

void DrawFramedMap(const PageMap& map, const Box& area, Drawing* drawing) {
  Box inner = area.Grown(-kFramePad);
  inner.high.y() -= kTitle;
  // The frame is as high as what is in it.
  const MapGrid grid = GridFor(map.plans, inner.Size());
  const int rows = (static_cast<int>(map.plans.size()) + grid.columns - 1) / grid.columns;
  const double spare = inner.Size().y() - rows * (grid.cell.y() + kBetweenCells);
  const double over = grid.cell.y() - grid.Height() + spare;
  Box frame = area;
  frame.low.y() += over / 2.0;
  frame.high.y() -= over / 2.0;
  inner.low.y() -= over / 2.0;
  inner.high.y() -= over / 2.0;
  drawing->Add(Group::text, Fill{CornersOf(frame), Ink::white});
  drawing->Add(Group::frame, Stroke{CornersOf(frame), kMiddleWidth, LineType::continuous, true});
  const FittedText title = FitText(map.words.Say("map of the pages, not to scale"),
                                   inner.Size().x(), {kText25, kText18}, true);
  drawing->Add(Group::text,
               TextAt(title.words, {inner.Centre().x(), inner.high.y() + kTitle - title.height},
                      title.height, true, AlignX::centre));
  DrawPageMap(map, inner, drawing);
}

void DrawPageMap(const PageMap& map, const Box& area, Drawing* drawing) {
  const std::vector<PlannedPage>& plans = map.plans;
  const MapGrid grid = GridFor(plans, area.Size());
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
    drawing->Add(Group::frame, Stroke{CornersOf(page), kMiddleWidth, LineType::continuous, true});
    y = page.low.y() - 1.0;
    const double foot = y - grid.names;
    for (std::size_t k = 0; k < plan.places.size(); ++k) {
      const PiecePlace& place = plan.places[k];
      const std::string number = std::to_string(place.piece + 1);
      DrawOutline(place, map.pieces[place.piece], low, grid.scale, drawing);
      DrawNumber(number, low + grid.scale * (place.window.Centre() + place.shift), drawing);
      const bool last = y - 2.0 * kNameLine < foot - 1e-9 && k + 1 < plan.places.size();
      if (y - kNameLine < foot - 1e-9) continue;
      y -= kNameLine;
      words(
          last ? "…" : fmt::format("{} {}", number, PieceName(map.pieces[place.piece], map.words)),
          false);
    }
  }
}

}  // namespace holeward
