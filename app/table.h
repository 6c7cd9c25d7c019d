// Tables for a terminal: aligned columns with units in their heads, right whatever the letters.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "geometry/checked.h"

namespace holeward {

/// Number of terminal cells a UTF-8 text takes: combining marks none, wide East Asian signs two.
/// A byte that is not UTF-8 counts as one.
[[nodiscard]] int DisplayWidth(std::string_view utf8);

/// The text with control characters (escape sequences of a terminal among them) and bytes that are
/// not UTF-8 replaced by U+FFFD, so that a name from a job cannot steer the terminal.
[[nodiscard]] std::string Printable(std::string_view utf8);

/// A length for people: fixed decimals, no "-0.0".
[[nodiscard]] std::string Decimal(double value, int decimals);

/// The text folded at blanks so that no line is wider than `width` cells, words alone excepted;
/// lines after the first begin with `indent`.
[[nodiscard]] std::string Folded(std::string_view text, int width, std::string_view indent = "  ");

enum class Align { left, right };

struct TableColumn {
  std::string title;  ///< may hold line ends; the lines stand over each other
  std::string unit;   ///< "mm", "deg"; printed under the title; may be empty
  Align align = Align::left;
};

/// A cell's text; one that holds a verdict may be coloured, its word always stays.
struct Cell {
  std::string text;
  bool is_verdict = false;
  Verdict verdict = Verdict::unproven;

  // A row is written as a list of texts and verdicts.
  // NOLINTBEGIN(google-explicit-constructor)
  Cell(std::string words) : text(std::move(words)) {}
  Cell(const char* words) : text(words) {}
  Cell(Verdict v) : text(Word(v)), is_verdict(true), verdict(v) {}
  // NOLINTEND(google-explicit-constructor)
};

/// Rows under heads.
class Table {
 public:
  explicit Table(std::vector<TableColumn> columns) : columns_(std::move(columns)) {}

  /// Adds a row; cells that are missing stay empty, cells beyond the last column are a bug.
  void Row(std::vector<Cell> cells);

  /// The table as text, every line ended, no trailing blanks.
  /// @param colour true to colour verdicts (ANSI sequences)
  [[nodiscard]] std::string Text(bool colour) const;

 private:
  [[nodiscard]] std::vector<int> Widths() const;
  [[nodiscard]] bool HasUnits() const;
  [[nodiscard]] std::string Heads(const std::vector<int>& widths) const;
  [[nodiscard]] std::string Line(const std::vector<Cell>& cells, const std::vector<int>& widths,
                                 bool colour) const;

  std::vector<TableColumn> columns_;
  std::vector<std::vector<Cell>> rows_;
};

/// A verdict's word, coloured if asked for.
[[nodiscard]] std::string Coloured(Verdict verdict, std::string_view word, bool colour);

}  // namespace holeward
