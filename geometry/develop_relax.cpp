// The development of least squared Green strain E = (F'F - 1) / 2, F the gradient of the flat
// position in an orthonormal frame of the tangent plane. Gauss-Newton: the residuals vanish on an
// isometry, so convergence is quadratic on developable skin and fast where stretch is small.
// Source of Gauss-Newton: J. Nocedal and S. J. Wright, Numerical Optimization, 2nd ed., sec. 10.3.
// Source of the minimax rounds: C. L. Lawson's algorithm, see J. R. Rice and K. H. Usow, The Lawson
// algorithm and extensions, Math. Comp. 22 (1968) 118-127.
#include <algorithm>
#include <cmath>
#include <vector>

#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>

#include "geometry/develop_patch.h"

namespace holeward {
namespace {

constexpr int kMostSteps = 12;
constexpr double kSettled = 1e-6;  // mm, greatest move of a node; the next would be its square
// Keeps the normal matrix regular against rigid motion; relative to its mean diagonal.
constexpr double kRegular = 1e-9;

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
    for (int step = 0; step < kMostSteps; ++step) {
      if (Step() < kSettled) break;
    }
    DevelopedPatch best = patch_;
    double worst = WorstStretch();
    for (int round = 0; round < minimax_rounds; ++round) {
      Reweigh();
      Step();
      const double now = WorstStretch();
      if (now < worst) {
        worst = now;
        best = patch_;
      }
    }
    patch_ = best;
  }

 private:
  // One quadrature place: gradients of the cell's basis in the tangent frame, and its weight.
  struct Sample {
    Eigen::Matrix2d to_frame;  // maps (d/dxi, d/deta) rows to the frame
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
      samples_.push_back({m.inverse(), rule_.weight(k % q) * rule_.weight(k / q) * row *
                                           std::abs(m.determinant())});
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

  // Gradients of the cell's basis functions at quadrature place k of the cell, in the frame.
  [[nodiscard]] Eigen::Matrix2Xd Gradients(int k, const Sample& sample) const {
    const int n = basis_.order() + 1, q = static_cast<int>(rule_.at.size());
    Eigen::Matrix2Xd g(2, n * n);
    for (int l = 0; l < n; ++l) {
      g.block(0, l * n, 1, n) = slopes_.col(k % q).transpose() * values_(l, k / q);
      g.block(1, l * n, 1, n) = values_.col(k % q).transpose() * slopes_(l, k / q);
    }
    return sample.to_frame.transpose() * g;
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
    Eigen::MatrixXd rows(3 * q * q, 2 * n);
    Eigen::VectorXd residual(3 * q * q);
    for (int k = 0; k < q * q; ++k) {
      const Sample& sample = samples_[c * q * q + k];
      const Eigen::Matrix2Xd g = Gradients(k, sample);
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

  // One Gauss-Newton step; the greatest move of a node, mm.
  double Step() {
    const int unknowns = 2 * static_cast<int>(patch_.flat_.cols());
    std::vector<Eigen::Triplet<double>> entries;
    Eigen::VectorXd rhs = Eigen::VectorXd::Zero(unknowns);
    Eigen::MatrixXd hessian;
    Eigen::VectorXd gradient;
    double trace = 0.0;
    for (int c = 0; c < patch_.cell_count(); ++c) {
      CellEquations(c, hessian, gradient);
      const std::vector<int> nodes = CellNodes(c);
      const int n = static_cast<int>(nodes.size());
      auto unknown = [&](int k) { return 2 * nodes[k % n] + k / n; };
      for (int b = 0; b < 2 * n; ++b) {
        rhs(unknown(b)) -= gradient(b);
        trace += hessian(b, b);
        for (int a = b; a < 2 * n; ++a) {
          const int row = std::max(unknown(a), unknown(b)), col = std::min(unknown(a), unknown(b));
          entries.emplace_back(row, col, hessian(a, b));
        }
      }
    }
    for (int k = 0; k < unknowns; ++k) entries.emplace_back(k, k, kRegular * trace / unknowns);
    Eigen::SparseMatrix<double> normal(unknowns, unknowns);
    normal.setFromTriplets(entries.begin(), entries.end());
    if (!analyzed_) {
      solver_.analyzePattern(normal);
      analyzed_ = true;
    }
    solver_.factorize(normal);
    if (solver_.info() != Eigen::Success) return 0.0;
    const Eigen::VectorXd move = solver_.solve(rhs);
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
        const Eigen::Matrix2d f = x * Gradients(k, samples_[c * q * q + k]).transpose();
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

  void Reweigh() {
    double before = 0.0, after = 0.0;
    const double worst = WorstStretch();
    if (!(worst > 0.0)) return;
    VisitStretches([&](int k, double stretch) {
      before += samples_[k].weight;
      samples_[k].weight *= stretch / worst + 1e-3;
      after += samples_[k].weight;
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
