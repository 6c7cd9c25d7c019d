// The near wall and what lies beside the drill, in the worst pose: each error and each kind of body
// counts as far as it may and no farther, and a pose is found that needs it.
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;
using testing::Tube;

constexpr double kHorizon = 600.0;
constexpr double kGap = 0.04;  // to which each is searched, mm
constexpr double kThick = 3.0;
const Drill kDrill = *Drill::Twist(6.0, 118.0 * kDegree);
const WorstPoseSearch kSearch{0.0, kHorizon, kGap, 30000, {}};

/// Through a wall this thick at a slant: its far rim counts, then the point.
double Through(double thick, double slant) {
  return thick / std::cos(slant) + 3.0 * std::tan(slant) + 3.0 / std::tan(59.0 * kDegree);
}

std::vector<Obstacle> WithErrors(std::vector<Obstacle> walls, double wall, double outline) {
  walls[1].wall_error = wall;
  walls[1].outline_error = outline;
  walls[1].shift = wall + outline;
  return walls;
}

Vec3 Slanted(double slant) { return {std::sin(slant), 0.0, -std::cos(slant)}; }

/// Between both bounds, and these as near to each other as asked for.
/// @param nodes hardly more than it takes: a pose that needs it is found at once
void ExpectThrough(const WorstDepths& worst, double exact, int nodes) {
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_GE(worst.breakthrough, exact - 1e-6);
  EXPECT_LE(worst.breakthrough, exact + kGap);
  EXPECT_LE(worst.breakthrough_attained, exact + 1e-3);
  EXPECT_GE(worst.breakthrough_attained, worst.breakthrough - kGap);
  EXPECT_LE(worst.nodes, nodes);
}

// What may be thicker reaches so far beyond the wall's inside; of the outside's error a flat moves
// under its mark by the sine of the slant.
TEST(WorstPoseWalls, OfOnePoseEachErrorOfAFlatWallCounts) {
  for (const double slant : {0.0, 30.0 * kDegree}) {
    for (const double wall : {0.0, 0.7}) {
      for (const double outline : {0.0, 2.0}) {
        const auto walls = WithErrors(Box(200, 120, kThick), wall, outline);
        const double moved = wall + outline * std::sin(slant);
        ExpectThrough(DepthsOf(walls, {{0, 0, 60}, Slanted(slant)}, kDrill, kSearch),
                      Through(kThick + moved, slant), slant == 0.0 ? 140 : 60);
      }
    }
  }
}

Skin BoxSkin(double width, double height) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  const double x = 0.5 * width;
  const double z = 0.5 * height;
  law.vertices.assign(2, {{x, -z}, {x, z}, {-x, z}, {-x, -z}});
  law.corner_radii.assign(2, {0, 0, 0, 0});
  return *Skin::Make(law);
}

PoseZone TopZone(const Skin& skin, double radius, double tilt, AxisRule axis) {
  NominalPlace nominal;
  nominal.place = skin.Project(Vec3(0, 0, 200))->place;
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  return {&skin, nominal, radius, tilt, std::move(axis)};
}

// Leaning on from its slant; the outside's error counts by the slant that is meant.
TEST(WorstPoseWalls, OverAZoneTheWorstLeanOfASlantIsFound) {
  const Skin skin = BoxSkin(200, 120);
  const double tilt = 5.0 * kDegree;
  for (const double slant : {0.0, 30.0 * kDegree}) {
    for (const double radius : {0.0, 4.0}) {
      const PoseZone zone =
          TopZone(skin, radius, tilt, [=](const Vec3&) { return Slanted(slant); });
      for (const auto& [wall, outline] : {std::pair(0.0, 0.0), std::pair(0.7, 2.0)}) {
        const double moved = wall + outline * std::sin(slant);
        ExpectThrough(
            WorstPoseOver(WithErrors(Box(200, 120, kThick), wall, outline), zone, kDrill, kSearch),
            Through(kThick + moved, slant + tilt), radius == 0.0 ? 110 : 4300);
      }
    }
  }
}

// Under its mark a round wall moves by half the error times what its facing leaves.
TEST(WorstPoseWalls, ARoundWallHardlyMovesUnderItsMark) {
  const double exact = DepthsOf(Tube(60, kThick), Down(0, 30), kDrill, kSearch).breakthrough;
  const WorstDepths moved =
      DepthsOf(WithErrors(Tube(60, kThick), 0.0, 2.0), Down(0, 30), kDrill, kSearch);
  EXPECT_GE(moved.breakthrough, exact - kGap);
  EXPECT_LE(moved.breakthrough, exact + kGap + 2.0 * 0.5 * (1.0 - 27.0 / 30.0));
}

// The zone before needed more: that stays, with what some pose of it needs.
TEST(WorstPoseWalls, WhatAnEarlierZoneNeedsStays) {
  WorstPoseSearch search = kSearch;
  search.so_far.breakthrough = 20.0;
  search.so_far.breakthrough_attained = 19.99;
  const WorstDepths worst = DepthsOf(Box(80, 60, kThick), Down(0, 30), kDrill, search);
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_EQ(worst.breakthrough, 20.0);
  EXPECT_EQ(worst.breakthrough_attained, 19.99);
}

// 3.5 mm from the axis of a drill of radius 3: an inner body counts within 1 mm beside it, no
// other.
TEST(WorstPoseWalls, PassingBesideCountsForInnerBodiesAlone) {
  const Skin skin = BoxSkin(80, 60);
  const PoseZone zone = TopZone(skin, 0.0, 0.0, [](const Vec3&) { return Slanted(0.0); });
  for (const ObstacleKind kind : {ObstacleKind::inner, ObstacleKind::other}) {
    for (const double side : {0.3, 1.0}) {
      auto scene = Box(80, 60, kThick);
      scene.push_back(Bar(5.5, 0.0, 2.0));
      scene.back().kind = kind;
      WorstPoseSearch search = kSearch;
      search.side = side;
      const WorstDepths worst = WorstPoseOver(scene, zone, kDrill, search);
      ASSERT_TRUE(worst.ok()) << worst.failure;
      const bool counts = kind == ObstacleKind::inner && side == 1.0;
      EXPECT_EQ(worst.body, counts ? "bar" : "far wall") << side;
      EXPECT_GT(worst.nodes, 0);
    }
  }
}

Skin RoundSkin(double outside) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {0.5 * outside, 0.5 * outside};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

// Straight down off the top of a round wall there is more to go through than on it.
TEST(WorstPoseWalls, TheZonesBorderIsFoundWhereTheWallIsThickest) {
  const Skin skin = RoundSkin(60);
  const PoseZone zone = TopZone(skin, 4.0, 0.0, [](const Vec3&) { return Slanted(0.0); });
  const WorstDepths worst = WorstPoseOver(Tube(60, kThick), zone, kDrill, kSearch);
  const WorstDepths on_top = DepthsOf(Tube(60, kThick), Down(0, 30), kDrill, kSearch);
  ASSERT_TRUE(worst.ok() && on_top.ok()) << worst.failure << on_top.failure;
  EXPECT_GT(worst.breakthrough, on_top.breakthrough + 0.3);
  EXPECT_GE(worst.breakthrough_attained, worst.breakthrough - kGap);
}

// Leaning by 9 degrees the way to a tube's far wall is shorter than by the 5 that are allowed.
TEST(WorstPoseWalls, AStartThatLeansTooFarIsNoPose) {
  const Skin skin = RoundSkin(60);
  const PoseZone zone = TopZone(skin, 1.0, 5.0 * kDegree, [](const Vec3&) { return Slanted(0.0); });
  WorstPoseSearch search = kSearch;
  const WorstDepths alone = WorstPoseOver(Tube(60, kThick), zone, kDrill, search);
  search.start = Pose{{0, 0, 30}, Slanted(9.0 * kDegree)};
  EXPECT_LT(DepthsOf(Tube(60, kThick), *search.start, kDrill, search).upper, alone.lower - 0.2);
  const WorstDepths worst = WorstPoseOver(Tube(60, kThick), zone, kDrill, search);
  EXPECT_GE(worst.upper, alone.lower);
  EXPECT_GE(worst.pose.direction.dot(-Vec3::UnitZ()), std::cos(5.0 * kDegree) - 1e-9);
}

// ---- How much is looked at: bounds that are no tighter than they must be, or pairs divided where
// it gains little, would hold as well and cost many times as much.

struct Searched {
  const char* what;
  std::vector<Obstacle> scene;
  bool round;
  double radius, tilt;
  Drill drill;
  int most;  ///< pairs, hardly more than it takes
};

std::vector<Obstacle> With(std::vector<Obstacle> walls, Obstacle body) {
  walls.push_back(std::move(body));
  return walls;
}

Obstacle Grown(Obstacle body, double by) {
  body.shift = by;
  return body;
}

TEST(WorstPoseWalls, AWorstPoseIsFoundWithoutMuchAdo) {
  const Drill step = *Drill::Step(9.0, 118.0 * kDegree, {{4.0, 6.0}, {6.0, 3.0}});
  const Drill flat = *Drill::Twist(6.0, 178.0 * kDegree);
  const double tilt = 5.0 * kDegree;
  const std::vector<Searched> searches = {
      {"far wall", Box(80, 60, 3), false, 2.0, tilt, kDrill, 175},
      {"far wall of a tube", Tube(60, 3), true, 2.0, tilt, kDrill, 1200},
      {"straight", Tube(60, 3), true, 3.0, 0.0, kDrill, 1800},
      {"bar", With(Box(80, 60, 3), Bar(4, 5, 6)), false, 2.0, tilt, kDrill, 470},
      {"grown bar", With(Box(80, 60, 3), Grown(Bar(4, 5, 4), 2.0)), false, 2.0, tilt, kDrill, 490},
      {"beside", With(Box(80, 60, 3), Bar(10, 0, 5)), false, 2.0, tilt, kDrill, 1870},
      {"step drill", With(Tube(60, 3), Bar(8, 0, 4)), true, 2.0, tilt, step, 9700},
      {"flat drill", With(Tube(60, 3), Bar(-6, -2, 4)), true, 1.0, tilt, flat, 520},
      {"one place", With(Tube(60, 3), Grown(Bar(7, 0, 4), 1.0)), true, 0.0, tilt, kDrill, 125},
  };
  const Skin box = BoxSkin(80, 60);
  const Skin tube = RoundSkin(60);
  for (const Searched& one : searches) {
    const PoseZone zone = TopZone(one.round ? tube : box, one.radius, one.tilt,
                                  [](const Vec3& normal) { return Vec3(-normal); });
    WorstPoseSearch search = kSearch;
    search.so_far.breakthrough = search.so_far.breakthrough_attained = search.proven_through = 50.0;
    const WorstDepths worst = WorstPoseOver(one.scene, zone, one.drill, search);
    ASSERT_TRUE(worst.ok()) << one.what << worst.failure;
    EXPECT_LE(worst.upper - worst.lower, kGap + 1e-9) << one.what;
    EXPECT_LE(worst.nodes, one.most) << one.what;
  }
}

// Of what is left to look for it says how much it looked at.
TEST(WorstPoseWalls, WhatWasLookedAtIsCounted) {
  WorstPoseSearch search = kSearch;
  const auto walls = Box(80, 60, kThick);
  const WorstDepths whole = DepthsOf(walls, Down(0, 30), kDrill, search);
  search.so_far.breakthrough = search.so_far.breakthrough_attained = search.proven_through =
      whole.breakthrough;
  const WorstDepths free = DepthsOf(walls, Down(0, 30), kDrill, search);
  EXPECT_EQ(free.breakthrough, whole.breakthrough);
  EXPECT_GT(free.nodes, 0);
  EXPECT_LT(free.nodes, whole.nodes);
}

}  // namespace
}  // namespace holeward
