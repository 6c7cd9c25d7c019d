#include "geometry/seat.h"

#include <algorithm>
#include <cmath>
#include <vector>

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

// At an end or a lip itself nothing of a foot of no size is beyond.
TEST(Seat, AnEndAndALipAreStillThePart) {
  const Skin tube = Round(30, 30);
  for (const double u : {0.0, 300.0}) EXPECT_FALSE(SeatOf(tube, {u, 0.7}, 0.0)->beyond) << u;
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  law.closed = false;
  law.vertices.assign(2, {{-30, 20}, {-30, -20}, {30, -20}, {30, 20}});
  law.corner_radii.assign(2, {0, 6, 6, 0});
  const Skin channel = *Skin::Make(law);
  const double last = channel.piece_count();
  for (const double v : {0.0, last}) EXPECT_FALSE(SeatOf(channel, {150, v}, 0.0)->beyond) << v;
}

// A face that twists and is bowed along is a saddle whose highest and lowest rim lie anywhere round
// the foot. Held against places of the skin all round, each height taken to the foot's own radius:
// near the plane heights grow by its square.
TEST(Seat, OnATwistedFaceTheRimIsJudgedBetweenItsRaysToo) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 150, 4}, {0, 300, 0}};
  for (const double turn : {-20.0 * kDegree, 0.0, 20.0 * kDegree}) {
    std::vector<Vec2> outline;
    for (const Vec2& at : {Vec2(30, -25), Vec2(30, 25), Vec2(-30, 25), Vec2(-30, -25)}) {
      outline.push_back(Eigen::Rotation2Dd(turn) * at);
    }
    law.vertices.push_back(outline);
    law.corner_radii.push_back({4, 4, 4, 4});
  }
  const Skin skin = *Skin::Make(law);
  constexpr double kRadius = 8.0;
  // Bowed outward here and inward there: what is highest on one face is lowest on the other.
  for (const double v : {0.5, 2.5}) {
    const SkinPlace place{150.0, v};
    const SkinPoint middle = skin.At(place);
    const double girth = skin.GirthOf(place.u, place.v);
    double highest = 0.0;
    double lowest = 0.0;
    for (int k = 0; k < 7200; ++k) {
      const double angle = 2.0 * kPi * k / 7200.0;
      const double u = place.u + kRadius * std::cos(angle) / middle.du.norm();
      const SkinPoint rim = skin.At({u, skin.VOfGirth(u, girth + kRadius * std::sin(angle))});
      const Vec3 apart = rim.position - middle.position;
      const double height = apart.dot(middle.normal);
      const double across = (apart - height * middle.normal).norm();
      const double scaled = height * (kRadius / across) * (kRadius / across);
      highest = std::max(highest, scaled);
      lowest = std::min(lowest, scaled);
    }
    ASSERT_GT(highest - lowest, 0.05);
    const auto seat = SeatOf(skin, place, 2.0 * kRadius);
    ASSERT_TRUE(seat);
    EXPECT_NEAR(seat->highest, highest, 2e-5) << v;
    EXPECT_NEAR(seat->gap, highest - lowest, 4e-5) << v;
  }
}

// A groove with walls of slope 3, 6 mm deep, begins 4 mm from the place. A foot over its edge
// stands on air by a height that is known, or it is said that the skin does not bear it: near the
// walls the height may not be found.
TEST(Seat, AFootOverAGrooveHasItsDepthOrNoSeat) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  law.vertices.assign(
      2, {{30, -20}, {30, 20}, {8, 20}, {6, 14}, {-6, 14}, {-8, 20}, {-30, 20}, {-30, -20}});
  law.corner_radii.assign(2, std::vector<double>(8, 0.0));
  const Skin skin = *Skin::Make(law);
  const SkinPlace place = skin.Project(Vec3(12, 150, 20))->place;
  int borne = 0;
  int refused = 0;
  for (int k = 1; k <= 110; ++k) {
    const double radius = 0.1 * k;
    const auto seat = SeatOf(skin, place, 2.0 * radius);
    if (!seat) {
      EXPECT_EQ(seat.error().message, "the skin does not reach under the whole foot");
      EXPECT_GT(radius, 4.0);
      ++refused;
      continue;
    }
    const double deep = std::clamp(3.0 * (radius - 4.0), 0.0, 6.0);
    EXPECT_GE(seat->gap, deep - 1e-6) << radius;
    EXPECT_LE(seat->gap, deep + 1.0) << radius;
    ++borne;
  }
  EXPECT_GT(borne, 45);
  EXPECT_GT(refused, 0);
}

TEST(Seat, ANanPlaceIsAnError) { EXPECT_FALSE(SeatOf(Round(30, 30), {std::nan(""), 0}, 8.0)); }

}  // namespace
}  // namespace holeward
