#include "geometry/chance.h"

#include <atomic>
#include <cmath>
#include <cstring>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/random.h"
#include "geometry/vec.h"

namespace holeward {
namespace {

double QuantileOf(const Chance& chance, double share) {
  for (const MarginQuantile& quantile : chance.quantiles) {
    if (quantile.share == share) return quantile.margin;
  }
  return std::nan("");
}

/// A standard normal from two uniforms (Box and Muller, Annals of Mathematical Statistics 29 (1958)
/// 610).
double Normal(double u, double v) {
  return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * kPi * v);
}

TEST(IncompleteBeta, AgreesWithClosedForms) {
  for (const double x : {0.001, 0.1, 0.25, 0.5, 0.8, 0.999}) {
    EXPECT_NEAR(IncompleteBeta(1.0, 1.0, x), x, 1e-14);
    EXPECT_NEAR(IncompleteBeta(1.0, 7.0, x), 1.0 - std::pow(1.0 - x, 7.0), 1e-13);
    EXPECT_NEAR(IncompleteBeta(2.0, 3.0, x), x * x * (6.0 - 8.0 * x + 3.0 * x * x), 1e-13);
    // Arcsine law.
    EXPECT_NEAR(IncompleteBeta(0.5, 0.5, x), 2.0 / kPi * std::asin(std::sqrt(x)), 1e-12);
  }
  EXPECT_NEAR(IncompleteBeta(400000.0, 400000.0, 0.5), 0.5, 1e-9);
}

TEST(IncompleteBeta, AgreesWithTheBinomialSum) {
  // DLMF 8.17.5: P(X <= k) of a binomial n, p is I_{1-p}(n - k, k + 1).
  const int n = 20;
  const double p = 0.13;
  double sum = 0.0;
  double term = std::pow(1.0 - p, n);
  for (int k = 0; k < n; ++k) {
    sum += term;
    EXPECT_NEAR(IncompleteBeta(n - k, k + 1.0, 1.0 - p), sum, 1e-13) << k;
    term *= (n - k) * p / ((k + 1.0) * (1.0 - p));
  }
}

TEST(UpperBound95, IsClopperAndPearsons) {
  // Closed forms: none of n and all but one of n.
  for (const std::uint64_t n : {1ULL, 10ULL, 100ULL, 1000000ULL}) {
    const auto count = static_cast<double>(n);
    EXPECT_NEAR(UpperBound95(0, n) / (1.0 - std::pow(0.05, 1.0 / count)), 1.0, 1e-9);
    EXPECT_NEAR(UpperBound95(n - 1, n), n == 1 ? 1.0 - 0.05 : std::pow(0.95, 1.0 / count), 1e-12);
    EXPECT_EQ(UpperBound95(n, n), 1.0);
  }
  // Rule of three: 3/n (Hanley and Lippman-Hand, JAMA 249 (1983) 1743).
  EXPECT_NEAR(UpperBound95(0, 1000000), 2.9957e-6, 1e-9);
  EXPECT_EQ(UpperBound95(0, 0), 1.0);
}

TEST(UpperBound95, LeavesFivePercentBelow) {
  // Its definition, by the binomial sum itself.
  const int n = 50;
  for (const int k : {1, 3, 17, 40}) {
    const double p = UpperBound95(static_cast<std::uint64_t>(k), n);
    double sum = 0.0;
    double term = std::pow(1.0 - p, n);
    for (int i = 0; i <= k; ++i) {
      sum += term;
      term *= (n - i) * p / ((i + 1.0) * (1.0 - p));
    }
    EXPECT_NEAR(sum, 0.05, 1e-10) << k;
  }
}

TEST(UpperBound95, ComesNearTheNormalBoundForManyEvents) {
  // k = 10,000 of 1,000,000: p + 1.645 sqrt(p (1 - p) / n), and a little for the half event.
  const double normal = 0.01 + 1.6448536 * std::sqrt(0.01 * 0.99 / 1e6);
  EXPECT_NEAR(UpperBound95(10000, 1000000), normal, 3e-6);
}

// JCGM 101:2008, 9.2.3: four rectangular quantities of unit standard deviation: u = 2.0, shortest
// 95 % interval [-3.88, 3.88]. Exact half-width 2 sqrt(3) (2 - 0.6^(1/4)) = 3.879406741.
TEST(Chance, GivesTheAdditiveExampleOfJcgm101) {
  ChanceQuestion question;
  question.shares = {0.025, 0.5, 0.975};
  const double half = std::sqrt(3.0);
  const auto chance = ChanceOf(
      [&](std::uint64_t pose) {
        double u[4];
        UniformsOf(11, pose, u);
        return half * (2.0 * (u[0] + u[1] + u[2] + u[3]) - 4.0);
      },
      question);
  ASSERT_TRUE(chance);
  EXPECT_NEAR(chance->mean, 0.0, 0.01);
  EXPECT_NEAR(chance->deviation, 2.0, 0.008);
  const double exact = 2.0 * std::sqrt(3.0) * (2.0 - std::pow(0.6, 0.25));
  EXPECT_NEAR(exact, 3.879406741, 1e-9);
  EXPECT_NEAR(QuantileOf(*chance, 0.975), exact, 0.015);
  EXPECT_NEAR(QuantileOf(*chance, 0.025), -exact, 0.015);
  EXPECT_NEAR(chance->value, 0.5, 0.0025);
}

// JCGM 101:2008, 9.2.2: four standard normal quantities: u = 2.0, [-3.92, 3.92].
TEST(Chance, GivesTheNormalExampleOfJcgm101) {
  ChanceQuestion question;
  question.shares = {0.025, 0.975};
  const auto chance = ChanceOf(
      [&](std::uint64_t pose) {
        double u[8];
        UniformsOf(12, pose, u);
        return Normal(u[0], u[1]) + Normal(u[2], u[3]) + Normal(u[4], u[5]) + Normal(u[6], u[7]);
      },
      question);
  ASSERT_TRUE(chance);
  EXPECT_NEAR(chance->deviation, 2.0, 0.008);
  EXPECT_NEAR(QuantileOf(*chance, 0.975), 3.919928, 0.025);
  EXPECT_NEAR(QuantileOf(*chance, 0.025), -3.919928, 0.025);
}

// NPL Report DEM-ES-011 (2006), 9.2: the logarithm of a rectangular quantity on [0.1, 1.1]: mean
// -0.665, u = 0.606. Exact: -0.66490029, 0.6062267.
TEST(Chance, GivesTheLogarithmExampleOfNpl) {
  ChanceQuestion question;
  question.shares = {0.05, 1.0};
  const auto chance = ChanceOf(
      [](std::uint64_t pose) {
        double u[1];
        UniformsOf(13, pose, u);
        return std::log(0.1 + u[0]);
      },
      question);
  ASSERT_TRUE(chance);
  EXPECT_NEAR(chance->mean, -0.66490029, 0.003);
  EXPECT_NEAR(chance->deviation, 0.6062267, 0.003);
  // Its shortest 95 % interval leaves nothing out above: [-1.895, 0.095].
  EXPECT_NEAR(QuantileOf(*chance, 0.05), -1.895, 0.01);
  EXPECT_NEAR(QuantileOf(*chance, 1.0), 0.095, 0.001);
}

/// Area of the part of a unit disc beyond a chord at distance c from the middle, as a share.
double Segment(double c) { return (std::acos(c) - c * std::sqrt(1.0 - c * c)) / kPi; }

// A bar beside the drill, displaced evenly over a disc: contact where it comes nearer than the gap,
// which is a circular segment.
TEST(Chance, OfABarDisplacedInADiscIsACircularSegment) {
  const double radius = 2.0;
  const double gap = 1.3;
  const auto chance = ChanceOf(
      [&](std::uint64_t pose) {
        double u[2];
        UniformsOf(14, pose, u);
        return gap - InDisc(radius, u[0], u[1]).x();
      },
      {});
  ASSERT_TRUE(chance);
  const double exact = Segment(gap / radius);
  EXPECT_NEAR(chance->value, exact, 5.0 * std::sqrt(exact * (1.0 - exact) / 1e6));
  EXPECT_GT(chance->upper_95, chance->value);
  EXPECT_LT(chance->upper_95, chance->value + 3.0 * std::sqrt(exact * (1.0 - exact) / 1e6));
}

TEST(Chance, UpperBoundHoldsInNineteenOfTwentyRuns) {
  // Contact probability 0.02 exactly; 400 runs of 2,000 poses. Clopper and Pearson's bound fails in
  // at most 5 % of them: 20 expected at most, 5 sigma above that is 42.
  int failed = 0;
  ChanceQuestion question;
  question.poses = 2000;
  question.threads = 1;
  for (std::uint64_t seed = 100; seed < 500; ++seed) {
    const auto chance = ChanceOf(
        [seed](std::uint64_t pose) {
          double u[1];
          UniformsOf(seed, pose, u);
          return u[0] - 0.02;
        },
        question);
    ASSERT_TRUE(chance);
    failed += chance->upper_95 < 0.02 ? 1 : 0;
  }
  EXPECT_LE(failed, 42);
  EXPECT_GE(failed, 2);  // it is not simply far too wide
}

bool SameBytes(const Chance& a, const Chance& b) {
  if (std::memcmp(&a.mean, &b.mean, sizeof(double)) != 0) return false;
  if (std::memcmp(&a.deviation, &b.deviation, sizeof(double)) != 0) return false;
  if (a.contacts != b.contacts || a.least_pose != b.least_pose || a.least != b.least) return false;
  if (a.histogram.counts != b.histogram.counts || a.histogram.width != b.histogram.width)
    return false;
  for (std::size_t i = 0; i < a.quantiles.size(); ++i) {
    if (a.quantiles[i].margin != b.quantiles[i].margin) return false;
  }
  return a.upper_95 == b.upper_95;
}

TEST(Chance, IsTheSameByteForByteOnAnyNumberOfThreads) {
  const auto margin = [](std::uint64_t pose) {
    double u[5];
    UniformsOf(15, pose, u);
    return std::sin(9.0 * u[0]) + u[1] * u[2] - u[3] + 0.1 * std::log(u[4]);
  };
  ChanceQuestion question;
  question.poses = 300001;
  question.threads = 1;
  const auto one = ChanceOf(margin, question);
  ASSERT_TRUE(one);
  ASSERT_GT(one->contacts, 0U);
  for (const int threads : {2, 4, 7}) {
    question.threads = threads;
    const auto more = ChanceOf(margin, question);
    ASSERT_TRUE(more);
    EXPECT_TRUE(SameBytes(*one, *more)) << threads;
  }
}

TEST(Chance, CountsWhatCouldNotBeComputedAsContact) {
  ChanceQuestion question;
  question.poses = 1000;
  question.shares = {0.05, 0.5};
  const auto chance = ChanceOf(
      [](std::uint64_t pose) {
        return pose % 10 == 3 ? std::nan("") : 1.0 + 1e-3 * static_cast<double>(pose);
      },
      question);
  ASSERT_TRUE(chance);
  EXPECT_EQ(chance->undecided, 100U);
  EXPECT_EQ(chance->contacts, 100U);
  EXPECT_DOUBLE_EQ(chance->value, 0.1);
  EXPECT_TRUE(std::isfinite(chance->mean));
  EXPECT_EQ(QuantileOf(*chance, 0.05), 0.0);
  EXPECT_GT(QuantileOf(*chance, 0.5), 1.0);
  EXPECT_FALSE(ChanceOf([](std::uint64_t) { return std::nan(""); }, question));
  question.poses = 0;
  EXPECT_FALSE(ChanceOf([](std::uint64_t) { return 1.0; }, question));
}

TEST(Chance, EveryPoseIsInTheHistogramOnce) {
  ChanceQuestion question;
  question.poses = 12345;
  question.bins = 17;
  const auto chance = ChanceOf(
      [](std::uint64_t pose) {
        double u[1];
        UniformsOf(16, pose, u);
        return u[0] * u[0];
      },
      question);
  ASSERT_TRUE(chance);
  ASSERT_EQ(chance->histogram.counts.size(), 17U);
  std::uint64_t sum = 0;
  for (const std::uint64_t count : chance->histogram.counts) sum += count;
  EXPECT_EQ(sum, 12345U);
  EXPECT_DOUBLE_EQ(chance->histogram.from, chance->least);
  // P(margin below x) = sqrt(x): the first bin holds a quarter of all, nearly (1/sqrt(17)).
  EXPECT_NEAR(static_cast<double>(chance->histogram.counts[0]) / 12345.0, 1.0 / std::sqrt(17.0),
              0.025);
}

TEST(Chance, ABoundDecidesPosesWithoutComputingThem) {
  ChanceQuestion question;
  question.proven_clear = true;
  question.sample = 5000;
  std::atomic<int> asked{0};
  const auto clear = ChanceOf(
      [&](std::uint64_t) {
        ++asked;
        return 2.0;
      },
      question);
  ASSERT_TRUE(clear);
  EXPECT_EQ(asked.load(), 5000);
  EXPECT_EQ(clear->poses, 1000000U);
  EXPECT_EQ(clear->computed, 5000U);
  EXPECT_EQ(clear->contacts, 0U);
  EXPECT_EQ(clear->upper_95, UpperBound95(0, 1000000));
  // A bound that a pose shows to be wrong is not believed.
  EXPECT_FALSE(ChanceOf([](std::uint64_t pose) { return pose == 4321 ? -1e-9 : 2.0; }, question));
}

TEST(Chance, CanBeStopped) {
  ChanceQuestion question;
  question.poses = 4000000;
  question.threads = 2;
  question.progress = [](double share) { return share < 1e-9; };
  const auto stopped = ChanceOf(
      [](std::uint64_t pose) {
        double sum = 0.0;
        for (int i = 0; i < 200; ++i) sum += std::sin(static_cast<double>(pose + i));
        return sum;
      },
      question);
  EXPECT_FALSE(stopped);
}

}  // namespace
}  // namespace holeward
