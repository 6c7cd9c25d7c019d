#include "geometry/adjust.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/QR>

namespace holeward {
namespace {

constexpr int kMostSteps = 200;
// A fit whose cost falls by no more than this share has settled; a robust one is only a start.
constexpr double kSettledShare = 1e-12;
constexpr double kSettledRobust = 1e-4;
// A step this small against the differences' own span changes no digit that is printed.
constexpr double kSettled = 1e-9;
// Columns this much smaller than the largest, each scaled to length 1, are dependent.
constexpr double kRank = 1e-9;
constexpr double kHuber = 1.5;
// A Jacobian serves so many steps: most of its cost is the model's, and it changes little.
constexpr int kStepsOfOne = 3;
// Moved by no more than this share of the differences' own span, it still is that of x.
constexpr double kStillHere = 0.05;
// Baarda's noncentrality for level 0.001 and power 0.80: 3.29 + 0.84.
constexpr double kLeastFound = 4.13;

double LossOf(double weighed, Loss loss) {
  const double size = std::abs(weighed);
  if (loss == Loss::squares || size <= kHuber) return weighed * weighed;
  return kHuber * (2.0 * size - kHuber);
}

double WeightOf(double weighed, Loss loss) {
  const double size = std::abs(weighed);
  return loss == Loss::squares || size <= kHuber ? 1.0 : std::sqrt(kHuber / size);
}

/// One fit under way.
class Solver {
 public:
  Solver(const AdjustProblem& problem, const ReadingMask& used, Loss loss)
      : problem_(problem), used_(used), loss_(loss) {}

  tl::expected<Adjustment, AdjustFailure> Run() {
    x_ = problem_.start;
    if (!Take(x_)) return Failed(AdjustFailure::Kind::impossible);
    jacobian_ = problem_.jacobian;
    if (jacobian_.size() == 0 && !Refresh()) return Failed(AdjustFailure::Kind::impossible);
    Weigh();
    const auto loose = Undetermined();
    if (!loose.empty()) {
      return tl::unexpected(AdjustFailure{AdjustFailure::Kind::undetermined, loose});
    }
    for (int i = 0; i < kMostSteps; ++i) {
      const bool moved = Step();
      if (!moved && (steps_since_ == 0 || moved_since_ <= kStillHere)) return Finished();
      if (!moved || ++steps_since_ >= kStepsOfOne) {
        if (!Refresh()) return Failed(AdjustFailure::Kind::impossible);
      }
      Weigh();
    }
    return Failed(AdjustFailure::Kind::not_settled);
  }

 private:
  static tl::unexpected<AdjustFailure> Failed(AdjustFailure::Kind kind) {
    return tl::unexpected(AdjustFailure{kind, {}});
  }

  [[nodiscard]] double Cost(const Eigen::VectorXd& fitted) const {
    double cost = 0.0;
    for (Eigen::Index i = 0; i < fitted.size(); ++i) {
      if (!used_[static_cast<std::size_t>(i)]) continue;
      cost += LossOf((problem_.observed[i] - fitted[i]) / problem_.sigma[i], loss_);
    }
    return cost;
  }

  [[nodiscard]] double Share() const {
    return loss_ == Loss::squares ? kSettledShare : kSettledRobust;
  }

  bool Take(const Eigen::VectorXd& x) {
    auto fitted = problem_.model(x);
    if (!fitted || !fitted->allFinite()) return false;
    fitted_ = std::move(*fitted);
    cost_ = Cost(fitted_);
    return true;
  }

  bool Refresh() {
    auto jacobian = JacobianAt(problem_, x_);
    if (!jacobian) return false;
    jacobian_ = std::move(*jacobian);
    moved_since_ = 0.0;
    steps_since_ = 0;
    return true;
  }

  // Weighed rows of the readings used, columns scaled by the unknowns' steps.
  void Weigh() {
    weighed_ = jacobian_ * problem_.step.asDiagonal();
    right_ = problem_.observed - fitted_;
    for (Eigen::Index i = 0; i < right_.size(); ++i) {
      const double v = right_[i] / problem_.sigma[i];
      const double w =
          used_[static_cast<std::size_t>(i)] ? WeightOf(v, loss_) / problem_.sigma[i] : 0.0;
      weighed_.row(i) *= w;
      right_[i] *= w;
    }
  }

  // Unknowns that take part in a change no reading sees.
  [[nodiscard]] std::vector<Eigen::Index> Undetermined() const {
    Eigen::MatrixXd scaled = weighed_;
    std::vector<Eigen::Index> loose;
    for (Eigen::Index k = 0; k < scaled.cols(); ++k) {
      const double norm = scaled.col(k).norm();
      if (norm > 0.0) {
        scaled.col(k) /= norm;
      } else {
        loose.push_back(k);
      }
    }
    if (!loose.empty()) return loose;
    Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(scaled);
    qr.setThreshold(kRank);
    const Eigen::Index rank = qr.rank();
    const Eigen::Index m = scaled.cols();
    if (rank == m) return loose;
    // Null space: R11 z = -R12 for each free column.
    const Eigen::MatrixXd r = qr.matrixR().topRows(rank).template triangularView<Eigen::Upper>();
    const Eigen::MatrixXd z =
        r.leftCols(rank).template triangularView<Eigen::Upper>().solve(r.rightCols(m - rank));
    const auto& order = qr.colsPermutation().indices();
    for (Eigen::Index k = 0; k < rank; ++k) {
      if (z.row(k).cwiseAbs().maxCoeff() > 1e-3) loose.push_back(order[k]);
    }
    for (Eigen::Index k = rank; k < m; ++k) loose.push_back(order[k]);
    std::sort(loose.begin(), loose.end());
    return loose;
  }

  // Returns false when x stays: the fit has settled.
  bool Step() {
    const Eigen::Index n = weighed_.rows();
    const Eigen::Index m = weighed_.cols();
    const Eigen::VectorXd scale = weighed_.colwise().norm().cwiseMax(1e-12);
    for (int tries = 0; tries < 60; ++tries) {
      Eigen::MatrixXd a(n + m, m);
      a << weighed_, Eigen::MatrixXd(Eigen::VectorXd(std::sqrt(damping_) * scale).asDiagonal());
      Eigen::VectorXd b(n + m);
      b << right_, Eigen::VectorXd::Zero(m);
      const Eigen::VectorXd move =
          problem_.step.cwiseProduct(Eigen::VectorXd(a.householderQr().solve(b)));
      const double size = (move.array() / problem_.step.array()).abs().maxCoeff();
      const bool tiny = size < kSettled;
      const Eigen::VectorXd before = fitted_;
      const double cost = cost_;
      const Eigen::VectorXd to = x_ + move;
      if (move.allFinite() && Take(to) && cost_ <= cost * (1.0 + 1e-12)) {
        x_ = to;
        moved_since_ += size;
        damping_ *= 0.1;
        return !tiny && cost - cost_ > Share() * cost;
      }
      fitted_ = before;
      cost_ = cost;
      if (tiny) return false;
      damping_ = std::max(10.0 * damping_, 1e-6);
    }
    return false;
  }

  Adjustment Finished() {
    Adjustment a;
    a.x = x_;
    a.used = used_;
    a.jacobian = jacobian_;
    a.fitted = fitted_;
    a.residual = problem_.observed - fitted_;
    const Eigen::Index m = x_.size();
    Eigen::MatrixXd plain = jacobian_ * problem_.step.asDiagonal();
    for (Eigen::Index i = 0; i < plain.rows(); ++i) {
      plain.row(i) *= used_[static_cast<std::size_t>(i)] ? 1.0 / problem_.sigma[i] : 0.0;
    }
    const Eigen::HouseholderQR<Eigen::MatrixXd> qr(plain);
    const Eigen::MatrixXd r = qr.matrixQR().topRows(m).template triangularView<Eigen::Upper>();
    const Eigen::MatrixXd inverse =
        problem_.step.asDiagonal() *
        Eigen::MatrixXd(r.triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(m, m)));
    a.covariance = inverse * inverse.transpose();
    Test(a, inverse);
    return a;
  }

  void Test(Adjustment& a, const Eigen::MatrixXd& inverse) const {
    const Eigen::Index n = problem_.readings();
    a.redundancy = Eigen::VectorXd::Ones(n);
    a.standardized = Eigen::VectorXd::Zero(n);
    a.freedom = -static_cast<int>(problem_.unknowns());
    for (Eigen::Index i = 0; i < n; ++i) {
      const double sigma = problem_.sigma[i];
      const double of_fit = (a.jacobian.row(i) * inverse).squaredNorm();
      if (!used_[static_cast<std::size_t>(i)]) {
        a.standardized[i] = a.residual[i] / std::sqrt(sigma * sigma + of_fit);
        continue;
      }
      ++a.freedom;
      a.chi_square += std::pow(a.residual[i] / sigma, 2);
      a.redundancy[i] = std::clamp(1.0 - of_fit / (sigma * sigma), 0.0, 1.0);
      if (a.redundancy[i] < kNoRedundancy) continue;
      a.standardized[i] = a.residual[i] / (sigma * std::sqrt(a.redundancy[i]));
    }
  }

  const AdjustProblem& problem_;
  const ReadingMask& used_;
  Loss loss_;
  Eigen::VectorXd x_;
  Eigen::VectorXd fitted_;
  Eigen::MatrixXd jacobian_;
  Eigen::MatrixXd weighed_;
  Eigen::VectorXd right_;
  double cost_ = 0.0;
  double damping_ = 1e-9;
  double moved_since_ = 0.0;  // since the Jacobian, in steps
  int steps_since_ = 0;
};

}  // namespace

ReadingMask AllOf(const AdjustProblem& problem) {
  return ReadingMask(static_cast<std::size_t>(problem.readings()), true);
}

double Adjustment::SigmaOf(Eigen::Index k) const { return std::sqrt(covariance(k, k)); }

double Adjustment::SigmaAlong(const Eigen::VectorXd& gradient) const {
  return std::sqrt(std::max(0.0, gradient.dot(covariance * gradient)));
}

double Adjustment::Correlation(const AdjustProblem& problem, Eigen::Index i, Eigen::Index j) const {
  const double si = problem.sigma[i] * std::sqrt(redundancy[i]);
  const double sj = problem.sigma[j] * std::sqrt(redundancy[j]);
  if (i == j) return 1.0;
  if (redundancy[i] < kNoRedundancy || redundancy[j] < kNoRedundancy) return 0.0;
  const double cross = jacobian.row(i) * covariance * jacobian.row(j).transpose();
  return std::clamp(-cross / (si * sj), -1.0, 1.0);
}

double Adjustment::LeastFound(const AdjustProblem& problem, Eigen::Index i) const {
  if (redundancy[i] < kNoRedundancy) return std::numeric_limits<double>::infinity();
  return kLeastFound * problem.sigma[i] / std::sqrt(redundancy[i]);
}

std::optional<Eigen::MatrixXd> JacobianAt(const AdjustProblem& problem, const Eigen::VectorXd& x) {
  Eigen::MatrixXd jacobian(problem.readings(), problem.unknowns());
  const auto here = problem.model(x);
  if (!here) return std::nullopt;
  const auto& near = problem.nearby ? problem.nearby : problem.model;
  for (Eigen::Index k = 0; k < x.size(); ++k) {
    Eigen::VectorXd low = x;
    Eigen::VectorXd high = x;
    low[k] -= problem.step[k];
    high[k] += problem.step[k];
    auto before = near(low);
    auto after = near(high);
    if (!before) before = here, low[k] = x[k];
    if (!after) after = here, high[k] = x[k];
    if (low[k] == high[k]) return std::nullopt;
    jacobian.col(k) = (*after - *before) / (high[k] - low[k]);
  }
  return jacobian;
}

tl::expected<Adjustment, AdjustFailure> Adjust(const AdjustProblem& problem,
                                               const ReadingMask& used, Loss loss) {
  return Solver(problem, used, loss).Run();
}

double ChiSquareLimit(int freedom) {
  constexpr double kNormal = 3.0902323;  // exceeded with probability 0.001
  const double h = 2.0 / (9.0 * freedom);
  return freedom * std::pow(1.0 - h + kNormal * std::sqrt(h), 3);
}

}  // namespace holeward
