// Which reading of a sample would buy the most margin at the hole that is worst.
#pragma once

#include <optional>
#include <string>

#include "models/bench_reading.h"
#include "models/job.h"

namespace holeward {

/// The worst hole, and the reading worth taking for it.
struct MarginAdvice {
  std::string point;
  int stage = 1;
  double margin = 0.0;  ///< worst margin now, mm
  std::string part;     ///< whose reading it is
  std::string what;     ///< "2 width with the caliper"; empty: no reading adds 0.01 mm
  double gain = 0.0;    ///< what the reading would add to the margin, mm
};

/// Checks the holes of the described side and, at the one with the least worst margin, what each
/// possible reading of each bench part would add: the check is run again with the marking errors
/// that the fit would then leave.
/// @param read a job without errors
/// @return nothing where no hole has a margin, or no part a bench
[[nodiscard]] std::optional<MarginAdvice> NextReadingAtWorst(const JobWithBenches& read);

}  // namespace holeward
