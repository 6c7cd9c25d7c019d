#include "export/clearance_flow.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "export/clearance_frame.h"
#include "export/lettering.h"

namespace holeward {
namespace {

constexpr double kSize = kText25;
constexpr double kLine = kSize * 1.6;
constexpr double kHeadingSize = kText35;
constexpr double kColumnGap = 3.0;
constexpr double kLeastColumn = 9.0;
constexpr double kRuleGap = 1.6;  ///< between ruled rows

using Cells = std::vector<std::vector<std::string>>;  ///< lines of each cell of a row

/// Widest word of a text: a column narrower than that would break it.
double WidestWord(const std::string& text, bool bold) {
  double widest = 0.0;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t space = std::min(text.find(' ', at), text.size());
    widest = std::max(widest, TextWidth(text.substr(at, space - at), kSize, bold));
    at = space + 1;
  }
  return widest;
}

/// What the widths of a table's columns are found from.
struct ColumnTexts {
  std::vector<double> header;             ///< widths of the header's texts, set on one line
  std::vector<std::vector<double>> rows;  ///< likewise of each row's
  std::vector<double> least;              ///< no narrower: the widest word
};

ColumnTexts Measured(const FlowTable& table, double room) {
  const std::size_t count = table.header.size();
  ColumnTexts texts;
  texts.least.assign(count, kLeastColumn);
  const auto look = [&](std::size_t c, const std::string& text, bool bold) {
    // A header breaks between words before a column widens for it.
    texts.least[c] = std::max(texts.least[c], std::min(WidestWord(text, bold) + 0.1, room / 3.0));
    return TextWidth(text, kSize, bold) + 0.1;
  };
  for (std::size_t c = 0; c < count; ++c) texts.header.push_back(look(c, table.header[c], true));
  for (const auto& row : table.rows) {
    std::vector<double>& widths = texts.rows.emplace_back();
    for (std::size_t c = 0; c < count; ++c) widths.push_back(look(c, row[c], false));
  }
  return texts;
}

/// About how many lines a text takes: breaking between words leaves some of each line free.
double LinesIn(double text, double width) {
  return text <= width ? 1.0 : std::ceil(1.0 + 1.12 * (text - width) / width);
}

/// About how high the table becomes, in lines; the sum of all cells' lines tells apart what is
/// equally high.
double LinesOf(const ColumnTexts& texts, const std::vector<double>& widths) {
  constexpr double kTieBreak = 1e-3;
  double lines = 0.0;
  const auto add = [&](const std::vector<double>& row) {
    double most = 1.0;
    for (std::size_t c = 0; c < row.size(); ++c) {
      const double here = LinesIn(row[c], widths[c]);
      most = std::max(most, here);
      lines += kTieBreak * here;
    }
    lines += most;
  };
  add(texts.header);
  for (const auto& row : texts.rows) add(row);
  return lines;
}

/// Widths of the columns: as wide as their texts if that fits, else those give way that cost the
/// fewest lines, down to their widest words where possible.
std::vector<double> ColumnWidths(const FlowTable& table, double room) {
  constexpr double kStep = 2.0;
  const std::size_t count = table.header.size();
  const ColumnTexts texts = Measured(table, room);
  std::vector<double> widths = texts.least;
  for (const auto& row : texts.rows) {
    for (std::size_t c = 0; c < count; ++c) widths[c] = std::max(widths[c], row[c]);
  }
  room -= kColumnGap * static_cast<double>(count - 1);
  for (double over = std::accumulate(widths.begin(), widths.end(), 0.0) - room; over > 1e-9;) {
    std::size_t best = count;
    double fewest = std::numeric_limits<double>::infinity();
    for (std::size_t c = 0; c < count; ++c) {
      if (widths[c] <= texts.least[c] + 1e-9) continue;
      std::vector<double> tried = widths;
      tried[c] = std::max(texts.least[c], widths[c] - kStep);
      // Of columns that cost the same, the widest.
      const double lines = LinesOf(texts, tried) - 1e-6 * widths[c];
      if (lines >= fewest) continue;
      fewest = lines;
      best = c;
    }
    if (best == count) {  // even the words do not fit: all alike give way
      for (double& width : widths) width *= room / (room + over);
      break;
    }
    const double by = std::min({over, widths[best] - texts.least[best], kStep});
    widths[best] -= by;
    over -= by;
  }
  return widths;
}

Cells Broken(const std::vector<std::string>& row, const std::vector<double>& widths, bool bold) {
  Cells cells;
  for (std::size_t c = 0; c < row.size(); ++c) {
    cells.push_back(WrapText(row[c], widths[c], kSize, bold));
  }
  return cells;
}

double HeightOf(const Cells& cells) {
  std::size_t lines = 1;
  for (const auto& cell : cells) lines = std::max(lines, cell.size());
  return static_cast<double>(lines) * kLine;
}

}  // namespace

Flow::Flow(std::function<FlowArea()> next) : next_(std::move(next)) {
  area_ = next_();
  y_ = area_.box.high.y();
}

bool Flow::Fits(double height) const { return y_ - height >= area_.box.low.y(); }

void Flow::Break() {
  if (y_ >= area_.box.high.y()) return;
  area_ = next_();
  y_ = area_.box.high.y();
}

void Flow::Need(double height) {
  if (!Fits(height)) Break();
}

void Flow::Heading(const std::string& words) {
  Need(kHeadingSize * 2.2 + 3.0 * kLine);  // with the beginning of what it stands over
  if (y_ < area_.box.high.y()) y_ -= kHeadingSize * 0.6;
  for (const std::string& line : WrapText(words, area_.box.Size().x(), kHeadingSize, true)) {
    y_ -= kHeadingSize;
    BoldLetter(line, {area_.box.low.x(), y_}, kHeadingSize, area_.drawing);
    y_ -= kHeadingSize * 0.6;
  }
}

void Flow::Paragraph(const std::string& words, bool bold) {
  const auto lines = WrapText(words, area_.box.Size().x(), kSize, bold);
  // Two lines at least stay together.
  Need(kLine * static_cast<double>(std::min<std::size_t>(lines.size(), 2)));
  for (const std::string& line : lines) {
    Need(kLine);
    const Vec2 at(area_.box.low.x(), y_ - kSize);
    bold ? BoldLetter(line, at, kSize, area_.drawing) : Letter(line, at, kSize, area_.drawing);
    y_ -= kLine;
  }
  y_ -= kLine * 0.25;
}

FlowArea Flow::Block(double height) {
  Need(height);
  const Box box{{area_.box.low.x(), y_ - height}, {area_.box.high.x(), y_}};
  y_ -= height;
  return {area_.drawing, box};
}

double Flow::RowAt(const Cells& cells, const FlowTable& table, const std::vector<double>& widths,
                   bool bold) {
  double x = area_.box.low.x();
  for (std::size_t c = 0; c < cells.size(); ++c) {
    const bool right = table.right[c];
    double y = y_ - kSize;
    for (const std::string& line : cells[c]) {
      const Vec2 at(right ? x + widths[c] : x, y);
      const AlignX align = right ? AlignX::right : AlignX::left;
      bold ? BoldLetter(line, at, kSize, area_.drawing, align)
           : Letter(line, at, kSize, area_.drawing, align);
      y -= kLine;
    }
    x += widths[c] + kColumnGap;
  }
  y_ -= HeightOf(cells);
  return x - kColumnGap;
}

void Flow::Table(const FlowTable& table) {
  const std::vector<double> widths = ColumnWidths(table, area_.box.Size().x());
  const bool headed = std::any_of(table.header.begin(), table.header.end(),
                                  [](const std::string& words) { return !words.empty(); });
  const Cells header = Broken(table.header, widths, true);
  const auto head = [&] {
    if (!headed) return;
    const double end = RowAt(header, table, widths, true);
    area_.drawing->AddLine(Group::frame, {area_.box.low.x(), y_}, {end, y_}, kNarrowWidth);
    y_ -= kLine * 0.3;
  };
  Need((headed ? HeightOf(header) : 0.0) + kLine * 2.0);
  head();
  bool first = true;  // row below a header
  double end = 0.0;   // of the row above
  for (const auto& row : table.rows) {
    const Cells cells = Broken(row, widths, false);
    if (!Fits(HeightOf(cells) + (table.ruled ? kRuleGap : 0.0))) {
      Break();
      head();
      first = true;
    }
    if (table.ruled && !first) {
      area_.drawing->AddLine(Group::frame, {area_.box.low.x(), y_ - kRuleGap * 0.05},
                             {end, y_ - kRuleGap * 0.05}, kHairWidth);
      y_ -= kRuleGap;
    }
    end = RowAt(cells, table, widths, false);
    first = false;
  }
  y_ -= kLine * 0.4;
}

}  // namespace holeward
