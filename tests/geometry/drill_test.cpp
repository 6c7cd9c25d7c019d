#include "geometry/drill.h"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "geometry/vec.h"

namespace holeward {
namespace {

// Source: p = (d/2) / tan(A/2), the sharp cone of a twist drill; for d 12.40, A 140° a tool maker's
// published point length is 2.26 mm, for 12.7, 118° 3.82 mm.
TEST(Drill, PointLengthsFollowTheTwistDrillGeometry) {
  struct Row {
    double diameter, angle, length, tolerance;
  };
  for (const Row& row :
       {Row{6, 118, 1.8026, 5e-5}, Row{10, 118, 3.0043, 5e-5}, Row{8, 135, 1.6569, 5e-5},
        Row{12, 90, 6.0, 1e-12}, Row{12, 140, 2.1838, 5e-5}, Row{12.4, 140, 2.26, 5e-3},
        Row{12.7, 118, 3.82, 5e-3}}) {
    const auto drill = Drill::Twist(row.diameter, row.angle * kDegree);
    ASSERT_TRUE(drill);
    EXPECT_NEAR(drill->FullBehind(), row.length, row.tolerance) << row.diameter << " " << row.angle;
    EXPECT_NEAR(drill->Behind(drill->radius()), row.length, row.tolerance);
    EXPECT_NEAR(drill->Behind(0.25 * row.diameter), 0.5 * drill->FullBehind(), 1e-12);
  }
}

TEST(Drill, NeverTouchesBeyondItsRadius) {
  const auto drill = Drill::Twist(8, 118 * kDegree);
  EXPECT_EQ(drill->Behind(4.0 + 1e-12), std::numeric_limits<double>::infinity());
  EXPECT_EQ(drill->Behind(0.0), 0.0);
}

TEST(Drill, RefusesWhatDoesNotExist) {
  EXPECT_FALSE(Drill::Twist(0.0, 2.0));
  EXPECT_FALSE(Drill::Twist(-3.0, 2.0));
  EXPECT_FALSE(Drill::Twist(std::nan(""), 2.0));
  EXPECT_FALSE(Drill::Twist(8.0, kPi));
  EXPECT_FALSE(Drill::Twist(8.0, 0.0));
  EXPECT_FALSE(Drill::Twist(8.0, std::nan("")));
  EXPECT_FALSE(Drill::Step(8.0, 2.0, {{4.0, -1.0}}));
}

TEST(Drill, AStepIsSquareForTouchingAndLateForBreakingThrough) {
  const auto drill = Drill::Step(10.0, 118 * kDegree, {{4.0, 6.0}, {7.0, 5.0}});
  ASSERT_TRUE(drill);
  const double cot = 1.0 / std::tan(59 * kDegree);
  EXPECT_NEAR(drill->Behind(2.0), 2.0 * cot, 1e-12);
  EXPECT_NEAR(drill->Behind(2.0001), 6.0, 1e-12);
  EXPECT_NEAR(drill->Behind(5.0), 11.0, 1e-12);
  EXPECT_NEAR(drill->FullBehind(), 11.0 + 1.5 * cot, 1e-12);
  EXPECT_NEAR(drill->diameter(), 10.0, 1e-12);
}

TEST(Drill, StagesNoWiderThanTheFirstStepAreTwistDrills) {
  DrillTool tool;
  tool.kind = DrillKind::step;
  tool.steps = {{4.0, 6.0}, {9.0, 5.0}};
  EXPECT_TRUE(Drill::Of(tool, 4.0)->is_cone());
  EXPECT_FALSE(Drill::Of(tool, 9.0)->is_cone());
}

TEST(Drill, WidenedKeepsItsTipAndContinuesItsCone) {
  const Drill drill = Drill::Twist(8, 118 * kDegree)->Widened(1.0);
  EXPECT_NEAR(drill.radius(), 5.0, 1e-12);
  EXPECT_NEAR(drill.Behind(5.0), 5.0 / std::tan(59 * kDegree), 1e-12);
}

}  // namespace
}  // namespace holeward
