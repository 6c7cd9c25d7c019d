// Finds lettering that runs off the page, over other lettering, or across the border of a cell.
#pragma once

#include <cmath>
#include <string>
#include <variant>
#include <vector>

#include <fmt/format.h>

#include "export/box.h"
#include "export/drawing.h"
#include "export/lettering.h"
#include "export/paper.h"

namespace holeward::testing_tools {

/// A line of lettering and what it covers, from base line to capital height.
struct Lettered {
  std::string words;
  Box box;
};

inline Lettered LetteredAt(const Text& text) {
  const double width = TextWidth(text.words, text.height, text.bold);
  const double from = text.align == AlignX::left     ? 0.0
                      : text.align == AlignX::centre ? -width / 2.0
                                                     : -width;
  const Vec2 along(std::cos(text.turn_rad), std::sin(text.turn_rad));
  const Vec2 up(-along.y(), along.x());
  Box box{text.at + from * along, text.at + from * along};
  for (const Vec2& corner :
       {Vec2(from, text.height), Vec2(from + width, 0.0), Vec2(from + width, text.height)}) {
    const Vec2 p = text.at + corner.x() * along + corner.y() * up;
    box.low = box.low.cwiseMin(p);
    box.high = box.high.cwiseMax(p);
  }
  return {text.words, box};
}

/// The lettering of a page but for the banner across it.
inline std::vector<Lettered> LetteringOf(const Drawing& drawing) {
  std::vector<Lettered> all;
  for (const Item& item : drawing.items) {
    const Text* text = std::get_if<Text>(&item.what);
    if (text != nullptr && item.group != Group::banner && !text->words.empty()) {
      all.push_back(LetteredAt(*text));
    }
  }
  return all;
}

/// The cells of a page: closed level rectangles of its frame, tall enough for a line.
inline std::vector<Box> CellsOf(const Drawing& drawing) {
  std::vector<Box> cells;
  for (const Item& item : drawing.items) {
    const Stroke* stroke = std::get_if<Stroke>(&item.what);
    if (stroke == nullptr || item.group != Group::frame || !stroke->closed) continue;
    if (stroke->points.size() != 4) continue;
    Box box{stroke->points[0], stroke->points[0]};
    bool level = true;
    for (std::size_t i = 0; i < 4; ++i) {
      const Vec2 side = stroke->points[(i + 1) % 4] - stroke->points[i];
      level = level && std::min(std::abs(side.x()), std::abs(side.y())) < 1e-9;
      box.low = box.low.cwiseMin(stroke->points[i]);
      box.high = box.high.cwiseMax(stroke->points[i]);
    }
    if (level && box.Size().minCoeff() > 4.0) cells.push_back(box);
  }
  return cells;
}

/// What is wrong on a page, a sentence each.
inline std::vector<std::string> LayoutFaults(const Drawing& drawing) {
  std::vector<std::string> faults;
  const std::vector<Lettered> all = LetteringOf(drawing);
  const Box page = Box{{0.0, 0.0}, {drawing.width, drawing.height}}.Grown(-kPaperMargin + 0.05);
  for (const Lettered& one : all) {
    if (!page.Contains(one.box.low) || !page.Contains(one.box.high)) {
      faults.push_back(fmt::format("\"{}\" runs off the page", one.words));
    }
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    for (std::size_t k = i + 1; k < all.size(); ++k) {
      if (all[i].box.Grown(-0.1).Overlaps(all[k].box.Grown(-0.1))) {
        faults.push_back(fmt::format("\"{}\" runs over \"{}\"", all[i].words, all[k].words));
      }
    }
  }
  for (const Box& cell : CellsOf(drawing)) {
    for (const Lettered& one : all) {
      const Box box = one.box.Grown(-0.1);
      const bool inside = cell.Contains(box.low) && cell.Contains(box.high);
      const bool round = box.Contains(cell.low) && box.Contains(cell.high);
      if (box.Overlaps(cell) && !inside && !round) {
        faults.push_back(fmt::format("\"{}\" crosses the border of a cell", one.words));
      }
    }
  }
  return faults;
}

}  // namespace holeward::testing_tools
