// Which reading is most likely misread: Baarda's data snooping. The readings are adjusted, the one
// that stands out most is left out, and so on until none stands out; what was left out comes back
// if the rest then agrees with it.
//
// Source: W. Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic
// Commission, Publications on Geodesy 2, no. 5 (1968); P. J. G. Teunissen, Testing Theory (2000).
#pragma once

#include <vector>

#include "geometry/adjust.h"

namespace holeward {

/// A standardized residual beyond this stands out: two-sided level 0.001, Baarda's choice.
inline constexpr double kStandsOut = 3.29;

/// A reading the others contradict.
struct SuspectReading {
  Eigen::Index reading = 0;
  double standardized = 0.0;  ///< when it was found, the others adjusted with it
  double probable = 0.0;      ///< what the others say it was
  double probable_sigma = 0.0;
  /// Readings that may be the misread one in its place: their tests are tied and nearly as far off.
  /// Not empty: which of them is misread is not known.
  std::vector<Eigen::Index> rivals;
};

struct Snooping {
  Adjustment adjustment;  ///< of the readings that agree
  std::vector<SuspectReading> suspects;
  /// The readings that are left still disagree: more is wrong than can be named.
  bool contradicting = false;
  /// Where the misread one could be another: the fits that result if it was that one instead.
  std::vector<Adjustment> otherwise;

  /// Where unknown k lies, so many standard deviations to either side: of the fit, and of every
  /// other that the readings allow.
  struct Interval {
    double low = 0.0;
    double high = 0.0;
  };
  [[nodiscard]] Interval IntervalOf(Eigen::Index k, double deviations) const;
};

/// Adjusts, robustly first, and names the readings that stand out; where they are several, also by
/// least squares from the start, and the explanation with fewer wrong readings is taken.
/// Errors: as Adjust.
[[nodiscard]] tl::expected<Snooping, AdjustFailure> Snoop(const AdjustProblem& problem);

}  // namespace holeward
