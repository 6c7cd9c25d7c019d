#include "geometry/random.h"

#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace holeward {
namespace {

// Known-answer vectors of Philox 4x32-10 published with the Random123 library of Salmon et al.
// (kat_vectors).
TEST(Random, PhiloxGivesThePublishedKnownAnswers) {
  EXPECT_EQ(Philox4x32({0, 0, 0, 0}, {0, 0}),
            (PhiloxBlock{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));
  const std::uint32_t all = 0xffffffff;
  EXPECT_EQ(Philox4x32({all, all, all, all}, {all, all}),
            (PhiloxBlock{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}));
  EXPECT_EQ(Philox4x32({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}),
            (PhiloxBlock{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

TEST(Random, TheNumbersOfAPoseDependOnSeedAndPoseAlone) {
  std::vector<double> first(10);
  std::vector<double> again(3);
  UniformsOf(7, 123456789012345, first);
  UniformsOf(7, 123456789012345, again);
  for (std::size_t i = 0; i < 3; ++i) EXPECT_EQ(first[i], again[i]);
  std::vector<double> other(10);
  UniformsOf(8, 123456789012345, other);
  EXPECT_NE(first, other);
  UniformsOf(7, 123456789012345 + (std::uint64_t{1} << 32), other);
  EXPECT_NE(first, other);
  for (const double u : first) {
    EXPECT_GT(u, 0.0);
    EXPECT_LT(u, 1.0);
  }
}

TEST(Random, ALopsidedErrorReachesBothItsEnds) {
  const HalfWidth half{0.6, 0.2};
  EXPECT_DOUBLE_EQ(Within(half, 0.0), -0.6);
  EXPECT_DOUBLE_EQ(Within(half, 1.0), 0.2);
  EXPECT_DOUBLE_EQ(Within(HalfWidth::Even(2.0), 0.5), 0.0);
}

TEST(Random, ADiscIsFilledEvenly) {
  // Mean squared distance from the middle of an even disc: R²/2; half the places within R/√2.
  double squares = 0.0;
  int within = 0;
  const int n = 100000;
  Vec2 sum = Vec2::Zero();
  for (int i = 0; i < n; ++i) {
    std::vector<double> u(2);
    UniformsOf(1, static_cast<std::uint64_t>(i), u);
    const Vec2 p = InDisc(3.0, u[0], u[1]);
    EXPECT_LE(p.norm(), 3.0);
    squares += p.squaredNorm();
    sum += p;
    within += p.norm() <= 3.0 / std::sqrt(2.0) ? 1 : 0;
  }
  EXPECT_NEAR(squares / n, 4.5, 5 * 9.0 / std::sqrt(12.0 * n));
  EXPECT_NEAR(within, 0.5 * n, 5 * std::sqrt(0.25 * n));
  EXPECT_LT((sum / n).norm(), 5 * 1.5 / std::sqrt(n) * 1.5);
}

TEST(Random, AConeIsFilledEvenlyByItsSolidAngle) {
  for (const Vec3& axis :
       {Vec3(0, 0, 1), Vec3(0, 0, -1), Vec3(0.36, 0.48, -0.8), Vec3(1, 0, 0), Vec3(0, -1, 0)}) {
    const double half = 0.3;
    const int n = 20000;
    double sum = 0.0;
    Vec3 mean = Vec3::Zero();
    for (int i = 0; i < n; ++i) {
      std::vector<double> u(2);
      UniformsOf(2, static_cast<std::uint64_t>(i), u);
      const Vec3 d = InCone(axis, half, u[0], u[1]);
      EXPECT_NEAR(d.norm(), 1.0, 1e-12);
      EXPECT_GE(d.dot(axis), std::cos(half) - 1e-12);
      sum += d.dot(axis);
      mean += d / n;
    }
    // The cosine is even over [cos half, 1].
    const double width = 1.0 - std::cos(half);
    EXPECT_NEAR(sum / n, 1.0 - 0.5 * width, 5 * width / std::sqrt(12.0 * n));
    EXPECT_LT(Vec3(mean - mean.dot(axis) * axis).norm(), 5 * half / std::sqrt(n));
  }
  EXPECT_LT((InCone(Vec3::UnitX(), 0.0, 0.7, 0.2) - Vec3::UnitX()).norm(), 1e-15);
  EXPECT_NEAR(InCone(Vec3::UnitX(), 1e-6, 1.0, 0.2).cross(Vec3::UnitX()).norm(), 1e-6, 1e-15);
}

}  // namespace
}  // namespace holeward
