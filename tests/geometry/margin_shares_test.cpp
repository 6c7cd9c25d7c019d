#include "geometry/margin_shares.h"

#include <cmath>

#include <gtest/gtest.h>

#include "geometry/random.h"

namespace holeward {
namespace {

double Draw(std::uint64_t pose) {
  double u[1];
  UniformsOf(21, pose, u);
  return 2.0 * u[0] - 1.0;
}

TEST(MarginShares, VariancesOfRectangularErrorsAreAThirdOfTheirHalfWidthsSquared) {
  const double half[3] = {3.0, 1.0, 0.0};
  const auto variance = VarianceAlone(3, 40000, [&](std::uint64_t pose, std::size_t error) {
    return 5.0 + half[error] * Draw(pose);
  });
  ASSERT_EQ(variance.size(), 3U);
  EXPECT_NEAR(variance[0], 3.0, 0.06);
  EXPECT_NEAR(variance[1], 1.0 / 3.0, 0.007);
  EXPECT_NEAR(variance[2], 0.0, 1e-20);
}

TEST(MarginShares, AddUpToOne) {
  std::vector<MarginShare> shares(3);
  shares[0].variance = 3.0;
  shares[1].variance = 1.0;
  FillVarianceShares(shares);
  EXPECT_DOUBLE_EQ(shares[0].variance_share, 0.75);
  EXPECT_DOUBLE_EQ(shares[1].variance_share, 0.25);
  EXPECT_DOUBLE_EQ(shares[2].variance_share, 0.0);
}

TEST(MarginShares, WithoutAnyErrorThereIsNothingToShare) {
  std::vector<MarginShare> shares(2);
  FillVarianceShares(shares);
  EXPECT_EQ(shares[0].variance_share, 0.0);
  EXPECT_EQ(shares[1].variance_share, 0.0);
}

TEST(MarginShares, LeaveOutWhatCouldNotBeComputed) {
  const auto variance = VarianceAlone(1, 1000, [](std::uint64_t pose, std::size_t) {
    return pose % 2 == 0 ? std::nan("") : 1.0 + static_cast<double>(pose % 4);
  });
  EXPECT_NEAR(variance[0], 1.0, 0.01);  // values 2 and 4 in turn
}

}  // namespace
}  // namespace holeward
