#include "viewer/window/projection.h"

#include <gtest/gtest.h>

namespace holeward {
namespace {

Projection From(Look look, bool perspective) {
  Projection seen;
  seen.eye.From(look);
  seen.eye.focus = {100.0, 20.0, -5.0};
  seen.eye.height = 400.0;
  seen.perspective = perspective;
  seen.width = 800;
  seen.height = 600;
  return seen;
}

TEST(Projection, PutsWhatItLooksAtInTheMiddleAndTheHeightIntoTheWindow) {
  for (const bool perspective : {false, true}) {
    const Projection seen = From(Look::three_quarter, perspective);
    EXPECT_LT((seen.OnScreen(seen.eye.focus) - Vec2(400, 300)).norm(), 1e-9);
    const Vec3 top = seen.eye.focus + 200.0 * seen.eye.Up();
    EXPECT_LT((seen.OnScreen(top) - Vec2(400, 600)).norm(), 1e-9);
  }
}

TEST(Projection, SeesTheFrontOnTheLeftFromTheLeftSide) {
  const Projection seen = From(Look::left, false);
  const Vec2 front = seen.OnScreen(seen.eye.focus + Vec3(40, 0, 0));
  const Vec2 up = seen.OnScreen(seen.eye.focus + Vec3(0, 0, 40));
  EXPECT_LT((front - Vec2(400 - 60, 300)).norm(), 1e-9);
  EXPECT_LT((up - Vec2(400, 300 + 60)).norm(), 1e-9);
}

// Similar triangles: what is half as far from the eye is twice as large.
TEST(Projection, ShowsWhatIsNearerLargerInPerspectiveAlone) {
  const Projection near = From(Look::front, true);
  const Vec3 half_way = near.eye.focus + 0.5 * near.Distance() * near.eye.Toward();
  const Vec2 off = near.OnScreen(half_way + 10.0 * near.eye.Up()) - Vec2(400, 300);
  EXPECT_NEAR(off.y(), 2.0 * 10.0 * 600.0 / 400.0, 1e-9);
  const Projection flat = From(Look::front, false);
  EXPECT_NEAR(flat.OnScreen(half_way + 10.0 * flat.eye.Up()).y() - 300, 15.0, 1e-9);
}

TEST(Projection, WhatLiesBehindTheEyeIsFiniteAndFarOutside) {
  const Projection seen = From(Look::front, true);
  const Vec3 behind = seen.eye.focus + 2.0 * seen.Distance() * seen.eye.Toward();
  const Vec2 at = seen.OnScreen(behind + 10.0 * seen.eye.Up());
  EXPECT_TRUE(at.allFinite());
  EXPECT_GT(at.y(), 10000.0);
}

}  // namespace
}  // namespace holeward
