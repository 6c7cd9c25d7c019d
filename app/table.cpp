#include "app/table.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdint>

#include <fmt/format.h>

namespace holeward {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";
constexpr std::string_view kGap = "  ";

/// A character and the bytes it took; `valid` is false for a byte that is not UTF-8.
struct Decoded {
  std::uint32_t code = 0;
  std::size_t bytes = 1;
  bool valid = false;
};

/// Least code that needs so many bytes: shorter forms of it are not UTF-8 (RFC 3629, section 3).
constexpr std::array<std::uint32_t, 5> kLeastCode = {0, 0, 0x80, 0x800, 0x10000};

Decoded Decode(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned lead = byte(0);
  if (lead < 0x80) {
    return {lead, 1, true};
  }
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || text.size() < length) {
    return {};
  }
  std::uint32_t code = lead & (0xFFU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) {
      return {};
    }
    code = code << 6U | (byte(i) & 0x3FU);
  }
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < kLeastCode[length] || code > 0x10FFFF || surrogate) {
    return {};
  }
  return {code, length, true};
}

struct Range {
  std::uint32_t first;
  std::uint32_t last;
};

template <std::size_t N>
bool In(std::uint32_t code, const std::array<Range, N>& ranges) {
  return std::any_of(ranges.begin(), ranges.end(),
                     [&](const Range& r) { return code >= r.first && code <= r.last; });
}

// The blocks that matter for names; the full tables of Unicode are not worth their size here.
constexpr std::array kZeroWidth = {
    Range{0x0300, 0x036F}, Range{0x1AB0, 0x1AFF}, Range{0x1DC0, 0x1DFF}, Range{0x200B, 0x200F},
    Range{0x20D0, 0x20FF}, Range{0xFE00, 0xFE0F}, Range{0xFE20, 0xFE2F}, Range{0xFEFF, 0xFEFF}};
constexpr std::array kWide = {
    Range{0x1100, 0x115F},   Range{0x2E80, 0x303E},   Range{0x3041, 0xA4CF},  Range{0xAC00, 0xD7A3},
    Range{0xF900, 0xFAFF},   Range{0xFE30, 0xFE6F},   Range{0xFF00, 0xFF60},  Range{0xFFE0, 0xFFE6},
    Range{0x1F300, 0x1F64F}, Range{0x1F900, 0x1F9FF}, Range{0x20000, 0x3FFFD}};
// C0, DEL and C1 controls, and the signs that turn the direction of a line.
constexpr std::array kControl = {Range{0x00, 0x1F}, Range{0x7F, 0x9F}, Range{0x202A, 0x202E},
                                 Range{0x2066, 0x2069}};

std::string Padded(const std::string& text, int width, Align align) {
  const std::string blanks(static_cast<std::size_t>(std::max(0, width - DisplayWidth(text))), ' ');
  return align == Align::right ? blanks + text : text + blanks;
}

std::vector<std::string> LinesOf(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t from = 0;
  for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', from)) {
    lines.push_back(text.substr(from, at - from));
    from = at + 1;
  }
  lines.push_back(text.substr(from));
  return lines;
}

}  // namespace

int DisplayWidth(std::string_view utf8) {
  int width = 0;
  while (!utf8.empty()) {
    const Decoded c = Decode(utf8);
    utf8.remove_prefix(c.bytes);
    if (c.valid && In(c.code, kZeroWidth)) {
      continue;
    }
    width += c.valid && In(c.code, kWide) ? 2 : 1;
  }
  return width;
}

std::string Printable(std::string_view utf8) {
  std::string out;
  while (!utf8.empty()) {
    const Decoded c = Decode(utf8);
    const bool fit = c.valid && !In(c.code, kControl);
    out += fit ? utf8.substr(0, c.bytes) : kReplacement;
    utf8.remove_prefix(c.bytes);
  }
  return out;
}

std::string Folded(std::string_view text, int width, std::string_view indent) {
  std::string out;
  int column = 0;
  while (!text.empty()) {
    const std::string_view word = text.substr(0, text.find(' '));
    text.remove_prefix(std::min(word.size() + 1, text.size()));
    const int cells = DisplayWidth(word);
    if (column > 0 && column + 1 + cells > width) {
      out += fmt::format("\n{}", indent);
      column = DisplayWidth(indent);
    } else if (column > 0) {
      out += ' ';
      ++column;
    }
    out += word;
    column += cells;
  }
  return out;
}

std::string Decimal(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) {
    text.erase(0, 1);
  }
  return text;
}

std::string Coloured(Verdict verdict, std::string_view word, bool colour) {
  if (!colour) {
    return std::string(word);
  }
  int code = 35;
  switch (verdict) {
    case Verdict::clear: code = 32; break;
    case Verdict::tight: code = 33; break;
    case Verdict::unproven: code = 35; break;
    case Verdict::contact: code = 31; break;
  }
  return fmt::format("\x1b[1;{}m{}\x1b[0m", code, word);
}

void Table::Row(std::vector<Cell> cells) {
  assert(cells.size() <= columns_.size());
  for (Cell& cell : cells) {
    cell.text = Printable(cell.text);
  }
  cells.resize(columns_.size(), Cell(""));
  rows_.push_back(std::move(cells));
}

bool Table::HasUnits() const {
  return std::any_of(columns_.begin(), columns_.end(),
                     [](const TableColumn& column) { return !column.unit.empty(); });
}

std::vector<int> Table::Widths() const {
  std::vector<int> widths;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    int width = DisplayWidth(columns_[i].unit);
    for (const std::string& line : LinesOf(columns_[i].title)) {
      width = std::max(width, DisplayWidth(line));
    }
    for (const auto& row : rows_) {
      width = std::max(width, DisplayWidth(row[i].text));
    }
    widths.push_back(width);
  }
  return widths;
}

std::string Table::Line(const std::vector<Cell>& cells, const std::vector<int>& widths,
                        bool colour) const {
  std::string line;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const Cell& cell = cells[i];
    std::string padded = Padded(cell.text, widths[i], columns_[i].align);
    if (colour && cell.is_verdict) {
      padded.replace(padded.find(cell.text), cell.text.size(),
                     Coloured(cell.verdict, cell.text, true));
    }
    line += i == 0 ? padded : std::string(kGap) + padded;
  }
  line.erase(line.find_last_not_of(' ') + 1);
  return line + '\n';
}

// Titles of fewer lines stand at the bottom, next to their units.
std::string Table::Heads(const std::vector<int>& widths) const {
  std::vector<std::vector<std::string>> titles;
  std::size_t height = 1;
  for (const TableColumn& column : columns_) {
    titles.push_back(LinesOf(column.title));
    height = std::max(height, titles.back().size());
  }
  std::string out;
  for (std::size_t row = 0; row < height; ++row) {
    std::vector<Cell> cells;
    for (const auto& lines : titles) {
      const std::size_t above = height - lines.size();
      cells.emplace_back(row < above ? std::string() : lines[row - above]);
    }
    out += Line(cells, widths, false);
  }
  return out;
}

std::string Table::Text(bool colour) const {
  const std::vector<int> widths = Widths();
  std::vector<Cell> units;
  std::vector<Cell> rules;
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    units.emplace_back(columns_[i].unit);
    rules.emplace_back(std::string(static_cast<std::size_t>(widths[i]), '-'));
  }
  std::string out = Heads(widths);
  if (HasUnits()) {
    out += Line(units, widths, false);
  }
  out += Line(rules, widths, false);
  for (const auto& row : rows_) {
    out += Line(row, widths, colour);
  }
  return out;
}

}  // namespace holeward
