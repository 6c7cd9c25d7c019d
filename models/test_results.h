// The results of filled-in record sheets, as a table (RFC 4180), and what they decide.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "models/job.h"
#include "models/job_reader.h"

namespace holeward {

/// What one vehicle's record holds.
struct VehicleResults {
  std::string vehicle;  ///< what the table calls it; may be empty
  TestEntries entries;
};

/// A table of results, or what is wrong with it.
struct ResultsReading {
  std::vector<VehicleResults> vehicles;  ///< in the order of the table
  std::vector<JobError> errors;          ///< each with its place in the table
  bool unreadable = false;               ///< the file could not be opened or read
};

/// Reads a table of results: a head that names its columns (point, side and result are needed;
/// vehicle and remaining_mm are known; a column `part` is for the reader alone), then one record a
/// test point and side, in any order. `result` is pass, fail, not tested or empty; `remaining_mm` a
/// thickness or empty. Errors: any other column or value, a point or side that the job does not
/// test, a record given twice.
[[nodiscard]] ResultsReading ReadResultsText(std::string_view text, const Job& job);

/// The same from a file.
[[nodiscard]] ResultsReading ReadResultsFile(const std::string& path, const Job& job);

/// Every test point of every side that the job makes, in the order of the job.
[[nodiscard]] std::vector<TestPlace> TestPlaces(const Job& job);

/// What a vehicle's results come to.
struct VehicleDecision {
  std::optional<std::size_t> decision;  ///< index into the job's; nothing: not decided
  std::vector<TestPlace> missing;       ///< not decided: the entries that lack a result
  std::vector<TestPlace> no_remaining;  ///< not decided: tested, without the thickness asked for
};

/// The first decision from the top whose condition holds. Where a condition hangs on an entry that
/// is missing, nothing is decided.
[[nodiscard]] VehicleDecision Decide(const Job& job, const TestEntries& entries);

}  // namespace holeward
