// What filled-in results decide, as it is handed over, and the table they are filled into.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/result_json.h"
#include "models/condition.h"

namespace holeward {

/// One vehicle's decision in words.
struct VehicleOut {
  std::string vehicle;
  std::optional<int> decision;  ///< its number from the top of the flow, from 1; none: not decided
  std::string when;             ///< the decision's condition and what to do
  std::string then;
  std::vector<std::string> missing;  ///< not decided: "result of left P1"
};

/// The document of `decide`. `when` and `then` are left out where nothing is decided.
[[nodiscard]] Json DecideJson(const ResultHead& head, const std::vector<VehicleOut>& vehicles);

/// A row of the table to fill in.
struct BlankResult {
  TestPlace place;
  std::string part;
};

/// results.csv (RFC 4180): a record a test point and side; vehicle, result and remaining thickness
/// are left to be filled in.
[[nodiscard]] std::string BlankResultsCsv(const std::vector<BlankResult>& rows);

}  // namespace holeward
