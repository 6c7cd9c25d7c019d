#include "geometry/develop_basis.h"

#include <cmath>

#include <Eigen/LU>

#include "geometry/vec.h"

namespace holeward {
namespace {

// Order 16 and one more for its integral.
constexpr int kMostTerms = 18;

// Legendre polynomials P_0..P_n at x, and their derivatives.
struct LegendreValues {
  Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostTerms, 1> p;
  Eigen::Matrix<double, Eigen::Dynamic, 1, 0, kMostTerms, 1> dp;
};

LegendreValues Legendre(int n, double x) {
  LegendreValues out;
  out.p.setZero(n + 1);
  out.dp.setZero(n + 1);
  out.p(0) = 1.0;
  if (n == 0) return out;
  out.p(1) = x;
  out.dp(1) = 1.0;
  for (int k = 1; k < n; ++k) {
    out.p(k + 1) = ((2 * k + 1) * x * out.p(k) - k * out.p(k - 1)) / (k + 1);
    out.dp(k + 1) = out.dp(k - 1) + (2 * k + 1) * out.p(k);
  }
  return out;
}

Eigen::VectorXd LobattoNodes(int order) {
  Eigen::VectorXd x(order + 1);
  for (int k = 0; k <= order; ++k) {
    double at = -std::cos(kPi * k / order);
    // Newton on (1 - x^2) P'_n(x), whose derivative is -n (n + 1) P_n(x).
    for (int step = 0; step < 50 && k > 0 && k < order; ++step) {
      const LegendreValues l = Legendre(order, at);
      const double move = (1.0 - at * at) * l.dp(order) / (order * (order + 1.0) * l.p(order));
      at += move;
      if (std::abs(move) < 1e-16) break;
    }
    x(k) = at;
  }
  return x;
}

}  // namespace

SpectralBasis::SpectralBasis(int order) : order_(order), nodes_(LobattoNodes(order)) {
  const int n = order + 1;
  Eigen::MatrixXd vandermonde(n, n), slopes(n, n), sums(n, n);
  for (int k = 0; k < n; ++k) {
    const LegendreValues l = Legendre(order + 1, nodes_(k));
    for (int j = 0; j < n; ++j) {
      vandermonde(k, j) = l.p(j);
      slopes(k, j) = l.dp(j);
      // The integral of P_j from -1: (P_{j+1} - P_{j-1}) / (2 j + 1), and x + 1 for j = 0.
      sums(k, j) = j == 0 ? nodes_(k) + 1.0 : (l.p(j + 1) - l.p(j - 1)) / (2 * j + 1);
    }
  }
  to_legendre_ = vandermonde.inverse();
  derivative_ = slopes * to_legendre_;
  integral_ = sums * to_legendre_;
}

NodeVector SpectralBasis::Values(double x) const {
  return to_legendre_.transpose() * Legendre(order_, x).p;
}

NodeVector SpectralBasis::Slopes(double x) const {
  return to_legendre_.transpose() * Legendre(order_, x).dp;
}

GaussRule GaussLegendre(int count) {
  GaussRule rule{Eigen::VectorXd(count), Eigen::VectorXd(count)};
  for (int k = 0; k < count; ++k) {
    double at = -std::cos(kPi * (k + 0.75) / (count + 0.5));
    LegendreValues l = Legendre(count, at);
    for (int step = 0; step < 50; ++step) {
      const double move = l.p(count) / l.dp(count);
      at -= move;
      l = Legendre(count, at);
      if (std::abs(move) < 1e-15) break;
    }
    rule.at(k) = at;
    rule.weight(k) = 2.0 / ((1.0 - at * at) * l.dp(count) * l.dp(count));
  }
  return rule;
}

}  // namespace holeward
