// The document of `fit`: what the bench readings of the parts gave.
#pragma once

#include <string>
#include <vector>

#include "export/result_json.h"
#include "models/bench.h"
#include "models/bench_other_side.h"
#include "models/next_reading.h"

namespace holeward {

/// The fit of one part, by its name.
struct FitOut {
  std::string part;
  const BenchFit* fit = nullptr;
  const BenchComparison* compared = nullptr;  ///< a sample of the other side; null: of this one
};

/// The document of `fit`: each reading with its fitted value, residual, standardized residual,
/// redundancy and the least error its test finds (left out where nothing checks it); the suspects;
/// every size with its standard deviation; where a sample of the other side differs. Lengths in mm,
/// weights in kg.
/// Errors: a number that is not finite (names the key).
/// @param next the reading worth taking for the worst hole; or null
[[nodiscard]] Result<Json> FitJson(const ResultHead& head, const std::vector<FitOut>& fits,
                                   const MarginAdvice* next = nullptr);

}  // namespace holeward
