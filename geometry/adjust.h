// Adjustment of observations: more readings than unknown sizes, each weighed by its own accuracy,
// brought together by least squares; and how well each reading is checked by the others.
//
//   const auto fit = Adjust(problem, AllOf(problem));
//   fit->standardized[3];   // how far reading 3 stands from what the others make of it
//   fit->redundancy[3];     // 0: nothing checks it; 1: the others say it all
//
// Source: E. M. Mikhail, F. Ackermann, Observations and Least Squares (1976); W. Baarda, A testing
// procedure for use in geodetic networks, Netherlands Geodetic Commission 2 (1968).
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "geometry/result.h"

namespace holeward {

/// What is adjusted: n readings of m unknowns.
struct AdjustProblem {
  Eigen::VectorXd observed;  ///< n
  Eigen::VectorXd sigma;     ///< n, standard deviations before the adjustment, above 0
  Eigen::VectorXd start;     ///< m
  Eigen::VectorXd step;      ///< m, above 0: half the span of the central differences
  /// What the readings would be at x, all finite; nothing where x cannot be.
  std::function<std::optional<Eigen::VectorXd>(const Eigen::VectorXd& x)> model;
  /// The same within a step of an x that can be, where that is less work; none: `model`.
  std::function<std::optional<Eigen::VectorXd>(const Eigen::VectorXd& x)> nearby;
  /// d(reading) / d(unknown) at the start, n x m, where it is known; empty: it is computed.
  Eigen::MatrixXd jacobian;

  [[nodiscard]] Eigen::Index readings() const { return observed.size(); }
  [[nodiscard]] Eigen::Index unknowns() const { return start.size(); }
};

/// One flag a reading: whether it takes part.
using ReadingMask = std::vector<bool>;
[[nodiscard]] ReadingMask AllOf(const AdjustProblem& problem);

/// How the residuals are weighed.
enum class Loss {
  squares,  ///< least squares
  huber,    ///< squares up to 1.5 sigma, straight beyond: a gross error pulls no more than that
};

/// An adjusted set of readings. The a priori sigmas count: nothing is rescaled by the residuals.
struct Adjustment {
  Eigen::VectorXd x;
  Eigen::MatrixXd covariance;  ///< m x m, of x
  Eigen::MatrixXd jacobian;    ///< n x m, d(reading) / d(unknown) at x
  Eigen::VectorXd fitted;      ///< n, left-out readings too
  Eigen::VectorXd residual;    ///< n, observed less fitted
  Eigen::VectorXd redundancy;  ///< n, in [0, 1]; of a left-out reading 1
  /// n: residual by its own standard deviation (Baarda's w); for a left-out reading the residual by
  /// the deviation of its prediction. 0 where nothing checks the reading.
  Eigen::VectorXd standardized;
  ReadingMask used;
  double chi_square = 0.0;  ///< sum of (residual / sigma)² over the readings used
  int freedom = 0;          ///< readings used less unknowns

  /// Standard deviation of unknown k.
  [[nodiscard]] double SigmaOf(Eigen::Index k) const;
  /// Standard deviation of the fitted value of a reading with this gradient (m).
  [[nodiscard]] double SigmaAlong(const Eigen::VectorXd& gradient) const;
  /// Correlation of the standardized residuals of two readings used: near 1 or -1, an error in one
  /// looks like an error in the other.
  [[nodiscard]] double Correlation(const AdjustProblem& problem, Eigen::Index i,
                                   Eigen::Index j) const;
  /// Least error of reading i that its test finds 80 times in 100 (level 0.001); infinite where
  /// nothing checks it.
  [[nodiscard]] double LeastFound(const AdjustProblem& problem, Eigen::Index i) const;
};

/// Redundancy below this counts as none: rounding, or a check too weak to tell anything.
inline constexpr double kNoRedundancy = 1e-3;

/// Why readings could not be adjusted.
struct AdjustFailure {
  enum class Kind { undetermined, impossible, not_settled } kind = Kind::not_settled;
  std::vector<Eigen::Index> unknowns;  ///< undetermined: those that no reading fixes
};

/// Least squares by Levenberg and Marquardt's method with QR; a Jacobian serves up to three steps.
/// Errors: unknowns that no reading fixes; a start the model calls impossible; no convergence.
/// Source: J. J. Moré, The Levenberg-Marquardt algorithm, Lecture Notes in Mathematics 630 (1978).
[[nodiscard]] tl::expected<Adjustment, AdjustFailure> Adjust(const AdjustProblem& problem,
                                                             const ReadingMask& used,
                                                             Loss loss = Loss::squares);

/// d(reading) / d(unknown) at x by central differences (one-sided where one end cannot be); nothing
/// where both ends cannot be.
[[nodiscard]] std::optional<Eigen::MatrixXd> JacobianAt(const AdjustProblem& problem,
                                                        const Eigen::VectorXd& x);

/// The value that a chi-square variable of `freedom` exceeds with probability 0.001, by Wilson and
/// Hilferty's cube (Proc. Natl. Acad. Sci. 17 (1931) 684); within 2 % from 3 degrees of freedom on.
/// @pre freedom >= 1
[[nodiscard]] double ChiSquareLimit(int freedom);

}  // namespace holeward
