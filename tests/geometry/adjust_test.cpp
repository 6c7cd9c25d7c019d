#include "geometry/adjust.h"

#include <array>
#include <cmath>
#include <random>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/adjust_snoop.h"

namespace holeward {
namespace {

using Eigen::VectorXd;

VectorXd Of(const std::vector<double>& values) {
  return Eigen::Map<const VectorXd>(values.data(), static_cast<Eigen::Index>(values.size()));
}

AdjustProblem Curve(const std::vector<double>& x, const std::vector<double>& y,
                    const std::vector<double>& start,
                    std::function<double(const VectorXd&, double)> law) {
  AdjustProblem problem;
  problem.observed = Of(y);
  problem.sigma = VectorXd::Ones(problem.observed.size());
  problem.start = Of(start);
  problem.step = 1e-5 * problem.start.cwiseAbs();
  problem.model = [x, law = std::move(law)](const VectorXd& b) -> std::optional<VectorXd> {
    VectorXd out(static_cast<Eigen::Index>(x.size()));
    for (std::size_t i = 0; i < x.size(); ++i) out[static_cast<Eigen::Index>(i)] = law(b, x[i]);
    return out;
  };
  return problem;
}

// Height differences between four bench marks, the last one known.
struct Levels {
  struct Line {
    int from, to;
    double rise_m, length_km;
  };
  // Published: Z. Siki, Level network adjustment and data snooping, Budapest University of
  // Technology and Economics, tutorials of OSGeoLab (english/data_processing/level_net.rst).
  std::vector<Line> lines{{0, 1, -0.749, 1.1}, {0, 2, -1.274, 1.8}, {0, 3, -2.890, 1.4},
                          {1, 2, -0.530, 1.5}, {1, 3, -2.141, 1.9}, {2, 3, -1.614, 0.9}};

  [[nodiscard]] AdjustProblem Problem() const {
    AdjustProblem problem;
    const auto n = static_cast<Eigen::Index>(lines.size());
    problem.observed.resize(n);
    problem.sigma.resize(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const Line& line = lines[static_cast<std::size_t>(i)];
      problem.observed[i] = line.rise_m * 1000.0;
      problem.sigma[i] = 0.7 * line.length_km;
    }
    problem.start = Of({104234.0, 103487.0, 102958.0});
    problem.step = VectorXd::Ones(3);
    problem.model = [all = lines](const VectorXd& x) -> std::optional<VectorXd> {
      const auto height = [&](int k) { return k == 3 ? 101345.0 : x[k]; };
      VectorXd out(static_cast<Eigen::Index>(all.size()));
      for (std::size_t i = 0; i < all.size(); ++i) {
        out[static_cast<Eigen::Index>(i)] = height(all[i].to) - height(all[i].from);
      }
      return out;
    };
    return problem;
  }
};

TEST(Adjust, GivesThePublishedLevelNetworkWithItsTestFigures) {
  const auto problem = Levels().Problem();
  const auto fit = Adjust(problem, AllOf(problem));
  ASSERT_TRUE(fit.has_value());
  // Published to the digits below; its deviations of the heights are scaled by m0 = 1.65.
  const std::array<double, 3> height{104234.9969, 103486.8081, 102958.8200};
  const std::array<double, 3> deviation{1.13, 1.19, 0.91};
  for (int k = 0; k < 3; ++k) {
    EXPECT_NEAR(fit->x[k], height[static_cast<std::size_t>(k)], 1e-4);
    EXPECT_NEAR(std::sqrt(fit->chi_square / fit->freedom) * fit->SigmaOf(k),
                deviation[static_cast<std::size_t>(k)], 0.0051);
  }
  const std::array<double, 6> correction{0.81, -2.18, 0.00, 2.01, -0.81, 0.18};
  const std::array<double, 6> standardized{1.9, 2.1, 0.0, 2.6, 0.7, 0.6};
  const std::array<double, 6> redundancy{0.3, 0.7, 0.5, 0.5, 0.7, 0.2};
  for (int i = 0; i < 6; ++i) {
    const auto at = static_cast<std::size_t>(i);
    EXPECT_NEAR(-fit->residual[i], correction[at], 0.0051);
    EXPECT_NEAR(std::abs(fit->standardized[i]), standardized[at], 0.051);
    EXPECT_NEAR(fit->redundancy[i], redundancy[at], 0.051);
  }
  EXPECT_EQ(fit->freedom, 3);
  EXPECT_NEAR(fit->chi_square, 8.217, 0.001);
  EXPECT_NEAR(fit->redundancy.sum(), 3.0, 1e-9);
}

TEST(Adjust, AMisreadLevelInThePublishedNetworkIsNamedWithWhatItWas) {
  for (std::size_t wrong = 0; wrong < 6; ++wrong) {
    Levels levels;
    const double was = levels.lines[wrong].rise_m * 1000.0;
    levels.lines[wrong].rise_m += 0.050;
    const auto found = Snoop(levels.Problem());
    ASSERT_TRUE(found.has_value());
    ASSERT_EQ(found->suspects.size(), 1u) << wrong;
    const SuspectReading& suspect = found->suspects.front();
    EXPECT_EQ(suspect.reading, static_cast<Eigen::Index>(wrong));
    EXPECT_TRUE(suspect.rivals.empty());
    EXPECT_NEAR(suspect.probable, was, 4.0);
    EXPECT_FALSE(found->contradicting);
  }
}

// NIST Statistical Reference Datasets, nonlinear regression: Misra1a (lower difficulty), data and
// certified values.
TEST(Adjust, ReachesTheCertifiedValuesOfMisra1aFromBothStarts) {
  const std::vector<double> x{77.6,  114.9, 141.1, 190.8, 239.9, 289.0, 332.8,
                              378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0};
  const std::vector<double> y{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02,
                              44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78};
  for (const auto& start : {std::vector{500.0, 0.0001}, std::vector{250.0, 0.0005}}) {
    const auto problem = Curve(x, y, start, [](const VectorXd& b, double at) {
      return b[0] * (1.0 - std::exp(-b[1] * at));
    });
    const auto fit = Adjust(problem, AllOf(problem));
    ASSERT_TRUE(fit.has_value());
    EXPECT_NEAR(fit->x[0] / 2.3894212918e+02, 1.0, 1e-7);
    EXPECT_NEAR(fit->x[1] / 5.5015643181e-04, 1.0, 1e-7);
    EXPECT_NEAR(fit->chi_square / 1.2455138894e-01, 1.0, 1e-8);
    const double scale = std::sqrt(fit->chi_square / fit->freedom);
    EXPECT_NEAR(scale * fit->SigmaOf(0) / 2.7070075241e+00, 1.0, 1e-6);
    EXPECT_NEAR(scale * fit->SigmaOf(1) / 7.2668688436e-06, 1.0, 1e-6);
  }
}

// NIST StRD DanWood; the two parameters as published, data and residual sum from memory.
TEST(Adjust, ReachesTheCertifiedValuesOfDanWood) {
  const std::vector<double> x{1.309, 1.471, 1.490, 1.565, 1.611, 1.680};
  const std::vector<double> y{2.138, 3.421, 3.597, 4.340, 4.882, 5.660};
  for (const auto& start : {std::vector{1.0, 5.0}, std::vector{0.7, 4.0}}) {
    const auto problem =
        Curve(x, y, start, [](const VectorXd& b, double at) { return b[0] * std::pow(at, b[1]); });
    const auto fit = Adjust(problem, AllOf(problem));
    ASSERT_TRUE(fit.has_value());
    EXPECT_NEAR(fit->x[0] / 7.6886226176e-01, 1.0, 1e-7);
    EXPECT_NEAR(fit->x[1] / 3.8604055871e+00, 1.0, 1e-7);
    EXPECT_NEAR(fit->chi_square / 4.3173084083e-03, 1.0, 1e-7);
  }
}

AdjustProblem Sums(const std::vector<double>& readings) {
  // a, b, a + b, and c only as a + c: nothing checks the last.
  AdjustProblem problem;
  problem.observed = Of(readings);
  problem.sigma = VectorXd::Constant(problem.observed.size(), 0.1);
  problem.start = Of({1.0, 1.0, 1.0});
  problem.step = VectorXd::Constant(3, 1e-3);
  problem.model = [](const VectorXd& x) -> std::optional<VectorXd> {
    return Of({x[0], x[1], x[0] + x[1], x[0] + x[2]});
  };
  return problem;
}

TEST(Adjust, AReadingThatNothingChecksHasNoRedundancyAndNoTest) {
  const auto problem = Sums({10.0, 20.0, 30.1, 35.0});
  const auto fit = Adjust(problem, AllOf(problem));
  ASSERT_TRUE(fit.has_value());
  EXPECT_LT(fit->redundancy[3], 1e-9);
  EXPECT_EQ(fit->standardized[3], 0.0);
  EXPECT_TRUE(std::isinf(fit->LeastFound(problem, 3)));
  EXPECT_NEAR(fit->redundancy[0], 1.0 / 3.0, 1e-9);
  EXPECT_NEAR(fit->LeastFound(problem, 0), 4.13 * 0.1 * std::sqrt(3.0), 1e-6);
}

TEST(Adjust, OneSpareReadingTellsThatSomethingIsWrongButNotWhich) {
  const auto found = Snoop(Sums({10.0, 20.0, 35.0, 35.0}));
  ASSERT_TRUE(found.has_value());
  ASSERT_EQ(found->suspects.size(), 1u);
  EXPECT_EQ(found->suspects.front().rivals.size(), 2u);
}

TEST(Adjust, NamesTheUnknownsThatNoReadingFixes) {
  AdjustProblem problem = Sums({10.0, 20.0, 30.0, 35.0});
  problem.model = [](const VectorXd& x) -> std::optional<VectorXd> {
    return Of({x[0], x[0], x[1] + x[2], x[1] + x[2]});
  };
  const auto fit = Adjust(problem, AllOf(problem));
  ASSERT_FALSE(fit.has_value());
  EXPECT_EQ(fit.error().kind, AdjustFailure::Kind::undetermined);
  EXPECT_EQ(fit.error().unknowns, (std::vector<Eigen::Index>{1, 2}));
}

TEST(Adjust, AStartThatCannotBeIsTold) {
  AdjustProblem problem = Sums({10.0, 20.0, 30.0, 35.0});
  problem.model = [](const VectorXd&) -> std::optional<VectorXd> { return std::nullopt; };
  const auto fit = Adjust(problem, AllOf(problem));
  ASSERT_FALSE(fit.has_value());
  EXPECT_EQ(fit.error().kind, AdjustFailure::Kind::impossible);
}

// Six sizes each read four times: the test's own level shows.
AdjustProblem Repeated(std::mt19937_64& random) {
  AdjustProblem problem;
  std::normal_distribution<double> normal;
  problem.observed.resize(24);
  problem.sigma = VectorXd::Constant(24, 0.5);
  for (Eigen::Index i = 0; i < 24; ++i) problem.observed[i] = 50.0 + 0.5 * normal(random);
  problem.start = VectorXd::Constant(6, 48.0);
  problem.step = VectorXd::Constant(6, 1e-3);
  problem.model = [](const VectorXd& x) -> std::optional<VectorXd> {
    VectorXd out(24);
    for (Eigen::Index i = 0; i < 24; ++i) out[i] = x[i / 4];
    return out;
  };
  return problem;
}

TEST(Adjust, SoundReadingsAreSeldomSuspectedAndBlundersAreFound) {
  std::mt19937_64 random(5);
  const int runs = 400;
  int false_alarms = 0;
  int found = 0;
  int within = 0;
  for (int run = 0; run < runs; ++run) {
    AdjustProblem problem = Repeated(random);
    const auto sound = Snoop(problem);
    ASSERT_TRUE(sound.has_value());
    false_alarms += sound->suspects.empty() ? 0 : 1;
    const auto k = static_cast<Eigen::Index>(random() % 24);
    problem.observed[k] += run % 2 == 0 ? 5.0 : -5.0;
    const auto wrong = Snoop(problem);
    ASSERT_TRUE(wrong.has_value());
    found += wrong->suspects.size() == 1 && wrong->suspects.front().reading == k ? 1 : 0;
    for (Eigen::Index j = 0; j < 6; ++j) {
      within += std::abs(wrong->adjustment.x[j] - 50.0) < 1.96 * wrong->adjustment.SigmaOf(j);
    }
  }
  // 24 tests at level 0.001 each: 2.4 % of the sets.
  EXPECT_LT(false_alarms, 0.05 * runs);
  EXPECT_GE(found, 0.95 * runs);
  EXPECT_GE(within, 0.93 * 6 * runs);
  EXPECT_LE(within, 0.97 * 6 * runs);
}

TEST(Adjust, ChiSquareLimitsAreThoseOfTheTables) {
  // 0.001 points: 16.27 (3), 29.59 (10), 59.70 (30). Biometrika Tables, from memory.
  EXPECT_NEAR(ChiSquareLimit(3), 16.27, 0.3);
  EXPECT_NEAR(ChiSquareLimit(10), 29.59, 0.3);
  EXPECT_NEAR(ChiSquareLimit(30), 59.70, 0.3);
}

}  // namespace
}  // namespace holeward
