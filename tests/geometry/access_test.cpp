#include "geometry/access.h"

#include <cmath>

#include <gtest/gtest.h>

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

TEST(Access, WithoutObstaclesIsUnlimited) {
  EXPECT_TRUE(std::isinf(AccessOf({}, {{0, 0, 0}, {0, 0, 1}, 16, 180}).distance));
}

TEST(Access, ANanToolIsAFailure) {
  EXPECT_FALSE(AccessOf({}, {{std::nan(""), 0, 0}, {0, 0, 1}, 16, 180}).failure.empty());
}

}  // namespace
}  // namespace holeward
