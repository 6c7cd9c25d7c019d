// Which readings are worth taking: judged by what they do to the fit, before they are taken.
#pragma once

#include <vector>

#include "models/bench.h"
#include "models/bench_model.h"

namespace holeward {

/// Every spare reading a person could take of a part with these rows, by its usual instrument.
[[nodiscard]] std::vector<BenchReading> PossibleReadings(const PartRow& part,
                                                         const BenchSheet& sheet);

/// The reading that would narrow the outline and the wall most, if any would by 0.01 mm or more.
/// Both half-widths count at every hole, so it is the one that buys the most margin at the worst.
[[nodiscard]] std::optional<BenchAdvice> NextReading(const PartRow& part, const BenchSheet& sheet,
                                                     Side described, const Adjustment& fit);

/// Spare readings with which a misreading of any of the rows' own shows: taken one by one, each
/// time the one that helps the least checked reading most, until each has a redundancy of `enough`
/// or `most` are taken.
/// @param sizes the unknowns, about; only the design matrix at them counts
[[nodiscard]] std::vector<BenchReading> ChooseSpares(const PartRow& part, const BenchSheet& sheet,
                                                     Side described, std::size_t most,
                                                     double enough = 0.05);

/// Half-widths of a fit: sizes by their standard deviation, three times over.
struct BenchWidths {
  double outline = 0.0;
  double wall = 0.0;
};
[[nodiscard]] BenchWidths WidthsOf(const std::vector<BenchUnknown>& unknowns,
                                   const Eigen::MatrixXd& covariance);

/// The true value lies within so many standard deviations of a fitted one for the checks: they take
/// half-widths for bounds, and 3 leaves out 3 in 1000 (normal).
inline constexpr double kBenchCover = 3.0;

}  // namespace holeward
