#include "geometry/distribution.h"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/chance.h"
#include "geometry/random.h"

namespace holeward {
namespace {

constexpr int kSteps = 400000;

/// Mean of `power` over the middles of equal steps of the uniform number: the moment of an error
/// on [-minus, +plus].
double MomentOf(Distribution distribution, const HalfWidth& half, int power) {
  const double nothing = half.minus / (half.minus + half.plus);
  double sum = 0.0;
  for (int i = 0; i < kSteps; ++i) {
    const double even = EvenInInterval(distribution, nothing, (i + 0.5) / kSteps);
    sum += std::pow(Within(half, even), power);
  }
  return sum / kSteps;
}

// A standard normal cut off at ±c: variance 1 - 2 c phi(c) / (2 Phi(c) - 1) (Johnson, Kotz and
// Balakrishnan, Continuous Univariate Distributions 1 (1994), chapter 13).
double CutNormalVariance(double c) {
  const double phi = std::exp(-0.5 * c * c) / std::sqrt(2.0 * kPi);
  return 1.0 - 2.0 * c * phi / std::erf(c / std::sqrt(2.0));
}

TEST(Distribution, EvenErrorsStayTheVeryNumbersDrawn) {
  for (int i = 0; i <= 1000; ++i) {
    const double u = i / 1000.0;
    EXPECT_EQ(EvenInInterval(Distribution::rectangular, 0.3, u), u);
    EXPECT_EQ(EvenInDisc(Distribution::rectangular, u), u);
  }
}

// JCGM 101:2008, 6.4.2 and 6.4.5 for equal sides: a²/3 and a²/6.
TEST(Distribution, VariancesOfIntervalsAreThoseOfClosedForms) {
  const double a = 1.7;
  const HalfWidth half = HalfWidth::Even(a);
  EXPECT_NEAR(MomentOf(Distribution::rectangular, half, 2), a * a / 3.0, 1e-6);
  EXPECT_NEAR(MomentOf(Distribution::triangular, half, 2), a * a / 6.0, 1e-6);
  EXPECT_NEAR(MomentOf(Distribution::normal, half, 2), a * a / 9.0 * CutNormalVariance(3.0), 1e-6);
  for (const auto one : {Distribution::triangular, Distribution::normal}) {
    EXPECT_NEAR(MomentOf(one, half, 1), 0.0, 1e-9);
  }
}

// Triangle on [-m, p] with its peak at 0: mean (p - m)/3, variance (m² + p² + m p)/18 (Evans,
// Hastings and Peacock, Statistical Distributions, triangular).
TEST(Distribution, ALopsidedTriangleHasItsPeakAtNothing) {
  const HalfWidth half{0.6, 1.5};
  const double mean = MomentOf(Distribution::triangular, half, 1);
  EXPECT_NEAR(mean, (1.5 - 0.6) / 3.0, 1e-6);
  EXPECT_NEAR(MomentOf(Distribution::triangular, half, 2) - mean * mean, (0.36 + 2.25 + 0.9) / 18.0,
              1e-6);
}

TEST(Distribution, ALopsidedNormalDoesNotJumpAtNothing) {
  const HalfWidth half{0.6, 1.5};
  const double nothing = 0.6 / 2.1;
  const double step = 1e-6;
  for (const auto one : {Distribution::triangular, Distribution::normal}) {
    const auto at = [&](double u) { return Within(half, EvenInInterval(one, nothing, u)); };
    EXPECT_NEAR(at(nothing), 0.0, 1e-15);
    const double before = step / (at(nothing) - at(nothing - step));
    const double after = step / (at(nothing + step) - at(nothing));
    EXPECT_NEAR(before, after, 1e-4 * after);
  }
  // Each side is a cut half-normal: mean of one side sigma sqrt(2/pi) (1 - exp(-9/2)) / erf(3/√2).
  const double side = std::sqrt(2.0 / kPi) * -std::expm1(-4.5) / std::erf(3.0 / std::sqrt(2.0));
  EXPECT_NEAR(MomentOf(Distribution::normal, half, 1), side / 3.0 * (1.5 * 1.5 - 0.6 * 0.6) / 2.1,
              1e-6);
}

TEST(Distribution, IntervalsAreTheInversesOfTheirDistributionFunctions) {
  for (int i = 0; i <= 2000; ++i) {
    const double u = i / 2000.0;
    const double x = 2.0 * EvenInInterval(Distribution::triangular, 0.5, u) - 1.0;
    const double triangle =
        x < 0.0 ? 0.5 * (1.0 + x) * (1.0 + x) : 1.0 - 0.5 * (1.0 - x) * (1.0 - x);
    EXPECT_NEAR(triangle, u, 1e-14);
    const double z = 3.0 * (2.0 * EvenInInterval(Distribution::normal, 0.5, u) - 1.0);
    const double normal = 0.5 + 0.5 * std::erf(z / std::sqrt(2.0)) / std::erf(3.0 / std::sqrt(2.0));
    EXPECT_NEAR(normal, u, 1e-14);
  }
}

// A cone over the disc: P(radius below r) = 3 r² - 2 r³. Rayleigh cut at 3: (1 - exp(-9 r²/2)) over
// its value at r = 1.
TEST(Distribution, DiscsAreTheInversesOfTheirRadialFunctions) {
  for (int i = 0; i <= 2000; ++i) {
    const double u = i / 2000.0;
    const double r = InDisc(1.0, EvenInDisc(Distribution::triangular, u), 0.0).x();
    EXPECT_NEAR(r * r * (3.0 - 2.0 * r), u, 1e-13);
    const double s = InDisc(1.0, EvenInDisc(Distribution::normal, u), 0.0).x();
    EXPECT_NEAR(std::expm1(-4.5 * s * s) / std::expm1(-4.5), u, 1e-14);
  }
}

TEST(Distribution, NothingLeavesWhatIsStatedAndOrderStays) {
  for (const auto one : {Distribution::triangular, Distribution::normal}) {
    for (const double nothing : {0.0, 0.25, 0.5, 1.0}) {
      EXPECT_EQ(EvenInInterval(one, nothing, 0.0), 0.0);
      EXPECT_EQ(EvenInInterval(one, nothing, 1.0), 1.0);
      double before = 0.0;
      for (int i = 1; i <= 20000; ++i) {
        const double even = EvenInInterval(one, nothing, i / 20000.0);
        ASSERT_GE(even, before);
        ASSERT_LE(even, 1.0);
        before = even;
      }
    }
    EXPECT_EQ(EvenInDisc(one, 0.0), 0.0);
    EXPECT_EQ(EvenInDisc(one, 1.0), 1.0);
    double before = 0.0;
    for (int i = 1; i <= 20000; ++i) {
      const double even = EvenInDisc(one, i / 20000.0);
      ASSERT_GE(even, before);
      ASSERT_LE(even, 1.0);
      before = even;
    }
    // The least and the greatest number that UniformsOf gives.
    for (const double u : {0x1p-33, 1.0 - 0x1p-33}) {
      EXPECT_GT(EvenInDisc(one, u), 0.0);
      EXPECT_LT(EvenInDisc(one, u), 1.0);
      EXPECT_GT(EvenInInterval(one, 0.5, u), 0.0);
      EXPECT_LT(EvenInInterval(one, 0.5, u), 1.0);
    }
  }
}

// JCGM 101:2008, 9.2.2: four standard normal quantities: u = 2.0, [-3.92, 3.92]; here each cut off
// at three standard deviations, which takes 1.3 % off the deviation.
TEST(Distribution, GivesTheNormalExampleOfJcgm101ButForTheCut) {
  const HalfWidth half = HalfWidth::Even(kDeviationsOfHalfWidth);
  ChanceQuestion question;
  question.shares = {0.025, 0.975};
  const auto chance = ChanceOf(
      [&](std::uint64_t pose) {
        double u[4];
        UniformsOf(17, pose, u);
        double sum = 0.0;
        for (const double one : u) {
          sum += Within(half, EvenInInterval(Distribution::normal, 0.5, one));
        }
        return sum;
      },
      question);
  ASSERT_TRUE(chance);
  const double exact = 2.0 * std::sqrt(CutNormalVariance(3.0));
  EXPECT_NEAR(chance->deviation, exact, 0.008);
  EXPECT_NEAR(exact, 2.0, 0.03);
  ASSERT_EQ(chance->quantiles.size(), 2U);
  EXPECT_NEAR(chance->quantiles[1].margin, 3.92, 0.08);
  EXPECT_NEAR(chance->quantiles[0].margin, -chance->quantiles[1].margin, 0.03);
}

}  // namespace
}  // namespace holeward
