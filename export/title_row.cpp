#include "export/title_row.h"

#include <algorithm>

#include "export/lettering.h"

namespace holeward {

Box DrawTitleRow(const Box& row, const std::vector<TitleCell>& cells, Drawing* drawing) {
  const auto room = [&](const TitleCell& cell) {
    return row.Size().x() * cell.share - 2.0 * kTitlePad;
  };
  double height = kText35;
  for (const TitleCell& cell : cells) {
    height = std::min(height, FitText(cell.words, room(cell), {kText35, kText25}, true).height);
  }
  Box box = row;
  box.high.x() = row.low.x();
  for (const TitleCell& cell : cells) {
    box.low.x() = box.high.x();
    box.high.x() += row.Size().x() * cell.share;
    drawing->AddBox(Group::frame, box);
    const double left = box.low.x() + kTitlePad;
    const FittedText caption = FitText(cell.caption, room(cell), {kText18});
    drawing->Add(Group::text, TextAt(caption.words, {left, box.high.y() - 0.9 - kText18}, kText18));
    const FittedText words = FitText(cell.words, room(cell), {height, kText18}, true);
    drawing->Add(Group::text, TextAt(words.words, {left, box.low.y() + 1.2}, words.height, true));
  }
  return box;
}

}  // namespace holeward
