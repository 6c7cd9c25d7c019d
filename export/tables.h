// points.csv and holes.csv: RFC 4180, UTF-8, units in the headers.
#pragma once

#include <string>
#include <vector>

#include "export/result_rows.h"
#include "geometry/result.h"

namespace holeward {

/// One field of a CSV record, quoted if it needs to be (RFC 4180, 2.6 and 2.7).
[[nodiscard]] std::string CsvField(const std::string& text);

/// The table of placed points: one record a point and side. Lengths in mm to 0.001, in vehicle
/// axes. Errors: a number that is not finite (names point and column).
[[nodiscard]] Result<std::string> PointsCsv(const std::vector<PointOut>& points);

/// The table of holes: one record a stage and side. A value that does not exist (no stop, nothing
/// met) is an empty field.
/// Errors: a number that is not finite (names hole and column).
[[nodiscard]] Result<std::string> HolesCsv(const std::vector<HoleOut>& holes);

}  // namespace holeward
