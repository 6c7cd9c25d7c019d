// What eats the margin: each error's share, by worst case and by variance.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace holeward {

/// One error's share.
struct MarginShare {
  std::string error;  ///< the job's word: "tilt"
  std::string words;  ///< for people: "tilt, 4° off the intended axis"
  /// Worst margin with this error set to zero, all else as it is, mm; nothing: not computed.
  std::optional<double> margin_without;
  double gain = 0.0;            ///< margin_without less the worst margin; 0 without it
  double variance = 0.0;        ///< of the margin with this error alone, mm²
  double variance_share = 0.0;  ///< its part of the sum over all errors, 0 .. 1
};

/// Margin of pose `pose` when only error `error` is drawn, all others at nominal, mm.
using MarginOfOne = std::function<double(std::uint64_t pose, std::size_t error)>;

/// Variance of the margin under each error alone, mm²: first-order effects by Monte Carlo, one
/// error at a time (Saltelli et al., Global Sensitivity Analysis (2008), 1.2). Poses whose margin
/// is not a number are left out.
[[nodiscard]] std::vector<double> VarianceAlone(std::size_t errors, std::uint64_t poses,
                                                const MarginOfOne& margin);

/// Normalises `variance` into `variance_share`; all 0 where no error moves the margin.
void FillVarianceShares(std::vector<MarginShare>& shares);

}  // namespace holeward
