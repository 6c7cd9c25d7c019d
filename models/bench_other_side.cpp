#include "models/bench_other_side.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/QR>
#include <fmt/format.h>

#include "models/bench_choice.h"

namespace holeward {
namespace {

/// The fitted sizes of one sample by their names.
class Sample {
 public:
  explicit Sample(const BenchFit& fit) : fit_(fit), rows_(fit.sheet.rows.size()) {}

  [[nodiscard]] std::size_t rows() const { return rows_; }

  [[nodiscard]] const BenchSizeOut* Find(const std::string& name) const {
    for (const BenchSizeOut& size : fit_.sizes) {
      if (size.name == name) return &size;
    }
    return nullptr;
  }

  [[nodiscard]] const BenchSizeOut* At(const std::string& word, std::size_t row) const {
    return Find(fmt::format("{} of row {}", word, row + 1));
  }

  /// Distance of a row from the first one.
  [[nodiscard]] double Distance(std::size_t row) const {
    return At("distance", row)->value - At("distance", 0)->value;
  }

  /// A size at a distance from the first row, straight between rows.
  [[nodiscard]] BenchSizeOut Between(const std::string& word, double distance) const {
    std::size_t k = 0;
    while (k + 2 < rows_ && Distance(k + 1) < distance) ++k;
    const double share = (distance - Distance(k)) / (Distance(k + 1) - Distance(k));
    const BenchSizeOut& low = *At(word, k);
    const BenchSizeOut& high = *At(word, k + 1);
    const double t = std::clamp(share, 0.0, 1.0);
    BenchSizeOut size;
    size.value = low.value + t * (high.value - low.value);
    size.sigma = std::max(low.sigma, high.sigma);
    return size;
  }

 private:
  const BenchFit& fit_;
  std::size_t rows_;
};

class Comparer {
 public:
  Comparer(const BenchFit& first, const BenchFit& second)
      : first_(first), second_(second), part_spread_(first.part_spread) {}

  BenchComparison Run() {
    if (first_.rows() != second_.rows()) {
      made_.failure = fmt::format("the samples have {} and {} rows; measure both at the same rows",
                                  first_.rows(), second_.rows());
      return std::move(made_);
    }
    for (const char* word : {"corner radius", "wall"}) {
      const BenchSizeOut* a = first_.Find(word);
      const BenchSizeOut* b = second_.Find(word);
      if (a && b) Judge(word, *a, *b);
    }
    for (std::size_t row = 0; row < second_.rows(); ++row) Row(row);
    for (const char* word : {"place across", "height above the bench"}) Places(word);
    return std::move(made_);
  }

 private:
  void Judge(const std::string& what, const BenchSizeOut& a, const BenchSizeOut& b) {
    ++made_.compared;
    const double explained = kBenchCover * std::sqrt(a.sigma * a.sigma + b.sigma * b.sigma +
                                                     2.0 * part_spread_ * part_spread_);
    if (std::abs(a.value - b.value) <= explained) return;
    made_.differences.push_back({what, a.value, b.value, explained});
  }

  void Row(std::size_t row) {
    const double distance = second_.Distance(row);
    if (row > 0 && row + 1 == second_.rows()) {
      BenchSizeOut a = *first_.At("distance", row);
      BenchSizeOut b = *second_.At("distance", row);
      a.value = first_.Distance(row);
      b.value = distance;
      a.sigma = std::hypot(a.sigma, first_.At("distance", 0)->sigma);
      b.sigma = std::hypot(b.sigma, second_.At("distance", 0)->sigma);
      Judge("length from the first row to the last", a, b);
    }
    for (const char* word : {"width", "height", "diameter", "corner radius"}) {
      const BenchSizeOut* b = second_.At(word, row);
      if (!b || !first_.At(word, row)) continue;
      Judge(fmt::format("{} of row {}", word, row + 1), first_.Between(word, distance), *b);
    }
  }

  // The part's line through its rows, less the straight line that how it lay may explain.
  void Places(const std::string& word) {
    const auto n = static_cast<Eigen::Index>(second_.rows());
    if (n < 3) return;
    Eigen::MatrixXd line(n, 2);
    Eigen::VectorXd off(n);
    std::vector<BenchSizeOut> a;
    std::vector<BenchSizeOut> b;
    for (Eigen::Index i = 0; i < n; ++i) {
      const auto row = static_cast<std::size_t>(i);
      const double distance = second_.Distance(row);
      a.push_back(first_.Between(word, distance));
      b.push_back(*second_.At(word, row));
      line.row(i) << 1.0, distance;
      off[i] = b.back().value - a.back().value;
    }
    const Eigen::VectorXd left = off - line * line.colPivHouseholderQr().solve(off);
    for (Eigen::Index i = 0; i < n; ++i) {
      const auto row = static_cast<std::size_t>(i);
      b[row].value = a[row].value + left[i];
      Judge(fmt::format("{} of row {}", word, row + 1), a[row], b[row]);
    }
  }

  Sample first_;
  Sample second_;
  double part_spread_ = 0.0;
  BenchComparison made_;
};

}  // namespace

BenchComparison Compare(const BenchFit& first, const BenchFit& second) {
  return Comparer(first, second).Run();
}

}  // namespace holeward
