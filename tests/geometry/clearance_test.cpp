#include "geometry/clearance.h"

#include <cmath>

#include <gtest/gtest.h>

#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;
using testing::Tube;

constexpr double kHorizon = 400.0;
constexpr double kExact = 2e-3;

Drill Twist(double diameter, double angle = 118.0) {
  return *Drill::Twist(diameter, angle * kDegree);
}

// ---- Closed forms. Derived from p = (d/2) / tan(A/2) and the circle; flat wall h = t + p.

TEST(Clearance, AFlatWallIsBrokenThroughAtItsThicknessPlusThePoint) {
  const auto result = ClearanceOf(Box(80, 60, 3), Down(5, 30), Twist(6), 1.0, kHorizon);
  ASSERT_TRUE(result.ok()) << result.failure;
  EXPECT_NEAR(result.near_wall, 3.0, 1e-6);
  EXPECT_NEAR(result.breakthrough, 4.8026, kExact);
  ASSERT_TRUE(result.contact);
  EXPECT_NEAR(result.contact->depth, 57.0, kExact);
  EXPECT_EQ(result.contact->body, "far wall");
  EXPECT_NEAR((result.contact->position - Vec3(5, 0, -27)).norm(), 0.0, 0.05);
}

// Round tube, radial hole: R - sqrt(ri² - a²) + a cot(A/2); the far wall is touched at 2R - t.
TEST(Clearance, ARoundWallMatchesTheClosedForm) {
  struct Row {
    double outside, wall, diameter, angle, full, far;
  };
  for (const Row& row : {Row{60.3, 3, 6, 118, 4.9688, 57.3}, Row{60.3, 5, 8, 118, 7.7236, 55.3},
                         Row{60.3, 5, 8, 135, 6.9770, 55.3}, Row{48.3, 3, 10, 118, 6.6038, 45.3},
                         Row{88.9, 4, 12, 118, 8.0526, 84.9}}) {
    const auto result = ClearanceOf(Tube(row.outside, row.wall), Down(0, 0.5 * row.outside),
                                    Twist(row.diameter, row.angle), 1.0, kHorizon);
    ASSERT_TRUE(result.ok()) << result.failure;
    EXPECT_NEAR(result.near_wall, row.wall, 1e-6);
    EXPECT_NEAR(result.breakthrough, row.full, kExact) << row.outside;
    ASSERT_TRUE(result.contact);
    EXPECT_NEAR(result.contact->depth, row.far, kExact);
    EXPECT_EQ(result.contact->body, "far wall");
  }
}

// A bar across the drill's plane: tip h = zc - sqrt(rb² - x0²), flank h = zc + x0 cot k - rb / sin
// k, corner h = zc - sqrt(rb² - (x0 - a)²) + a cot k.
TEST(Clearance, ABarIsMetByTipFlankOrCorner) {
  struct Row {
    double aside, angle, depth;
  };
  for (const Row& row : {Row{0, 118, 18.0}, Row{4, 118, 18.6863}, Row{8, 118, 20.8073},
                         Row{14, 118, 25.7702}, Row{8, 135, 20.3250}}) {
    std::vector<Obstacle> scene = Box(100, 80, 3);
    scene.push_back(Bar(row.aside, 40.0 - 30.0, 12.0));
    const auto result = ClearanceOf(scene, Down(0, 40), Twist(8, row.angle), 0.0, kHorizon);
    ASSERT_TRUE(result.ok()) << result.failure;
    ASSERT_TRUE(result.contact);
    EXPECT_EQ(result.contact->body, "bar") << row.aside;
    EXPECT_NEAR(result.contact->depth, row.depth, kExact) << row.aside;
    const Vec3 off = result.contact->position - Vec3(row.aside, result.contact->position.y(), 10.0);
    EXPECT_NEAR(off.norm(), 12.0, 1e-3);
  }
}

TEST(Clearance, ABarOutOfReachIsMissedAndTheFarWallMet) {
  std::vector<Obstacle> scene = Box(100, 80, 3);
  scene.push_back(Bar(17, 10, 12));
  const auto result = ClearanceOf(scene, Down(0, 40), Twist(8), 0.0, kHorizon);
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(result.contact->body, "far wall");
}

// Beside a bar by 17 - 12 - 4 = 1 mm: with the cone widened by 1.5 the flank or corner meets it.
TEST(Clearance, PassingABarCloserThanTheLimitMeetsItWhereTheWidenedConeDoes) {
  std::vector<Obstacle> scene = Box(100, 80, 3);
  scene.push_back(Bar(17, 10, 12));
  const auto result = ClearanceOf(scene, Down(0, 40), Twist(8), 1.5, kHorizon);
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(result.contact->body, "bar");
  const double wide = 5.5;
  const double corner =
      30.0 - std::sqrt(144.0 - (17.0 - wide) * (17.0 - wide)) + wide / std::tan(59 * kDegree);
  EXPECT_NEAR(result.contact->depth, corner, kExact);
}

TEST(Clearance, ADirectHitKeepsItsTrueDepthWhateverTheSideLimit) {
  for (const double side : {0.0, 1.0, 3.0}) {
    std::vector<Obstacle> scene = Box(100, 80, 3);
    scene.push_back(Bar(14, 10, 12));
    const auto result = ClearanceOf(scene, Down(0, 40), Twist(8), side, kHorizon);
    EXPECT_NEAR(result.contact->depth, 25.7702, kExact);
  }
}

// A drill line that misses the tube's axis by e: wall sqrt(R² - e²) - sqrt(ri² - e²), far side the
// sum.
TEST(Clearance, AnOffsetLineThroughATubeMeetsItsWallsAtTheChord) {
  struct Row {
    double e, wall, far;
  };
  for (const Row& row : {Row{5, 5.084544, 54.380487}, Row{10, 5.366872, 51.519770},
                         Row{15, 5.966637, 46.341010}, Row{20, 7.312839, 37.810216}}) {
    const double z = std::sqrt(30.15 * 30.15 - row.e * row.e);
    const auto result = ClearanceOf(Tube(60.3, 5), Down(row.e, z), Twist(0.2), 0.0, kHorizon);
    ASSERT_TRUE(result.ok()) << result.failure;
    EXPECT_NEAR(result.near_wall, row.wall, 1e-5);
    // The far wall slopes, so a thin drill's edge meets it a little before its tip would.
    EXPECT_NEAR(result.contact->depth, row.far, 0.2) << row.e;
    EXPECT_LE(result.contact->depth, row.far + kExact);
  }
}

// ---- Named outcomes of failure, none of them a free depth

TEST(Clearance, ANanPoseIsAFailure) {
  Pose pose = Down(0, 30);
  pose.entry.x() = std::nan("");
  EXPECT_FALSE(ClearanceOf(Tube(60, 3), pose, Twist(6), 1, kHorizon).ok());
  pose = Down(0, 30);
  pose.direction.y() = std::nan("");
  EXPECT_FALSE(ClearanceOf(Tube(60, 3), pose, Twist(6), 1, kHorizon).ok());
}

TEST(Clearance, ANanPatchIsAFailure) {
  auto tube = Tube(60, 3);
  tube[1].patches[2].poles[0].x() = std::nan("");
  EXPECT_FALSE(ClearanceOf(tube, Down(0, 30), Twist(6), 1, kHorizon).ok());
}

TEST(Clearance, NothingToDrillIsAFailure) {
  const auto result = ClearanceOf({}, Down(0, 30), Twist(6), 1, kHorizon);
  EXPECT_EQ(result.failure, "the drill's axis does not enter metal at the mark");
}

TEST(Clearance, AnAxisThatNeverMeetsMetalIsAFailure) {
  EXPECT_FALSE(ClearanceOf(Tube(60, 3), Down(40, 30), Twist(6), 1, kHorizon).ok());
}

TEST(Clearance, AHoleAtACornerIsAFailure) {
  const auto result = ClearanceOf(Box(60, 60, 3), Down(26, 30), Twist(8), 1, kHorizon);
  EXPECT_FALSE(result.ok());
  EXPECT_NE(result.failure.find("corner"), std::string::npos) << result.failure;
}

TEST(Clearance, AHoleRunningOffAnOpenEndIsAFailure) {
  Pose pose = Down(0, 30);
  pose.entry.y() = 148.0;
  EXPECT_FALSE(ClearanceOf(Tube(60, 3), pose, Twist(8), 1, kHorizon).ok());
  pose.entry.y() = 145.0;  // 1 mm of metal left
  EXPECT_TRUE(ClearanceOf(Tube(60, 3), pose, Twist(8), 1, kHorizon).ok());
}

TEST(Clearance, ABarTouchingTheNearWallIsMetBeforeBreakThrough) {
  auto scene = Tube(60, 3);
  scene.push_back(Bar(0, 17, 10));  // top at z = 27, the wall's inside
  const auto result = ClearanceOf(scene, Down(0, 30), Twist(8), 1, kHorizon);
  ASSERT_TRUE(result.ok()) << result.failure;
  EXPECT_EQ(result.contact->body, "bar");
  EXPECT_NEAR(result.contact->depth, 3.0, kExact);
  EXPECT_LT(result.contact->depth, result.breakthrough);
}

TEST(Clearance, AnOpenSectionLeavesNothingToMeet) {
  auto plate = Box(80, 60, 3);
  // Only the top wall: its outside and its inside.
  plate[0].patches.resize(1);
  plate[1].patches.resize(1);
  const auto result = ClearanceOf(plate, Down(0, 30), Twist(6), 1, kHorizon);
  ASSERT_TRUE(result.ok()) << result.failure;
  EXPECT_FALSE(result.contact);
  EXPECT_NEAR(result.breakthrough, 4.8026, kExact);
}

// ---- A step drill reaches the far wall with its thin end first

TEST(Clearance, AStepDrillNeedsItsWholeLengthToBreakThrough) {
  const auto drill = *Drill::Step(9, 118 * kDegree, {{4, 6}});
  const auto result = ClearanceOf(Box(80, 60, 3), Down(0, 30), drill, 1, kHorizon);
  ASSERT_TRUE(result.ok());
  EXPECT_NEAR(result.breakthrough, 3.0 + 6.0 + 2.5 / std::tan(59 * kDegree), kExact);
  EXPECT_NEAR(result.contact->depth, 57.0, kExact);
}

}  // namespace
}  // namespace holeward
