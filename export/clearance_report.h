// The engineer's report on clearance: verdicts with everything they rest on, then a page or more
// for each stage of each hole. Vector only; black ink alone says everything.
#pragma once

#include <string>
#include <vector>

#include "export/clearance_input.h"
#include "export/clearance_section.h"
#include "export/drawing.h"
#include "geometry/result.h"

namespace holeward {

/// Where a section came to lie.
struct ReportSection {
  std::string point;
  int stage = 1;
  int page = 1;
  DrawnSection drawn;
};

struct ClearanceReport {
  std::vector<Drawing> pages;  ///< A4, for ToPdf
  std::vector<ReportSection> sections;
};

/// Draws the report: first the verdicts of all holes and points with the governing body and worst
/// margin, reasons, limits, half-widths and bases, what was not checked, cautions and who decides;
/// then the holes. Every page carries NOT RELEASED unless the input is released.
/// Errors (computed): a number that is not finite (names hole or point and what it is).
[[nodiscard]] Result<ClearanceReport> MakeClearanceReport(const ClearanceReportInput& input);

/// What the report says of strength and of who decides, one sentence each.
[[nodiscard]] std::vector<std::string> WhoDecides();

/// Name of the first hole or point with a number that is not finite, and what it is; or empty.
[[nodiscard]] std::string FirstNotFinite(const ClearanceReportInput& input);

}  // namespace holeward
