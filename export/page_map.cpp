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

/// How the cells of the map are laid out.
struct MapGrid {
  int columns = 1;
  Vec2 cell = Vec2::Zero();
  double names = 0.0;  ///< height left for the names in a cell
  double scale = 0.0;  ///< of the pages drawn
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
