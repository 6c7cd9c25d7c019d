// How likely a hole goes wrong: Monte Carlo over a margin function, the same bytes on any number of
// threads.
//
//   Result<Chance> chance = ChanceOf([&](std::uint64_t pose) { return margin of that pose; }, {});
//
// The k-th pose is whatever the caller makes of number k (geometry/random.h draws by counter).
// Propagation of distributions: JCGM 101:2008, clause 7. Upper bound on the probability: Clopper
// and Pearson, Biometrika 26 (1934) 404, one-sided at 95 %.
#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "geometry/result.h"

namespace holeward {

/// Regularised incomplete beta function I_x(a, b), x in [0, 1], a, b > 0. Continued fraction by
/// Lentz's method (Numerical Recipes 6.4; DLMF 8.17.22).
[[nodiscard]] double IncompleteBeta(double a, double b, double x);
/// The x at which I_x(a, b) = p.
[[nodiscard]] double BetaQuantile(double a, double b, double p);
/// The least probability that `events` of `trials` excludes with 95 % confidence: the greatest one
/// under which so few events still have a probability of 5 %. 0 of n: 1 - 0.05^(1/n); n of n: 1.
[[nodiscard]] double UpperBound95(std::uint64_t events, std::uint64_t trials);

/// A share of the poses has a margin at or below this.
struct MarginQuantile {
  double share = 0.0;   ///< 0 .. 1
  double margin = 0.0;  ///< mm
};

/// Poses by margin, in equal bins.
struct MarginHistogram {
  double from = 0.0;   ///< lower edge of the first bin, mm
  double width = 0.0;  ///< of a bin, mm
  std::vector<std::uint64_t> counts;
};

struct Chance {
  std::uint64_t poses = 0;      ///< poses drawn and decided
  std::uint64_t computed = 0;   ///< those whose margin was computed, from the first on
  std::uint64_t contacts = 0;   ///< margin below 0, undecided ones included
  std::uint64_t undecided = 0;  ///< the margin could not be computed: counted as contact
  double value = 0.0;           ///< contacts / poses
  double upper_95 = 1.0;        ///< Clopper and Pearson
  /// What follows is of the computed poses. Mean of the margin, undecided ones left out, mm.
  double mean = 0.0;
  double deviation = 0.0;  ///< standard deviation of the margin, mm
  double least = 0.0;      ///< least margin seen, mm
  std::uint64_t least_pose = 0;
  std::vector<MarginQuantile> quantiles;
  MarginHistogram histogram;
};

struct ChanceQuestion {
  std::uint64_t poses = 1'000'000;
  int threads = 0;  ///< 0: as many as the machine has
  int bins = 40;    ///< of the histogram
  std::vector<double> shares{0.0001, 0.001, 0.025, 0.05, 0.5, 0.95, 0.975};  ///< of the quantiles
  /// True if a certified bound shows that no pose that can be drawn has a margin below 0: then all
  /// are decided without contact and only the first `sample` are computed, for the distribution. A
  /// computed one below 0 is an error all the same.
  bool proven_clear = false;
  std::uint64_t sample = 20'000;
  /// Called from the calling thread now and then with the share done; false stops the run.
  std::function<bool(double)> progress;
};

/// Margin of a pose, mm; not a number: it could not be computed. Called from several threads.
using MarginOf = std::function<double(std::uint64_t pose)>;

/// Errors (computed): no poses; stopped by `progress`; every margin undecided; a margin below 0
/// though none was to be.
[[nodiscard]] Result<Chance> ChanceOf(const MarginOf& margin, const ChanceQuestion& question);

}  // namespace holeward
