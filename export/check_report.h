// The check report: plain text (UTF-8) in aligned columns, everything a verdict rests on beside it.
#pragma once

#include <string>
#include <vector>

#include "export/result_json.h"
#include "export/result_rows.h"

namespace holeward {

/// Where a template's mark lands when the sheet is laid back on the skin.
struct WrapRow {
  std::string sheet;
  Side side = Side::left;
  std::string mark;
  double error = 0.0;  ///< mm from its true place
};

/// Where a piece of a template fits and should not.
struct MisfitRow {
  std::string sheet;
  Side side = Side::left;
  std::string piece;
  std::vector<std::string> places;  ///< in words, as on the sheet
};

/// What the report is made from.
struct CheckReportInput {
  ResultHead head;
  std::string date;  ///< YYYY-MM-DD
  std::string posture;
  std::vector<Side> sides;
  Basics basics;
  std::vector<HoleOut> holes;
  std::vector<PointCheckOut> points;
  std::vector<WrapRow> wraps;      ///< of the templates; none where they were not made
  std::vector<MisfitRow> misfits;  ///< of the templates, likewise
  Verdict overall = Verdict::unproven;
  std::vector<std::string> not_checked;  ///< sentences
  std::vector<std::string> cautions;     ///< empty: StandardCautions()
};

/// The whole report. The verdict stands at its head in words, the reasons for every verdict that is
/// not clear in sentences; lines end with a line feed.
/// Errors: a number that is not finite (names hole or point).
[[nodiscard]] Result<std::string> CheckReport(const CheckReportInput& input);

/// Rows of text set in aligned columns, two blanks between them; the first row is the header and
/// gets a rule below it. A column is set to the right if all its entries below the header are
/// numbers or "-". Counts characters, not bytes.
[[nodiscard]] std::string Columns(const std::vector<std::vector<std::string>>& rows);

}  // namespace holeward
