// Piecewise cubic interpolation of one quantity along a part: natural spline for centres, monotone
// for sizes, straight between sections for parts that are.
#pragma once

#include <array>
#include <vector>

#include "geometry/jet.h"

namespace holeward {

/// A piecewise cubic polynomial of one variable. Outside its knots the end pieces go on.
class PiecewiseCubic {
 public:
  /// Natural cubic spline (second derivative zero at both ends) through (knots, values).
  /// @pre knots strictly increasing, at least two, as many values. Source: de Boor, A Practical
  /// Guide to Splines, chapter IV.
  [[nodiscard]] static PiecewiseCubic Natural(const std::vector<double>& knots,
                                              const std::vector<double>& values);

  /// Monotone cubic: no size between two sections leaves the range of the two.
  /// Slopes by the weighted harmonic mean, ends by the three-point formula, limited.
  /// Source: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238; Fritsch and Butland,
  /// SIAM J. Sci. Stat. Comput. 5 (1984) 300.
  [[nodiscard]] static PiecewiseCubic Monotone(const std::vector<double>& knots,
                                               const std::vector<double>& values);

  /// Through (knots, values) with the given slopes at the knots.
  /// @pre as many slopes as knots
  [[nodiscard]] static PiecewiseCubic WithSlopes(const std::vector<double>& knots,
                                                 const std::vector<double>& values,
                                                 const std::vector<double>& slopes);

  /// Straight lines between the knots.
  [[nodiscard]] static PiecewiseCubic Linear(const std::vector<double>& knots,
                                             const std::vector<double>& values);

  /// The value at u on the polynomial of `span` (0-based; any u, so one-sided at the knots).
  template <class S>
  [[nodiscard]] S At(const S& u, int span) const {
    const auto& c = coefficients_[static_cast<std::size_t>(span)];
    const double t = ValueOf(u) - knots_[static_cast<std::size_t>(span)];
    return Compose(u, c[0] + t * (c[1] + t * (c[2] + t * c[3])),
                   c[1] + t * (2.0 * c[2] + t * 3.0 * c[3]), 2.0 * c[2] + t * 6.0 * c[3]);
  }

  /// The first derivative by u, likewise.
  template <class S>
  [[nodiscard]] S SlopeAt(const S& u, int span) const {
    const auto& c = coefficients_[static_cast<std::size_t>(span)];
    const double t = ValueOf(u) - knots_[static_cast<std::size_t>(span)];
    return Compose(u, c[1] + t * (2.0 * c[2] + t * 3.0 * c[3]), 2.0 * c[2] + t * 6.0 * c[3],
                   6.0 * c[3]);
  }

  [[nodiscard]] bool IsConstant() const;

 private:
  static PiecewiseCubic FromSlopes(const std::vector<double>& knots,
                                   const std::vector<double>& values,
                                   const std::vector<double>& slopes);

  std::vector<double> knots_;
  std::vector<std::array<double, 4>> coefficients_;  // ascending powers of (u - knot)
};

}  // namespace holeward
