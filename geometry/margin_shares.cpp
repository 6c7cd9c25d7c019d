#include "geometry/margin_shares.h"

#include <cmath>

namespace holeward {

std::vector<double> VarianceAlone(std::size_t errors, std::uint64_t poses,
                                  const MarginOfOne& margin) {
  std::vector<double> variances;
  for (std::size_t error = 0; error < errors; ++error) {
    // Welford's running mean and sum of squares (Technometrics 4 (1962) 419).
    double count = 0.0;
    double mean = 0.0;
    double squares = 0.0;
    for (std::uint64_t pose = 0; pose < poses; ++pose) {
      const double value = margin(pose, error);
      if (!std::isfinite(value)) continue;
      count += 1.0;
      const double off = value - mean;
      mean += off / count;
      squares += off * (value - mean);
    }
    variances.push_back(count > 1.0 ? squares / (count - 1.0) : 0.0);
  }
  return variances;
}

void FillVarianceShares(std::vector<MarginShare>& shares) {
  double sum = 0.0;
  for (const MarginShare& share : shares) sum += share.variance;
  for (MarginShare& share : shares) share.variance_share = sum > 0.0 ? share.variance / sum : 0.0;
}

}  // namespace holeward
