#include "geometry/chance.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <limits>
#include <span>

#include "geometry/parallel.h"

namespace holeward {
namespace {

constexpr std::uint64_t kBlock = 4096;  // poses summed at a time, in this order on any thread

/// The continued fraction of I_x(a, b) by Lentz's method, modified by Thompson and Barnett.
double BetaFraction(double a, double b, double x) {
  constexpr double kTiny = 1e-300;
  constexpr double kEnough = 1e-15;
  constexpr int kMost = 200000;
  const auto nonzero = [](double v) { return std::abs(v) < kTiny ? kTiny : v; };
  double c = 1.0;
  double d = 1.0 / nonzero(1.0 - (a + b) * x / (a + 1.0));
  double fraction = d;
  for (int m = 1; m <= kMost; ++m) {
    const double even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
    d = 1.0 / nonzero(1.0 + even * d);
    c = nonzero(1.0 + even / c);
    fraction *= d * c;
    const double odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    d = 1.0 / nonzero(1.0 + odd * d);
    c = nonzero(1.0 + odd / c);
    fraction *= d * c;
    if (std::abs(d * c - 1.0) < kEnough) break;
  }
  return fraction;
}

struct BlockSum {
  std::uint64_t contacts = 0;
  std::uint64_t undecided = 0;
  double sum = 0.0;
  double greatest = -std::numeric_limits<double>::infinity();
  double least = std::numeric_limits<double>::infinity();
  std::uint64_t least_pose = 0;
};

BlockSum Sum(const MarginOf& margin, std::uint64_t from, std::span<double> margins) {
  BlockSum sum;
  for (std::size_t i = 0; i < margins.size(); ++i) {
    const double value = margin(from + i);
    margins[i] = value;
    if (!std::isfinite(value)) {
      ++sum.undecided;
      ++sum.contacts;
      margins[i] = -std::numeric_limits<double>::infinity();
      continue;
    }
    sum.contacts += value < 0.0 ? 1 : 0;
    sum.sum += value;
    sum.greatest = std::max(sum.greatest, value);
    if (value < sum.least) {
      sum.least = value;
      sum.least_pose = from + i;
    }
  }
  return sum;
}

/// Runs all blocks. False: stopped by `progress`.
bool RunBlocks(const MarginOf& margin, const ChanceQuestion& question, std::vector<double>& margins,
               std::vector<BlockSum>& sums) {
  std::atomic<std::size_t> next{0};
  std::atomic<std::size_t> done{0};
  std::atomic<bool> stop{false};
  const auto run_one = [&] {
    const std::size_t block = next.fetch_add(1);
    if (block >= sums.size() || stop.load()) return false;
    const std::uint64_t from = block * kBlock;
    const std::size_t count = std::min<std::size_t>(kBlock, margins.size() - from);
    sums[block] = Sum(margin, from, std::span(margins).subspan(from, count));
    done.fetch_add(1);
    return true;
  };
  const int wanted = question.threads > 0 ? question.threads : MachineThreads();
  const int threads = std::min(wanted, static_cast<int>(std::min<std::size_t>(sums.size(), 256)));
  std::vector<std::jthread> others =
      StartThreads(static_cast<std::size_t>(std::max(threads - 1, 0)), [&] {
        while (run_one()) {
        }
      });
  auto told = std::chrono::steady_clock::now();
  while (run_one()) {
    const auto now = std::chrono::steady_clock::now();
    if (!question.progress || now - told < std::chrono::milliseconds(50)) continue;
    told = now;
    const double share = static_cast<double>(done.load()) / static_cast<double>(sums.size());
    if (!question.progress(share)) stop.store(true);
  }
  others.clear();  // joins
  return !stop.load();
}

/// Quantiles of the margins, which are reordered. The q-quantile is the least margin that at least
/// a share q of the poses does not exceed.
std::vector<MarginQuantile> QuantilesOf(std::vector<double>& margins, std::vector<double> shares) {
  std::sort(shares.begin(), shares.end());
  std::vector<MarginQuantile> quantiles;
  auto from = margins.begin();
  for (const double share : shares) {
    const double rank = std::ceil(share * static_cast<double>(margins.size()) - 1e-9) - 1.0;
    const auto at = margins.begin() + static_cast<std::ptrdiff_t>(std::max(0.0, rank));
    if (at >= from && at < margins.end()) {
      std::nth_element(from, at, margins.end());
      from = at;
    }
    quantiles.push_back({share, *at});
  }
  // A pose that could not be computed has no margin; it stands for contact.
  for (MarginQuantile& quantile : quantiles) {
    if (!std::isfinite(quantile.margin)) quantile.margin = 0.0;
  }
  return quantiles;
}

MarginHistogram HistogramOf(const std::vector<double>& margins, double least, double greatest,
                            int bins) {
  MarginHistogram histogram;
  histogram.from = least;
  histogram.counts.assign(static_cast<std::size_t>(std::max(1, bins)), 0);
  const auto count = static_cast<double>(histogram.counts.size());
  histogram.width = std::max((greatest - least) / count, 1e-9);
  for (const double margin : margins) {
    if (!std::isfinite(margin)) continue;
    const double at = std::clamp((margin - least) / histogram.width, 0.0, count - 1.0);
    ++histogram.counts[static_cast<std::size_t>(at)];
  }
  return histogram;
}

}  // namespace

double IncompleteBeta(double a, double b, double x) {
  if (x <= 0.0) return 0.0;
  if (x >= 1.0) return 1.0;
  const double front = std::exp(std::lgamma(a + b) - std::lgamma(a) - std::lgamma(b) +
                                a * std::log(x) + b * std::log1p(-x));
  // The fraction converges fast on this side of the mean.
  if (x < (a + 1.0) / (a + b + 2.0)) return front * BetaFraction(a, b, x) / a;
  return 1.0 - front * BetaFraction(b, a, 1.0 - x) / b;
}

double BetaQuantile(double a, double b, double p) {
  if (p <= 0.0) return 0.0;
  if (p >= 1.0) return 1.0;
  // Bisection on the logarithm of the odds: quantiles near 0 keep their digits.
  double low = -745.0;
  double high = 745.0;
  for (int i = 0; i < 200 && high - low > 1e-14 * std::max(1.0, std::abs(low)); ++i) {
    const double middle = 0.5 * (low + high);
    const double x = 1.0 / (1.0 + std::exp(-middle));
    (IncompleteBeta(a, b, x) < p ? low : high) = middle;
  }
  return 1.0 / (1.0 + std::exp(-high));  // not below the quantile
}

double UpperBound95(std::uint64_t events, std::uint64_t trials) {
  constexpr double kLeft = 0.05;
  if (trials == 0 || events >= trials) return 1.0;
  const auto n = static_cast<double>(trials);
  if (events == 0) return -std::expm1(std::log(kLeft) / n);
  const auto k = static_cast<double>(events);
  return BetaQuantile(k + 1.0, n - k, 1.0 - kLeft);
}

Result<Chance> ChanceOf(const MarginOf& margin, const ChanceQuestion& question) {
  if (question.poses == 0) return Fail(ErrorKind::computed, "no poses were asked for");
  const std::uint64_t computed =
      question.proven_clear ? std::min(question.poses, std::max<std::uint64_t>(1, question.sample))
                            : question.poses;
  std::vector<double> margins(computed);
  std::vector<BlockSum> sums((computed + kBlock - 1) / kBlock);
  if (!RunBlocks(margin, question, margins, sums)) {
    return Fail(ErrorKind::computed, "the run was stopped");
  }
  Chance chance;
  chance.poses = question.poses;
  chance.computed = computed;
  chance.least = std::numeric_limits<double>::infinity();
  double total = 0.0;
  double greatest = -std::numeric_limits<double>::infinity();
  for (const BlockSum& sum : sums) {
    chance.contacts += sum.contacts;
    chance.undecided += sum.undecided;
    total += sum.sum;
    greatest = std::max(greatest, sum.greatest);
    if (sum.least < chance.least) {
      chance.least = sum.least;
      chance.least_pose = sum.least_pose;
    }
  }
  const auto decided = static_cast<double>(chance.computed - chance.undecided);
  if (decided == 0.0) return Fail(ErrorKind::computed, "no pose could be computed");
  if (question.proven_clear && chance.contacts > chance.undecided) {
    return Fail(ErrorKind::computed, "a pose touches although the bound says that none does");
  }
  if (question.proven_clear) chance.contacts = 0;  // the bound decides, computed or not
  chance.value = static_cast<double>(chance.contacts) / static_cast<double>(chance.poses);
  chance.upper_95 = UpperBound95(chance.contacts, chance.poses);
  chance.mean = total / decided;
  double squares = 0.0;
  for (const double value : margins) {
    if (std::isfinite(value)) squares += (value - chance.mean) * (value - chance.mean);
  }
  chance.deviation = std::sqrt(squares / decided);
  chance.histogram = HistogramOf(margins, chance.least, greatest, question.bins);
  chance.quantiles = QuantilesOf(margins, question.shares);
  return chance;
}

}  // namespace holeward
