#include "geometry/seat.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

Skin Round(double start_radius, double end_radius) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  law.round = true;
  law.radii = {start_radius, end_radius};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

Skin BoxSkin(double half_width, double half_height, double corner) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  const std::vector<Vec2> outline{{half_width, -half_height},
                                  {half_width, half_height},
                                  {-half_width, half_height},
                                  {-half_width, -half_height}};
  law.vertices = {outline, outline};
  law.corner_radii = {{corner, corner, corner, corner}, {corner, corner, corner, corner}};
  return *Skin::Make(law);
}

// A circle of diameter f on a cylinder of radius R drops by the sagitta R - sqrt(R² - f²/4).
TEST(Seat, OnATubeIsTheSagitta) {
  for (const double radius : {15.0, 30.15, 80.0}) {
    const auto seat = SeatOf(Round(radius, radius), {150, 0.7}, 8.0);
    ASSERT_TRUE(seat) << seat.error().message;
    EXPECT_NEAR(seat->gap, radius - std::sqrt(radius * radius - 16.0), 1e-6);
    EXPECT_NEAR(seat->highest, 0.0, 1e-9);
  }
}

TEST(Seat, OnAFlatIsNothing) {
  const auto seat = SeatOf(BoxSkin(30, 25, 6), {150, 0.5}, 8.0);
  ASSERT_TRUE(seat);
  EXPECT_NEAR(seat->gap, 0.0, 1e-9);
}

// The flat ends 3 mm from the place: beyond it the corner's circle falls away.
TEST(Seat, ReachingOverATangentLineCountsTheCorner) {
  const Skin skin = BoxSkin(30, 25, 6);
  const double v = skin.VOfGirth(150, 24 - 3.0);  // the flat ends 24 from its middle
  const auto seat = SeatOf(skin, {150, v}, 8.0);
  ASSERT_TRUE(seat);
  EXPECT_NEAR(seat->gap, 6.0 - std::sqrt(36.0 - 1.0), 1e-4);
}

TEST(Seat, WhereTheSkinTurnsAwayIsAnError) {
  EXPECT_FALSE(SeatOf(BoxSkin(30, 25, 0.5), {150, 0.99}, 8.0));
}

TEST(Seat, AFootPastAnEndIsSaid) {
  const Skin skin = Round(30, 30);
  for (const double u : {3.9, 296.1}) EXPECT_TRUE(SeatOf(skin, {u, 0.7}, 8.0)->beyond) << u;
  for (const double u : {4.1, 150.0, 295.9}) EXPECT_FALSE(SeatOf(skin, {u, 0.7}, 8.0)->beyond) << u;
}

TEST(Seat, AFootPastALipIsSaid) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  law.closed = false;
  const std::vector<Vec2> outline{{-30, 20}, {-30, -20}, {30, -20}, {30, 20}};
  law.vertices = {outline, outline};
  law.corner_radii = {{0, 6, 6, 0}, {0, 6, 6, 0}};
  const Skin skin = *Skin::Make(law);
  const double lip = skin.GirthOf(150, 0.0);
  const auto at = [&](double girth) { return SeatOf(skin, {150, skin.VOfGirth(150, girth)}, 8.0); };
  EXPECT_TRUE(at(lip + 3.9)->beyond);
  EXPECT_FALSE(at(lip + 4.1)->beyond);
}

TEST(Seat, ANanPlaceIsAnError) { EXPECT_FALSE(SeatOf(Round(30, 30), {std::nan(""), 0}, 8.0)); }

}  // namespace
}  // namespace holeward
