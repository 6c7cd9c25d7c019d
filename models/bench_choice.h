// Which readings are worth taking: judged by what they do to the fit, before they are taken.
#pragma once

#include <vector>

#include "models/bench.h"
#include "models/bench_model.h"

namespace holeward {

/// Every spare reading a person could take of a part with these rows, by its usual instrument.
[[nodiscard]] std::vector<BenchReading> PossibleReadings(const PartRow& part,
                                                         const BenchSheet& sheet);

/// Half-widths of a fit: sizes by their standard deviation, three times over; of a fit that could
/// be otherwise wide enough for each.
struct BenchWidths {
  double outline = 0.0;
  double wall = 0.0;
};

/// A reading that could be taken, and how well the sizes would then be known.
struct BenchOffer {
  BenchReading reading;
  BenchWidths then;
};

/// Every possible reading of a fitted part, with what it would bring.
[[nodiscard]] std::vector<BenchOffer> OffersOf(const PartRow& part, const BenchSheet& sheet,
                                               Side described, const Adjustment& fit);

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

[[nodiscard]] BenchWidths WidthsOf(const std::vector<BenchUnknown>& unknowns,
                                   const Snooping& found);
[[nodiscard]] BenchWidths WidthsOf(const std::vector<BenchUnknown>& unknowns,
                                   const Eigen::MatrixXd& covariance);

/// What marking.outline and marking.wall come to for a fit whose sizes are known this well: with
/// the spread from sample to sample, the shape between rows, and the thinnest wall that was read.
[[nodiscard]] HalfWidth OutlineOf(const BenchFit& fit, const BenchWidths& widths);
[[nodiscard]] HalfWidth WallErrorOf(const BenchFit& fit, const BenchWidths& widths);

/// The true value lies within so many standard deviations of a fitted one for the checks: they take
/// half-widths for bounds, and 3 leaves out 3 in 1000 (normal).
inline constexpr double kBenchCover = 3.0;

}  // namespace holeward
