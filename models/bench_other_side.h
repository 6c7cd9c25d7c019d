// Two samples of a part beside each other: where one differs from the other, or from its mirror
// image, by more than the readings explain.
#pragma once

#include <string>
#include <vector>

#include "models/bench.h"

namespace holeward {

/// A size of the second sample that is not that of the first.
struct BenchDifference {
  std::string what;        ///< "width of row 2"
  double first = 0.0;      ///< of the first sample at the same distance, mm
  double second = 0.0;     ///< mm
  double explained = 0.0;  ///< three standard deviations of the difference, mm
};

struct BenchComparison {
  std::vector<BenchDifference> differences;  ///< beyond what is explained
  int compared = 0;                          ///< sizes looked at
  std::string failure;                       ///< why nothing was compared, or empty
};

/// Compares the fitted sizes of two samples row by row. The words of a bench are the vehicle's, so
/// a sample of the other side is compared as its mirror image. How a sample lay on the bench does
/// not count: the best straight line of places across and heights is taken out first.
[[nodiscard]] BenchComparison Compare(const BenchFit& first, const BenchFit& second);

}  // namespace holeward
