// What is not a number, or cannot be a drill's place, is never judged: each figure spoilt alone.
#include <cmath>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/access.h"
#include "geometry/seat.h"
#include "geometry/tolerance.h"
#include "geometry/worst_pose.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Box;
using testing::Down;
using testing::Tube;

constexpr double kHorizon = 400.0;
const double kNan = std::numeric_limits<double>::quiet_NaN();
const double kInfinite = std::numeric_limits<double>::infinity();
const AxisRule kNormal = [](const Vec3& normal) { return Vec3(-normal); };
const char* const kNotFinite = "the hole's place, direction or surroundings are not finite numbers";

Drill Twist(double diameter) { return *Drill::Twist(diameter, 118.0 * kDegree); }

Skin RoundSkin() {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {30.0, 30.0};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

NominalPlace OnTop(const Skin& skin) {
  NominalPlace nominal;
  nominal.place = {150.0, 2.0};
  const SkinPoint point = skin.At(nominal.place);
  nominal.position = point.position;
  nominal.normal = point.normal;
  return nominal;
}

std::vector<Obstacle> NearRod() {
  return {{"pipe", ObstacleKind::other, FaceRole::outer,
           CylinderPatches({30, -50, 20}, {30, 50, 20}, 3)}};
}

TEST(HoleGuards, AToolThatIsNoToolHasNoAccess) {
  const ToolRoom sound{{0, 0, 0}, {0, 0, 1}, 16, 180};
  ASSERT_EQ(AccessOf(NearRod(), sound).failure, "");
  const std::vector<std::function<void(ToolRoom&)>> faults = {
      [](ToolRoom& t) { t.base.y() = kNan; },     [](ToolRoom& t) { t.direction.x() = kNan; },
      [](ToolRoom& t) { t.direction.setZero(); }, [](ToolRoom& t) { t.radius = kInfinite; },
      [](ToolRoom& t) { t.length = kNan; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    ToolRoom tool = sound;
    faults[i](tool);
    EXPECT_NE(AccessOf(NearRod(), tool).failure, "") << i;
  }
  std::vector<Obstacle> spoilt = NearRod();
  spoilt[0].shift = kNan;
  EXPECT_NE(AccessOf(spoilt, sound).failure, "");
}

TEST(HoleGuards, AFootThatIsNoFootHasNoSeat) {
  const Skin skin = RoundSkin();
  ASSERT_TRUE(SeatOf(skin, {150.0, 2.0}, 8.0));
  ASSERT_TRUE(SeatOf(skin, {150.0, 2.0}, 0.0));
  for (const auto& [place, diameter] :
       std::vector<std::pair<SkinPlace, double>>{{{kNan, 2.0}, 8.0},
                                                 {{150.0, kNan}, 8.0},
                                                 {{150.0, 2.0}, kInfinite},
                                                 {{150.0, 2.0}, -8.0}}) {
    const auto seat = SeatOf(skin, place, diameter);
    ASSERT_FALSE(seat);
    EXPECT_EQ(seat.error().message, "the foot's place is not a finite number");
  }
}

// The lip that the girth ends at, as well as the one it starts from.
TEST(HoleGuards, AFootPastTheLastLipIsSaid) {
  SkinLaw law;
  law.centres = {{0, 0, 0}, {0, 300, 0}};
  law.closed = false;
  law.vertices.assign(2, {{-30, 20}, {-30, -20}, {30, -20}, {30, 20}});
  law.corner_radii.assign(2, {0, 6, 6, 0});
  const Skin skin = *Skin::Make(law);
  const double lip = skin.GirthOf(150, skin.piece_count());
  const auto at = [&](double girth) { return SeatOf(skin, {150, skin.VOfGirth(150, girth)}, 8.0); };
  EXPECT_TRUE(at(lip - 3.9)->beyond);
  EXPECT_FALSE(at(lip - 4.1)->beyond);
}

TEST(HoleGuards, AZoneThatIsNoZoneHasNoCones) {
  const Skin skin = RoundSkin();
  const NominalPlace top = OnTop(skin);
  ASSERT_TRUE(ConesOver(skin, top, 2.0, 0.05, kNormal));
  const auto says = [&](const NominalPlace& nominal, double radius, double tilt,
                        const AxisRule& axis) {
    const auto cones = ConesOver(skin, nominal, radius, tilt, axis);
    return cones ? std::string() : cones.error().message;
  };
  const std::string zone = "the marking zone or the tilt is not a finite number";
  EXPECT_EQ(says(top, -1.0, 0.05, kNormal), zone);
  EXPECT_EQ(says(top, 2.0, kNan, kNormal), zone);
  EXPECT_EQ(says(top, 2.0, -0.05, kNormal), zone);
  const std::string place = "the hole's place is not a finite number";
  NominalPlace spoilt = top;
  spoilt.place.u = kNan;
  EXPECT_EQ(says(spoilt, 2.0, 0.05, kNormal), place);
  spoilt = top;
  spoilt.place.v = kNan;
  EXPECT_EQ(says(spoilt, 2.0, 0.05, kNormal), place);
  spoilt = top;
  spoilt.normal.z() = kNan;
  EXPECT_EQ(says(spoilt, 2.0, 0.05, kNormal), place);
  const std::string direction = "the hole's place or direction is not a finite number";
  EXPECT_EQ(says(top, 2.0, 0.05, [](const Vec3&) { return Vec3(kNan, 0, 0); }), direction);
  // So far along that no place is a number.
  spoilt = top;
  spoilt.place.u = 1e308;
  EXPECT_EQ(says(spoilt, 2.0, 0.05, kNormal), direction);
  // A zone of no size is the place itself.
  const auto one = ConesOver(skin, top, 0.0, 0.05, kNormal);
  ASSERT_TRUE(one);
  ASSERT_EQ(one->size(), 1U);
  EXPECT_EQ(one->front().tilt, 0.05);
  EXPECT_EQ(one->front().place, 0.0);
}

// Round a thin tube a zone of 26 mm holds places whose normals are more than 60 degrees off.
TEST(HoleGuards, AZoneInWhichTheSkinTurnsTooFarHasNoCones) {
  const Skin skin = RoundSkin();
  const auto cones = ConesOver(skin, OnTop(skin), 32.0, 0.05, kNormal);
  ASSERT_FALSE(cones);
  EXPECT_EQ(cones.error().message, "the skin turns more than 60 degrees within the marking zone");
}

TEST(HoleGuards, APoseConeThatIsNoneIsAFailure) {
  const PoseCone sound{Down(0, 30), 0.5, 0.1, 5 * kDegree};
  const WorstSearch search{1.0, kHorizon, {}};
  ASSERT_TRUE(WorstOver(Tube(60, 3), {sound}, Twist(6), search).ok());
  const std::vector<std::function<void(PoseCone&)>> faults = {
      [](PoseCone& c) { c.pose.entry.x() = kNan; },
      [](PoseCone& c) { c.pose.direction.z() = kNan; },
      [](PoseCone& c) { c.pose.direction *= 1.01; },
      [](PoseCone& c) { c.place = kNan; },
      [](PoseCone& c) { c.rise = kInfinite; },
      [](PoseCone& c) { c.tilt = kNan; },
      [](PoseCone& c) { c.place = -0.1; },
      [](PoseCone& c) { c.rise = -0.1; },
      [](PoseCone& c) { c.tilt = -0.1; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    PoseCone cone = sound;
    faults[i](cone);
    EXPECT_EQ(WorstOver(Tube(60, 3), {sound, cone}, Twist(6), search).failure, kNotFinite) << i;
  }
  PoseCone wide = sound;
  wide.tilt = 61.0 * kDegree;
  EXPECT_EQ(WorstOver(Tube(60, 3), {wide}, Twist(6), search).failure,
            "the drill may lean more than 60 degrees off its axis");
  EXPECT_EQ(WorstOver(Tube(60, 3), {}, Twist(6), search).failure, "there is no place to judge");
}

TEST(HoleGuards, SurroundingsThatAreNoneAreAFailure) {
  const PoseCone cone{Down(0, 30), 0.5, 0.1, 5 * kDegree};
  std::vector<Obstacle> spoilt = Tube(60, 3);
  spoilt[0].shift = kNan;
  EXPECT_EQ(WorstOver(spoilt, {cone}, Twist(6), {1.0, kHorizon, {}}).failure, kNotFinite);
  spoilt[0].shift = -1.0;
  EXPECT_EQ(WorstOver(spoilt, {cone}, Twist(6), {1.0, kHorizon, {}}).failure, kNotFinite);
  EXPECT_EQ(WorstOver(Tube(60, 3), {cone}, Twist(6), {kNan, kHorizon, {}}).failure, kNotFinite);
  EXPECT_EQ(WorstOver(Tube(60, 3), {cone}, Twist(6), {1.0, kInfinite, {}}).failure, kNotFinite);
}

// What was worst before stays, and a failure before is one now.
TEST(HoleGuards, TheWorstOfEarlierZonesIsKept) {
  const PoseCone cone{Down(0, 30), 0.5, 0.1, 5 * kDegree};
  WorstSearch search{1.0, kHorizon, {}};
  const WorstClearance alone = WorstOver(Tube(60, 3), {cone}, Twist(6), search);
  ASSERT_TRUE(alone.ok());
  search.so_far.breakthrough = alone.breakthrough + 1.0;
  search.so_far.free_depth = alone.free_depth - 1.0;
  search.so_far.body = "before";
  const WorstClearance both = WorstOver(Tube(60, 3), {cone}, Twist(6), search);
  EXPECT_EQ(both.breakthrough, alone.breakthrough + 1.0);
  EXPECT_EQ(both.free_depth, alone.free_depth - 1.0);
  EXPECT_EQ(both.body, "before");
  search.so_far.failure = "not settled before";
  EXPECT_EQ(WorstOver(Tube(60, 3), {cone}, Twist(6), search).failure, "not settled before");
}

TEST(HoleGuards, AWorstPoseSearchThatIsNoneIsAFailure) {
  const Skin skin = RoundSkin();
  const PoseZone zone{&skin, OnTop(skin), 1.0, 5 * kDegree, kNormal};
  WorstPoseSearch sound;
  sound.side = 1.0;
  sound.horizon = kHorizon;
  sound.gap = 1.0;
  ASSERT_TRUE(WorstPoseOver(Tube(60, 3), zone, Twist(6), sound).ok());
  const std::vector<std::function<void(WorstPoseSearch&)>> faults = {
      [](WorstPoseSearch& s) { s.side = kNan; },    [](WorstPoseSearch& s) { s.side = -1.0; },
      [](WorstPoseSearch& s) { s.horizon = kNan; }, [](WorstPoseSearch& s) { s.horizon = 0.0; },
      [](WorstPoseSearch& s) { s.gap = kNan; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    WorstPoseSearch search = sound;
    faults[i](search);
    EXPECT_EQ(WorstPoseOver(Tube(60, 3), zone, Twist(6), search).failure, kNotFinite) << i;
    EXPECT_EQ(DepthsOf(Tube(60, 3), Down(0, 30), Twist(6), search).failure, kNotFinite) << i;
  }
  std::vector<Obstacle> spoilt = Tube(60, 3);
  spoilt[0].wall_error = kNan;
  EXPECT_EQ(WorstPoseOver(spoilt, zone, Twist(6), sound).failure, kNotFinite);
  spoilt = Tube(60, 3);
  spoilt[0].outline_error = kInfinite;
  EXPECT_EQ(WorstPoseOver(spoilt, zone, Twist(6), sound).failure, kNotFinite);
  sound.so_far.failure = "not settled before";
  EXPECT_EQ(WorstPoseOver(Tube(60, 3), zone, Twist(6), sound).failure, "not settled before");
}

TEST(HoleGuards, AZoneThatIsNoZoneHasNoWorstPose) {
  const Skin skin = RoundSkin();
  const PoseZone sound{&skin, OnTop(skin), 1.0, 5 * kDegree, kNormal};
  WorstPoseSearch search;
  search.side = 1.0;
  search.horizon = kHorizon;
  search.gap = 1.0;
  const std::vector<std::function<void(PoseZone&)>> faults = {
      [](PoseZone& z) { z.skin = nullptr; },
      [](PoseZone& z) { z.axis = nullptr; },
      [](PoseZone& z) { z.radius = kNan; },
      [](PoseZone& z) { z.radius = -1.0; },
      [](PoseZone& z) { z.tilt = kInfinite; },
      [](PoseZone& z) { z.tilt = -0.1; },
      [](PoseZone& z) { z.nominal.place.u = kNan; },
      [](PoseZone& z) { z.nominal.place.v = kNan; },
      [](PoseZone& z) { z.nominal.normal.x() = kNan; },
      [](PoseZone& z) { z.axis = [](const Vec3&) { return Vec3(0, kNan, 0); }; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    PoseZone zone = sound;
    faults[i](zone);
    EXPECT_NE(WorstPoseOver(Tube(60, 3), zone, Twist(6), search).failure, "") << i;
  }
}

TEST(HoleGuards, APoseThatIsNoneHasNoDepths) {
  WorstPoseSearch search;
  search.side = 1.0;
  search.horizon = kHorizon;
  const Pose sound = Down(0, 30);
  ASSERT_TRUE(DepthsOf(Tube(60, 3), sound, Twist(6), search).ok());
  Pose pose = sound;
  pose.entry.z() = kNan;
  EXPECT_EQ(DepthsOf(Tube(60, 3), pose, Twist(6), search).failure, kNotFinite);
  pose = sound;
  pose.direction.y() = kNan;
  EXPECT_EQ(DepthsOf(Tube(60, 3), pose, Twist(6), search).failure, kNotFinite);
  pose = sound;
  pose.direction *= 1.01;
  EXPECT_EQ(DepthsOf(Tube(60, 3), pose, Twist(6), search).failure, kNotFinite);
}

// ---- What the search cannot settle

/// A plate across the axis at height z with a hole of radius `inner` round it.
Obstacle PlateWithHole(double inner, double z) {
  Obstacle plate{"plate", ObstacleKind::other, FaceRole::outer, {}};
  const double w = std::sqrt(0.5);
  for (int k = 0; k < 4; ++k) {
    const double c = k % 2 == 0 ? 1.0 - k : 0.0;
    const double s = k % 2 == 1 ? 2.0 - k : 0.0;
    BezierPatch patch{2, 1, {}, 0.0};
    for (int i = 0; i < 3; ++i) {
      const Vec3 arm = i == 0 ? Vec3(c, s, 0) : i == 1 ? Vec3(c - s, s + c, 0) : Vec3(-s, c, 0);
      const double weight = i == 1 ? w : 1.0;
      for (const double radius : {inner, 20.0}) {
        Eigen::Vector4d pole;
        pole << weight * (radius * arm + Vec3(0, 0, z)), weight;
        patch.poles.push_back(pole);
      }
    }
    plate.patches.push_back(patch);
  }
  return plate;
}

// The drill passes a hole in a plate by a hair all round: whether it touches is not found out in
// time, and so it may.
TEST(HoleGuards, WhatAHairKeepsFromBeingMetIsNotProvenFree) {
  const PoseCone straight{Down(0, 30), 0.0, 0.0, 0.0};
  const WorstSearch search{0.0, kHorizon, {}};
  const auto with_hole = [&](double radius) {
    std::vector<Obstacle> scene = Box(60, 60, 3);
    scene.push_back(PlateWithHole(radius, 10.0));
    return WorstOver(scene, {straight}, Twist(6), search);
  };
  const WorstClearance wide = with_hole(3.1);
  ASSERT_TRUE(wide.ok()) << wide.failure;
  EXPECT_EQ(wide.body, "far wall");
  const WorstClearance narrow = with_hole(2.9);
  EXPECT_EQ(narrow.body, "plate");
  EXPECT_NEAR(narrow.free_depth, 20.0 + 2.9 / std::tan(59.0 * kDegree), 0.02);
  const WorstClearance hair = with_hole(3.0 + 1e-8);
  ASSERT_TRUE(hair.ok()) << hair.failure;
  EXPECT_EQ(hair.body, "a body that is not settled");
  EXPECT_NEAR(hair.free_depth, 20.0 + 3.0 / std::tan(59.0 * kDegree), 0.02);
  EXPECT_EQ(hair.attained, kInfinite);
}

// A ball of 10 m round a tool of no size: every place of it is as near as any other, and none is
// found to be the nearest within the steps there are.
TEST(HoleGuards, ANearestThingThatIsNotFoundIsNoDistance) {
  const ToolRoom point{{0, 0, 0}, {0, 0, 1}, 0, 0};
  const auto around = [&](double radius) {
    return AccessOf(
        {{"ball", ObstacleKind::other, FaceRole::outer, SpherePatches({0, 0, 0}, radius)}}, point);
  };
  EXPECT_EQ(around(10.0).failure, "");
  EXPECT_NEAR(around(10.0).distance, 10.0, 2e-3);
  const Access far = around(40000.0);
  EXPECT_EQ(far.failure, "the nearest thing beside the tool was not found");
  EXPECT_LE(far.distance, 40000.0);
}

// One cone over the end of a wall and two over the wall itself: where no wall lies under a cone
// nothing is drilled through.
TEST(HoleGuards, AConeWithoutAWallUnderItDoesNotSettle) {
  const std::vector<Obstacle> wall = Box(200, 60, 3, 10.0);
  const auto cone = [](double y) { return PoseCone{{{0, y, 30}, {0, 0, -1}}, 0.0, 0.0, 0.0}; };
  const WorstSearch search{0.0, kHorizon, {}};
  EXPECT_TRUE(WorstOver(wall, {cone(0.0), cone(0.1)}, Twist(6), search).ok());
  EXPECT_EQ(WorstOver(wall, {cone(25.0), cone(0.0), cone(0.1)}, Twist(6), search).failure,
            "the break-through depth did not settle");
  // Once another cone has gone through, one that finds no wall adds nothing.
  const WorstClearance after =
      WorstOver(wall, {cone(0.0), cone(0.1), cone(25.0)}, Twist(6), search);
  EXPECT_EQ(after.failure, "");
  EXPECT_NEAR(after.breakthrough, 3.0 + 3.0 / std::tan(59.0 * kDegree), 0.02);
}

TEST(HoleGuards, AWallWhoseErrorIsNoNumberDoesNotSettle) {
  const PoseCone cone{Down(0, 30), 0.5, 0.1, 5 * kDegree};
  std::vector<Obstacle> spoilt = Tube(60, 3);
  spoilt[1].wall_error = kNan;
  EXPECT_EQ(WorstOver(spoilt, {cone}, Twist(6), {1.0, kHorizon, {}}).failure,
            "the break-through depth did not settle");
}

// A rod across, its top 2 mm over the entries: in no pose does the drill come back to it.
TEST(HoleGuards, WhatLiesBehindTheEntryIsNeverMet) {
  std::vector<Obstacle> scene = Box(60, 60, 3);
  scene.push_back({"rod", ObstacleKind::other, FaceRole::outer,
                   CylinderPatches({-40, 0, 34}, {40, 0, 34}, 2.0)});
  const PoseCone cone{Down(0, 30), 0.5, 0.0, 5 * kDegree};
  const WorstClearance worst = WorstOver(scene, {cone}, Twist(6), {1.0, kHorizon, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_EQ(worst.body, "far wall");
}

TEST(HoleGuards, AFootBeyondAllNumbersHasNoSeat) {
  const auto seat = SeatOf(RoundSkin(), {1e308, 2.0}, 8.0);
  ASSERT_FALSE(seat);
  EXPECT_EQ(seat.error().message, "the skin does not reach under the whole foot");
}

// ---- Zones that cannot be searched

TEST(HoleGuards, AZoneThatCannotBeCoveredHasNoWorstPose) {
  const Skin skin = RoundSkin();
  WorstPoseSearch search;
  search.side = 1.0;
  search.horizon = kHorizon;
  search.gap = 1.0;
  const auto says = [&](const NominalPlace& nominal, double radius) {
    return WorstPoseOver(Tube(60, 3), {&skin, nominal, radius, 5 * kDegree, kNormal}, Twist(6),
                         search)
        .failure;
  };
  EXPECT_EQ(says(OnTop(skin), 100.0), "the marking zone reaches round the part");
  EXPECT_EQ(says(OnTop(skin), 32.0), "the skin turns more than 60 degrees within the marking zone");
  NominalPlace beyond = OnTop(skin);
  beyond.place.u = 1e308;
  EXPECT_EQ(says(beyond, 1.0), "the hole's place or direction is not a finite number");
}

}  // namespace
}  // namespace holeward
