#include "geometry/develop_fix.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(FixOf, OneStraightLineLeavesTheSheetFreeAlongIt) {
  const SheetFix along = FixOf({{{{0, 0}, {100, 0}}}, {{50, 30}}});
  EXPECT_NEAR(along.hold, 0.0, 1e-12);
  EXPECT_EQ(along.freedom, "slide along the part");
  const SheetFix across = FixOf({{{{0, 0}, {0, 100}}}, {{30, 50}}});
  EXPECT_NEAR(across.hold, 0.0, 1e-12);
  EXPECT_EQ(across.freedom, "slide round the part");
}

TEST(FixOf, TwoParallelLinesHoldNoBetter) {
  const SheetFix fix = FixOf({{{{0, 0}, {100, 0}}, {{0, 40}, {100, 40}}}, {{50, 20}}});
  EXPECT_NEAR(fix.hold, 0.0, 1e-12);
  EXPECT_FALSE(fix.Fixed());
}

// Two lines of length 2 a that cross square on the mark: sliding is held by one of them, turning by
// both with the second moment a^2 / 3 each, over the reach of 20.
TEST(FixOf, ACrossOnTheMarkHoldsByItsClosedForm) {
  const double a = 30.0;
  const SheetFix wide = FixOf({{{{-a, 0}, {a, 0}}, {{0, -a}, {0, a}}}, {{0, 0}}});
  EXPECT_NEAR(wide.hold, 1.0, 1e-9);
  const double b = 6.0;
  const SheetFix small = FixOf({{{{-b, 0}, {b, 0}}, {{0, -b}, {0, b}}}, {{0, 0}}});
  // Sixteen places have the second moment of the line but for 1 / 256.
  EXPECT_NEAR(small.hold, std::sqrt(2.0 / 3.0 * (1.0 - 1.0 / 256.0)) * b / kLeastReach, 1e-9);
  EXPECT_EQ(small.freedom, "turn");
}

TEST(FixOf, ASmallHoleFarFromTheMarkLetsTheSheetTurn) {
  const SheetFix fix = FixOf({{{{-5, 0}, {5, 0}}, {{0, -5}, {0, 5}}}, {{120, 0}}});
  EXPECT_LT(fix.hold, kLeastHold);
  EXPECT_EQ(fix.freedom, "turn");
  EXPECT_TRUE(
      FixOf({{{{-5, 0}, {5, 0}}, {{0, -5}, {0, 5}}, {{0, 30}, {200, 30}}}, {{120, 0}}}).Fixed());
}

TEST(FixOf, AWrapThatMeetsItselfCannotTurn) {
  SheetHold sheet{{{{0, 0}, {10, 0}}, {{0, 0}, {0, 10}}}, {{100, 0}}, Vec2::UnitX(), 0.0};
  EXPECT_FALSE(FixOf(sheet).Fixed());
  sheet.girth = 250.0;
  EXPECT_TRUE(FixOf(sheet).Fixed());
}

TEST(FixOf, IsTheSameForTheMirrorImageAndATurnedSheet) {
  const SheetHold sheet{{{{0, 0}, {80, 10}}, {{5, 0}, {0, 40}}}, {{60, 30}, {20, 25}}};
  SheetHold turned = sheet, mirrored = sheet;
  const Eigen::Rotation2Dd by(0.7);
  for (auto& line : turned.lines) {
    for (Vec2& p : line) p = by * p + Vec2(13, -5);
  }
  for (Vec2& m : turned.marks) m = by * m + Vec2(13, -5);
  for (auto& line : mirrored.lines) {
    for (Vec2& p : line) p.x() = -p.x();
  }
  for (Vec2& m : mirrored.marks) m.x() = -m.x();
  EXPECT_NEAR(FixOf(turned).hold, FixOf(sheet).hold, 1e-12);
  EXPECT_NEAR(FixOf(mirrored).hold, FixOf(sheet).hold, 1e-12);
}

}  // namespace
}  // namespace holeward
