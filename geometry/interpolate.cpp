#include "geometry/interpolate.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace holeward {
namespace {

using Doubles = std::vector<double>;

// Slopes at the knots of the natural spline: a tridiagonal system, solved by elimination.
Doubles NaturalSlopes(const Doubles& x, const Doubles& y) {
  const std::size_t n = x.size();
  Doubles lower(n, 0.0);
  Doubles diagonal(n, 0.0);
  Doubles upper(n, 0.0);
  Doubles right(n, 0.0);
  auto secant = [&](std::size_t i) { return (y[i + 1] - y[i]) / (x[i + 1] - x[i]); };
  diagonal[0] = 2.0;
  upper[0] = 1.0;
  right[0] = 3.0 * secant(0);
  diagonal[n - 1] = 2.0;
  lower[n - 1] = 1.0;
  right[n - 1] = 3.0 * secant(n - 2);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    const double before = x[i] - x[i - 1];
    const double after = x[i + 1] - x[i];
    lower[i] = after;
    diagonal[i] = 2.0 * (before + after);
    upper[i] = before;
    right[i] = 3.0 * (after * secant(i - 1) + before * secant(i));
  }
  for (std::size_t i = 1; i < n; ++i) {
    const double k = lower[i] / diagonal[i - 1];
    diagonal[i] -= k * upper[i - 1];
    right[i] -= k * right[i - 1];
  }
  Doubles slopes(n);
  slopes[n - 1] = right[n - 1] / diagonal[n - 1];
  for (std::size_t i = n - 1; i-- > 0;) {
    slopes[i] = (right[i] - upper[i] * slopes[i + 1]) / diagonal[i];
  }
  return slopes;
}

// Slope at an end of a monotone cubic from the two nearest secants, limited to stay monotone.
double MonotoneEndSlope(double h0, double h1, double d0, double d1) {
  const double slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (slope * d0 <= 0.0) {
    return 0.0;
  }
  if (d0 * d1 <= 0.0 && std::abs(slope) > 3.0 * std::abs(d0)) {
    return 3.0 * d0;
  }
  return slope;
}

Doubles MonotoneSlopes(const Doubles& x, const Doubles& y) {
  const std::size_t n = x.size();
  Doubles h(n - 1);
  Doubles d(n - 1);
  for (std::size_t i = 0; i + 1 < n; ++i) {
    h[i] = x[i + 1] - x[i];
    d[i] = (y[i + 1] - y[i]) / h[i];
  }
  if (n == 2) {
    return {d[0], d[0]};
  }
  Doubles slopes(n, 0.0);
  for (std::size_t i = 1; i + 1 < n; ++i) {
    if (d[i - 1] * d[i] > 0.0) {
      const double w0 = 2.0 * h[i] + h[i - 1];
      const double w1 = h[i] + 2.0 * h[i - 1];
      slopes[i] = (w0 + w1) / (w0 / d[i - 1] + w1 / d[i]);
    }
  }
  slopes[0] = MonotoneEndSlope(h[0], h[1], d[0], d[1]);
  slopes[n - 1] = MonotoneEndSlope(h[n - 2], h[n - 3], d[n - 2], d[n - 3]);
  return slopes;
}

}  // namespace

PiecewiseCubic PiecewiseCubic::FromSlopes(const Doubles& knots, const Doubles& values,
                                          const Doubles& slopes) {
  PiecewiseCubic result;
  result.knots_ = knots;
  for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
    const double h = knots[i + 1] - knots[i];
    const double d = (values[i + 1] - values[i]) / h;
    result.coefficients_.push_back({values[i], slopes[i],
                                    (3.0 * d - 2.0 * slopes[i] - slopes[i + 1]) / h,
                                    (slopes[i] + slopes[i + 1] - 2.0 * d) / (h * h)});
  }
  return result;
}

PiecewiseCubic PiecewiseCubic::Natural(const Doubles& knots, const Doubles& values) {
  assert(knots.size() >= 2 && knots.size() == values.size());
  return FromSlopes(knots, values, NaturalSlopes(knots, values));
}

PiecewiseCubic PiecewiseCubic::Monotone(const Doubles& knots, const Doubles& values) {
  assert(knots.size() >= 2 && knots.size() == values.size());
  return FromSlopes(knots, values, MonotoneSlopes(knots, values));
}

PiecewiseCubic PiecewiseCubic::WithSlopes(const Doubles& knots, const Doubles& values,
                                          const Doubles& slopes) {
  assert(knots.size() >= 2 && knots.size() == values.size() && knots.size() == slopes.size());
  return FromSlopes(knots, values, slopes);
}

PiecewiseCubic PiecewiseCubic::Linear(const Doubles& knots, const Doubles& values) {
  assert(knots.size() >= 2 && knots.size() == values.size());
  PiecewiseCubic result;
  result.knots_ = knots;
  for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
    result.coefficients_.push_back(
        {values[i], (values[i + 1] - values[i]) / (knots[i + 1] - knots[i]), 0.0, 0.0});
  }
  return result;
}

bool PiecewiseCubic::IsConstant() const {
  return std::all_of(coefficients_.begin(), coefficients_.end(), [&](const auto& c) {
    return c[0] == coefficients_.front()[0] && c[1] == 0.0 && c[2] == 0.0 && c[3] == 0.0;
  });
}

}  // namespace holeward
