// The development of least squared Green strain E = (F'F - 1) / 2, F the gradient of the flat
// position in an orthonormal frame of the tangent plane. Gauss-Newton: the residuals vanish on an
// isometry, so convergence is quadratic on developable skin and fast where stretch is small.
// Source of Gauss-Newton: J. Nocedal and S. J. Wright, Numerical Optimization, 2nd ed., sec. 10.3.
// Source of the minimax rounds: reweighted least squares whose exponent grows round by round, with
// steps shortened to 1 / (exponent - 1): C. S. Burrus, J. A. Barreto and I. W. Selesnick, Iterative
// reweighted least-squares design of FIR filters, IEEE Trans. Signal Processing 42 (1994)
// 2926-2936.
#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>

#include "geometry/develop_patch.h"

namespace holeward {
namespace {

constexpr int kMostSteps = 12;
constexpr double kSettled = 1e-6;  // mm, greatest move of a node; the next would be its square
// Keeps the normal matrix regular against rigid motion; relative to its mean diagonal.
constexpr double kRegular = 1e-9;
// The rounds need only a start near the least squares, and an exponent as large as rounding allows.
constexpr int kStepsBeforeMinimax = 2;
constexpr double kExponentGrowth = 1.8;
constexpr double kMostExponent = 60.0;
constexpr double kLeastShare = 1e-5;  // of the weight of the worst place: keeps all places held

}  // namespace

class PatchRelaxer {
 public:
  PatchRelaxer(DevelopedPatch& patch, int extra_places)
      : patch_(patch), basis_(*patch.basis_), rule_(GaussLegendre(basis_.order() + extra_places)) {
    const int n = basis_.order() + 1, q = static_cast<int>(rule_.at.size());
    values_.resize(n, q);
    slopes_.resize(n, q);
    for (int k = 0; k < q; ++k) {
      values_.col(k) = basis_.Values(rule_.at(k));
      slopes_.col(k) = basis_.Slopes(rule_.at(k));
    }
    for (int c = 0; c < patch.cell_count(); ++c) SampleCell(c);
  }

  void Run(int minimax_rounds) {
    const int steps = minimax_rounds > 0 ? kStepsBeforeMinimax : kMostSteps;
    for (int step = 0; step < steps; ++step) {
      if (Step(1.0) < kSettled) break;
    }
    if (minimax_rounds > 0) RunMinimax(minimax_rounds);
  }

 private:
  void RunMinimax(int rounds) {
    DevelopedPatch best = patch_;
    double worst = WorstStretch();
    double exponent = 2.0;
    for (int round = 0; round < rounds; ++round) {
      exponent = std::min(exponent * kExponentGrowth, kMostExponent);
      Reweigh(exponent);
      Step(1.0 / (exponent - 1.0));
      const double now = WorstStretch();
      if (now < worst) {
        worst = now;
        best = patch_;
      }
    }
    patch_ = best;
  }

  // One quadrature place: gradients of the cell's basis in the tangent frame, its share of the
  // area, and what it counts.
  struct Sample {
    Eigen::Matrix2Xd gradients;
    double area = 0.0;
    double weight = 0.0;
  };

  void SampleCell(int c) {
    const int q = static_cast<int>(rule_.at.size());
    const int cu = c % patch_.u_cells(), cv = c / patch_.u_cells();
    const std::vector<double>& bu = patch_.surface_.u_breaks;
    const std::vector<double>& bv = patch_.surface_.v_breaks;
    const double hu = 0.5 * (bu[cu + 1] - bu[cu]), hv = 0.5 * (bv[cv + 1] - bv[cv]);
    const std::vector<double>& rows = patch_.surface_.v_weights;
    const double row = rows.empty() ? 1.0 : rows[cv];
    for (int k = 0; k < q * q; ++k) {
      const double u = bu[cu] + hu * (1.0 + rule_.at(k % q));
      const double v = bv[cv] + hv * (1.0 + rule_.at(k / q));
      const SkinPoint s = patch_.surface_.at(u, v, cu, cv);
      const Vec3 e1 = s.du.normalized(), e2 = s.normal.cross(e1);
      Eigen::Matrix2d m;
      m << s.du.norm() * hu, e1.dot(s.dv) * hv, 0.0, e2.dot(s.dv) * hv;
      const double area =
          rule_.weight(k % q) * rule_.weight(k / q) * row * std::abs(m.determinant());
      samples_.push_back({Gradients(k, m.inverse()), area, area});
    }
  }

  [[nodiscard]] std::vector<int> CellNodes(int c) const {
    const int p = basis_.order();
    const int cu = c % patch_.u_cells(), cv = c / patch_.u_cells();
    std::vector<int> nodes;
    for (int l = 0; l <= p; ++l) {
      for (int k = 0; k <= p; ++k) nodes.push_back(patch_.Node(cu * p + k, cv * p + l));
    }
    return nodes;
  }

  // Gradients of the cell's basis functions at quadrature place k of the cell; `to_frame` maps
  // (d/dxi, d/deta) to the frame.
  [[nodiscard]] Eigen::Matrix2Xd Gradients(int k, const Eigen::Matrix2d& to_frame) const {
    const int n = basis_.order() + 1, q = static_cast<int>(rule_.at.size());
    Eigen::Matrix2Xd g(2, n * n);
    for (int l = 0; l < n; ++l) {
      g.block(0, l * n, 1, n) = slopes_.col(k % q).transpose() * values_(l, k / q);
      g.block(1, l * n, 1, n) = values_.col(k % q).transpose() * slopes_(l, k / q);
    }
    return to_frame.transpose() * g;
  }

  [[nodiscard]] Eigen::Matrix2Xd Gathered(const std::vector<int>& nodes) const {
    Eigen::Matrix2Xd x(2, nodes.size());
    for (std::size_t a = 0; a < nodes.size(); ++a) x.col(a) = patch_.flat_.col(nodes[a]);
    return x;
  }

  // Adds one cell's share of J'J and J'r; unknowns are x then y of each node.
  void CellEquations(int c, Eigen::MatrixXd& hessian, Eigen::VectorXd& gradient) const {
    const std::vector<int> nodes = CellNodes(c);
    const int n = static_cast<int>(nodes.size()), q = static_cast<int>(rule_.at.size());
    const Eigen::Matrix2Xd x = Gathered(nodes);
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> rows(3 * q * q, 2 * n);
    Eigen::VectorXd residual(3 * q * q);
    for (int k = 0; k < q * q; ++k) {
      const Sample& sample = samples_[c * q * q + k];
      const Eigen::Matrix2Xd& g = sample.gradients;
      const Eigen::Matrix2d f = x * g.transpose();
      const Eigen::Matrix2d e = 0.5 * (f.transpose() * f - Eigen::Matrix2d::Identity());
      const double w = std::sqrt(sample.weight), half_root = std::sqrt(0.5);
      residual.segment<3>(3 * k) = w * Vec3(e(0, 0), e(1, 1), 2.0 * half_root * e(0, 1));
      for (int d = 0; d < 2; ++d) {
        rows.block(3 * k, d * n, 1, n) = w * f(d, 0) * g.row(0);
        rows.block(3 * k + 1, d * n, 1, n) = w * f(d, 1) * g.row(1);
        rows.block(3 * k + 2, d * n, 1, n) =
            w * half_root * (f(d, 0) * g.row(1) + f(d, 1) * g.row(0));
      }
    }
    hessian.setZero(2 * n, 2 * n);
    hessian.selfadjointView<Eigen::Lower>().rankUpdate(rows.transpose());
    gradient = rows.transpose() * residual;
  }

  // Where the cell's unknown k (x of its nodes, then y) stands among all.
  [[nodiscard]] static int Unknown(const std::vector<int>& nodes, int k) {
    const int n = static_cast<int>(nodes.size());
    return 2 * nodes[k % n] + k / n;
  }

  // The normal equations, lower triangle; adds to the right side, returns the trace.
  template <class Add>
  double NormalEquations(Eigen::VectorXd& rhs, const Add& add) const {
    Eigen::MatrixXd hessian;
    Eigen::VectorXd gradient;
    double trace = 0.0;
    for (int c = 0; c < patch_.cell_count(); ++c) {
      CellEquations(c, hessian, gradient);
      const std::vector<int> nodes = CellNodes(c);
      for (int b = 0; b < hessian.cols(); ++b) {
        const int at_b = Unknown(nodes, b);
        rhs(at_b) -= gradient(b);
        trace += hessian(b, b);
        for (int a = b; a < hessian.rows(); ++a) {
          const int at_a = Unknown(nodes, a);
          add(std::max(at_a, at_b), std::min(at_a, at_b), hessian(a, b));
        }
      }
    }
    return trace;
  }

  // The step that solves the normal equations, not finite where they cannot be solved. One cell
  // fills its matrix: no use in looking for zeros.
  Eigen::VectorXd DenseMove(int unknowns) const {
    Eigen::VectorXd rhs = Eigen::VectorXd::Zero(unknowns);
    Eigen::MatrixXd normal = Eigen::MatrixXd::Zero(unknowns, unknowns);
    const double trace =
        NormalEquations(rhs, [&](int row, int col, double value) { normal(row, col) += value; });
    normal.diagonal().array() += kRegular * trace / unknowns;
    const Eigen::LLT<Eigen::MatrixXd> solver(normal);
    if (solver.info() != Eigen::Success) return Eigen::VectorXd::Zero(unknowns);
    return solver.solve(rhs);
  }

  Eigen::VectorXd SparseMove(int unknowns) {
    Eigen::VectorXd rhs = Eigen::VectorXd::Zero(unknowns);
    std::vector<Eigen::Triplet<double>> entries;
    const double trace = NormalEquations(
        rhs, [&](int row, int col, double value) { entries.emplace_back(row, col, value); });
    for (int k = 0; k < unknowns; ++k) entries.emplace_back(k, k, kRegular * trace / unknowns);
    Eigen::SparseMatrix<double> normal(unknowns, unknowns);
    normal.setFromTriplets(entries.begin(), entries.end());
    if (!analyzed_) {
      solver_.analyzePattern(normal);
      analyzed_ = true;
    }
    solver_.factorize(normal);
    if (solver_.info() != Eigen::Success) return Eigen::VectorXd::Zero(unknowns);
    return solver_.solve(rhs);
  }

  // One Gauss-Newton step, `share` of it taken; the greatest move of a node, mm.
  double Step(double share) {
    const int unknowns = 2 * static_cast<int>(patch_.flat_.cols());
    const Eigen::VectorXd move =
        share * (patch_.cell_count() == 1 ? DenseMove(unknowns) : SparseMove(unknowns));
    if (!move.allFinite()) return 0.0;
    patch_.flat_ += Eigen::Map<const Eigen::Matrix2Xd>(move.data(), 2, unknowns / 2);
    return move.cwiseAbs().maxCoeff();
  }

  template <class Visit>
  void VisitStretches(const Visit& visit) const {
    const int q = static_cast<int>(rule_.at.size());
    for (int c = 0; c < patch_.cell_count(); ++c) {
      const Eigen::Matrix2Xd x = Gathered(CellNodes(c));
      for (int k = 0; k < q * q; ++k) {
        const Eigen::Matrix2d f = x * samples_[c * q * q + k].gradients.transpose();
        const double conformal = 0.5 * std::hypot(f(0, 0) + f(1, 1), f(1, 0) - f(0, 1));
        const double anti = 0.5 * std::hypot(f(0, 0) - f(1, 1), f(1, 0) + f(0, 1));
        visit(c * q * q + k,
              std::max(std::abs(conformal + anti - 1.0), std::abs(conformal - anti - 1.0)));
      }
    }
  }

  [[nodiscard]] double WorstStretch() const {
    double worst = 0.0;
    VisitStretches([&](int, double stretch) { worst = std::max(worst, stretch); });
    return worst;
  }

  // Each place counts its area times its share of the worst stretch to the power (exponent - 2).
  void Reweigh(double exponent) {
    double before = 0.0, after = 0.0;
    const double worst = WorstStretch();
    if (!(worst > 0.0)) return;
    VisitStretches([&](int k, double stretch) {
      Sample& s = samples_[k];
      before += s.area;
      s.weight = s.area * (std::pow(stretch / worst, exponent - 2.0) + kLeastShare);
      after += s.weight;
    });
    for (Sample& s : samples_) s.weight *= before / after;
  }

  DevelopedPatch& patch_;
  const SpectralBasis& basis_;
  GaussRule rule_;
  Eigen::MatrixXd values_, slopes_;  // a row a basis function, a column a quadrature place
  std::vector<Sample> samples_;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> solver_;
  bool analyzed_ = false;
};

DevelopedPatch DevelopedPatch::Relaxed(int minimax_rounds) const {
  DevelopedPatch out = *this;
  // The worst place is found among the quadrature places: more of them when it matters.
  PatchRelaxer(out, minimax_rounds > 0 ? 3 : 1).Run(minimax_rounds);
  return out;
}

}  // namespace holeward
