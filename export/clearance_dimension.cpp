#include "export/clearance_dimension.h"

#include <algorithm>
#include <cmath>

#include "export/clearance_frame.h"
#include "export/lettering.h"

namespace holeward {
namespace {

constexpr double kArrow = 2.5;       ///< length of an arrowhead, mm
constexpr double kArrowHalf = 0.42;  ///< half its breadth
constexpr double kLine = 3.9;        ///< from base line to base line

}  // namespace

void DrawArrowhead(const Vec2& tip, const Vec2& way, Drawing* drawing) {
  const Vec2 back = tip - kArrow * way;
  const Vec2 across(-way.y(), way.x());
  drawing->Add(Group::mark,
               Fill{{tip, back + kArrowHalf * across, back - kArrowHalf * across}, Ink::black});
}

std::vector<Box> DrawLevels(const LevelColumn& column, const std::vector<Level>& levels,
                            Drawing* drawing) {
  std::vector<Box> boxes;
  double free = 1e9;  // the lettering above ends here
  for (const Level& level : levels) {
    if (column.from < column.line) {
      drawing->AddLine(Group::mark, {column.from, level.y}, {column.line + 1.0, level.y},
                       kHairWidth);
    }
    double y = std::min(level.y - kText25 / 2.0, free - kLine);
    const double middle = y + kText25 / 2.0;
    drawing->Add(Group::mark, Stroke{{{column.line + 1.0, level.y}, {column.words - 0.8, middle}},
                                     kHairWidth,
                                     LineType::continuous,
                                     false});
    for (const std::string& words : level.words) {
      Letter(words, {column.words, y}, kText25, drawing);
      boxes.push_back({{column.words, y}, {column.words + TextWidth(words, kText25), y + kText25}});
      free = y;
      y -= kLine;
    }
  }
  return boxes;
}

void DrawUpright(double x, double from, double to, Drawing* drawing) {
  const double high = std::max(from, to);
  const double low = std::min(from, to);
  const bool inside = high - low >= 2.0 * kArrow + 1.0;
  const double beyond = inside ? 0.0 : kArrow + 2.0;
  drawing->AddLine(Group::mark, {x, low - beyond}, {x, high + beyond}, kNarrowWidth);
  const Vec2 up = Vec2::UnitY();
  DrawArrowhead({x, high}, inside ? up : Vec2(-up), drawing);
  DrawArrowhead({x, low}, inside ? Vec2(-up) : up, drawing);
}

}  // namespace holeward
