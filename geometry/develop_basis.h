// One-dimensional polynomial basis on Gauss-Lobatto-Legendre nodes: what a flattened cell is made
// of.
#pragma once

#include <Eigen/Core>

namespace holeward {

/// A value a node, without a heap: at most 17 nodes.
using NodeVector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, 17, 1>;

/// Lagrange polynomials on the order + 1 Gauss-Lobatto-Legendre nodes of [-1, 1].
/// Source: C. Canuto et al., Spectral Methods: Fundamentals in Single Domains, Springer 2006,
/// ch. 2.
class SpectralBasis {
 public:
  /// @param order polynomial order, 2 to 16
  explicit SpectralBasis(int order);

  [[nodiscard]] int order() const { return order_; }
  [[nodiscard]] const Eigen::VectorXd& nodes() const { return nodes_; }
  /// Row k: derivative at node k, a column a nodal value.
  [[nodiscard]] const Eigen::MatrixXd& derivative() const { return derivative_; }
  /// Row k: integral from -1 to node k, a column a nodal value.
  [[nodiscard]] const Eigen::MatrixXd& integral() const { return integral_; }
  /// Values of the polynomials at x (extrapolates outside [-1, 1]).
  [[nodiscard]] NodeVector Values(double x) const;
  /// Their derivatives at x.
  [[nodiscard]] NodeVector Slopes(double x) const;

 private:
  int order_;
  Eigen::VectorXd nodes_;
  Eigen::MatrixXd to_legendre_;  // nodal values to Legendre coefficients
  Eigen::MatrixXd derivative_;
  Eigen::MatrixXd integral_;
};

/// Gauss-Legendre abscissae and weights on [-1, 1].
struct GaussRule {
  Eigen::VectorXd at;
  Eigen::VectorXd weight;
};
[[nodiscard]] GaussRule GaussLegendre(int count);

}  // namespace holeward
