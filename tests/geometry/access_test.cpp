#include "geometry/access.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "geometry/part.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

Obstacle Rod(const Vec3& from, const Vec3& to, double radius) {
  return {"pipe", ObstacleKind::other, FaceRole::outer, CylinderPatches(from, to, radius)};
}

TEST(Access, IsTheLeastDistanceBesideTheTool) {
  const auto access =
      AccessOf({Rod({30, -50, 20}, {30, 50, 20}, 3)}, {{0, 0, 0}, {0, 0, 1}, 16, 180});
  EXPECT_TRUE(access.failure.empty());
  EXPECT_NEAR(access.distance, 30 - 3 - 16, 2e-3);
  EXPECT_EQ(access.body, "pipe");
}

TEST(Access, IsMeasuredFromTheToolsEndsToo) {
  const ToolRoom chuck{{0, 0, 50}, {0, 0, 1}, 21, 100};
  EXPECT_NEAR(AccessOf({Rod({0, -50, 40}, {0, 50, 40}, 3)}, chuck).distance, 7.0, 2e-3);
  EXPECT_NEAR(AccessOf({Rod({27, -50, 42}, {27, 50, 42}, 3)}, chuck).distance, 10.0 - 3.0, 2e-3);
}

TEST(Access, IsNegativeWhereSomethingIsInTheWay) {
  const auto access =
      AccessOf({Rod({10, -50, 20}, {10, 50, 20}, 3)}, {{0, 0, 0}, {0, 0, 1}, 16, 180});
  EXPECT_LT(access.distance, 0.0);
}

TEST(Access, NeverExceedsTheDistanceOfAnySampledPlace) {
  const Obstacle sphere{"ball", ObstacleKind::other, FaceRole::outer,
                        SpherePatches({30, 20, 60}, 10)};
  const ToolRoom tool{{0, 0, 0}, Vec3(0.2, 0.1, 1).normalized(), 12, 40};
  const double distance = AccessOf({sphere}, tool).distance;
  // Nearest place of a cylinder to the ball's middle, by its formula.
  const Vec3 middle(30, 20, 60);
  const double t = middle.dot(tool.direction);
  const double r = (middle - t * tool.direction).norm();
  const double exact = std::hypot(std::max(0.0, r - 12), std::max(0.0, t - 40)) - 10;
  EXPECT_NEAR(distance, exact, 2e-3);
  EXPECT_LE(distance, exact + 1e-9);
}

// The middle of the top is opposite to where girths are counted from: measured from there either
// way round, the lines along a tapering arm run askew, and a block laid by them leaned to a side.
TEST(Access, ABlockOnATaperStandsSquareOnItsOwnMiddleLine) {
  const auto skin = test::Made(test::BoxLaw({{{0, 0, 0}, 80, 50, 8}, {{0, 200, 0}, 40, 50, 8}}));
  for (const double off : {-1e-12, 0.0, 1e-12}) {
    Fitting block;
    block.name = "bracket";
    block.centre = {100.0, 4.5 + off};  // of the top
    block.footprint.u_from = 80.0;
    block.footprint.u_to = 120.0;
    block.footprint.around = 34.0;
    for (const double x : {1.0, -1.0}) {
      for (const double y : {82.0, 100.0, 118.0}) {
        const ToolRoom tool{{30.0 * x, y, 50.0}, {x, 0.0, 0.0}, 1.0, 180.0};
        EXPECT_NEAR(AccessOf({ObstacleOf(block, *skin, 40.0)}, tool).distance, 30.0 - 17.0, 2e-3)
            << x << ", " << y << ", " << off;
      }
    }
  }
}

// A twisted quadrilateral anywhere round the tool, its ends and across it: no place of it is nearer
// than is said, and one of a fine grid is nearly as near.
TEST(Access, OfASlantingPieceIsTheDistanceOfItsNearestPlace) {
  const ToolRoom tool{{0, 0, 0}, {0, 0, 1}, 12, 40};
  std::mt19937 random(20261129);
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  int apart = 0;
  int across = 0;
  for (int k = 0; k < 400; ++k) {
    const Vec3 middle(even(-40, 40), even(-40, 40), even(-40, 80));
    std::array<Vec3, 4> corner;
    for (Vec3& c : corner) c = middle + Vec3(even(-25, 25), even(-25, 25), even(-25, 25));
    const Access access =
        AccessOf({{"sheet",
                   ObstacleKind::other,
                   FaceRole::outer,
                   {BilinearPatch(corner[0], corner[1], corner[2], corner[3], 0.0)}}},
                 tool);
    ASSERT_EQ(access.failure, "");
    double sampled = 1e9;
    constexpr int kFine = 80;
    for (int i = 0; i <= kFine; ++i) {
      for (int j = 0; j <= kFine; ++j) {
        const double u = static_cast<double>(i) / kFine;
        const double v = static_cast<double>(j) / kFine;
        const Vec3 at = (1 - u) * ((1 - v) * corner[0] + v * corner[2]) +
                        u * ((1 - v) * corner[1] + v * corner[3]);
        const double dr = at.head<2>().norm() - 12.0;
        const double dz = std::max(-at.z(), at.z() - 40.0);
        sampled = std::min(sampled, dr > 0.0 && dz > 0.0 ? std::hypot(dr, dz) : std::max(dr, dz));
      }
    }
    EXPECT_LE(access.distance, sampled + 1e-9) << k;
    EXPECT_GE(access.distance, sampled - 1.0) << k;
    ++(sampled > 0.0 ? apart : across);
  }
  EXPECT_GT(apart, 100);
  EXPECT_GT(across, 50);
}

// A line grown by a radius is a rod: its nearest place is no end or middle of it.
TEST(Access, OfAGrownLineIsThatOfTheRod) {
  const BezierPatch line = LinePatch({30, -37.3, 20}, {30, 50, 20}, 3.0);
  const auto access = AccessOf({{"rod", ObstacleKind::other, FaceRole::outer, {line}}},
                               {{0, 0, 0}, {0, 0, 1}, 16, 180});
  EXPECT_NEAR(access.distance, 30 - 3 - 16, 2e-3);
}

TEST(Access, WithoutObstaclesIsUnlimited) {
  EXPECT_TRUE(std::isinf(AccessOf({}, {{0, 0, 0}, {0, 0, 1}, 16, 180}).distance));
}

TEST(Access, ANanToolIsAFailure) {
  EXPECT_FALSE(AccessOf({}, {{std::nan(""), 0, 0}, {0, 0, 1}, 16, 180}).failure.empty());
}

}  // namespace
}  // namespace holeward
