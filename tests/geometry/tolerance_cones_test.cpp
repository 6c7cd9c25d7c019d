// Several cones of poses together: as bad as the worst of them, wherever each of them lies.
#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/tolerance.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;
using testing::Tube;

constexpr double kHorizon = 600.0;
constexpr double kGap = 0.01;  // to which each is searched, mm

class Scenes {
 public:
  explicit Scenes(unsigned seed) : random_(seed) {}
  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }

  /// A cone that starts on the top of the box, its axis leaning.
  PoseCone Cone(double top) {
    const double lean = Even(0.0, 14.0 * kDegree);
    const double turn = Even(0.0, 2.0 * kPi);
    PoseCone cone;
    cone.pose.entry = {Even(-9.0, 9.0), Even(-9.0, 9.0), top};
    cone.pose.direction = {std::sin(lean) * std::cos(turn), std::sin(lean) * std::sin(turn),
                           -std::cos(lean)};
    cone.place = Even(0.0, 3.0);
    cone.rise = Even(0.0, 8.0);
    cone.tilt = Even(0.0, 20.0 * kDegree);
    return cone;
  }

 private:
  std::mt19937 random_;
};

// Everything is looked for within one cone that holds all: were it too narrow, too short or too
// far aside for one of them, what only that one meets would be missed.
TEST(ToleranceCones, TogetherAreAsBadAsTheWorstOfThem) {
  Scenes scenes(20261129);
  const Drill drill = *Drill::Twist(6.0, 118.0 * kDegree);
  const WorstSearch search{1.0, kHorizon, {}};
  int bars_met = 0;
  int walls_met = 0;
  for (int scene = 0; scene < 150; ++scene) {
    const double top = scenes.Even(60.0, 120.0);
    std::vector<Obstacle> obstacles = Box(400.0, 2.0 * top, 2.0);
    for (int bar = 0; bar < 2; ++bar) {
      obstacles.push_back(Bar(scenes.Even(-60.0, 60.0), scenes.Even(-top + 6.0, top - 12.0), 2.0));
    }
    std::vector<PoseCone> cones;
    double free = std::numeric_limits<double>::infinity();
    double through = 0.0;
    std::string body;
    for (int k = 0; k < 3; ++k) {
      cones.push_back(scenes.Cone(top));
      const WorstClearance one = WorstOver(obstacles, {cones.back()}, drill, search);
      ASSERT_TRUE(one.ok()) << scene << ' ' << one.failure;
      if (one.free_depth < free) body = one.body;
      free = std::min(free, one.free_depth);
      through = std::max(through, one.breakthrough);
    }
    const WorstClearance all = WorstOver(obstacles, cones, drill, search);
    ASSERT_TRUE(all.ok()) << scene << ' ' << all.failure;
    EXPECT_NEAR(all.free_depth, free, 2.0 * kGap) << scene;
    EXPECT_NEAR(all.breakthrough, through, 2.0 * kGap) << scene;
    ++(body == "far wall" ? walls_met : bars_met);
  }
  EXPECT_GT(bars_met, 40);
  EXPECT_GT(walls_met, 20);
}

// What may lie at the entry itself is at worst as far behind it as it can be: along an axis that
// leans by 60 degrees straight away from a place 7 mm back and 12 mm aside, and 8 mm nearer.
TEST(ToleranceCones, WhatMayLieAtTheEntryIsAsFarBehindAsItCanBe) {
  const PoseCone cone{{{0, 0, 0}, {0, 0, -1}}, 2.0, 2.0, 60.0 * kDegree};
  const Drill drill = *Drill::Twist(6.0, 118.0 * kDegree);
  const double farthest = std::hypot(5.0 + 2.0, 10.0 + 2.0) + 8.0;
  EXPECT_LE(LeastDepthOver(cone, drill, {-5.0, -5.0, 10.0, 10.0, 8.0}), -farthest + 1e-9);
}

// A place at least 4 mm off the entry is beside a drill of radius 3 that leans by 10 degrees, also
// where it lies behind it: 4 cos 10° > 3. It is met by the tip, not at the entry.
TEST(ToleranceCones, WhatIsBesideALeaningDrillIsNotMetBehindTheEntry) {
  const PoseCone cone{{{0, 0, 0}, {0, 0, -1}}, 0.0, 0.0, 10.0 * kDegree};
  const Drill drill = *Drill::Twist(6.0, 118.0 * kDegree);
  EXPECT_GT(LeastDepthOver(cone, drill, {0.0, 40.0, 4.0, 20.0, 0.0}), 2.6);
  EXPECT_LT(LeastDepthOver(cone, drill, {0.0, 40.0, 3.0, 20.0, 0.0}), 0.0);
}

// ---- Nothing is left out that one of the cones reaches: bars of 0.3 mm right within the border.

const Drill kReaching = *Drill::Twist(6.0, 118.0 * kDegree);

std::string Met(const std::vector<Vec2>& bars, const std::vector<PoseCone>& cones, double horizon,
                const Drill& drill = kReaching) {
  auto obstacles = Box(800.0, 400.0, 2.0, 400.0);
  for (const Vec2& bar : bars) obstacles.push_back(Bar(bar.x(), bar.y(), 0.3));
  const WorstClearance worst = WorstOver(obstacles, cones, drill, {0.0, horizon, {}});
  EXPECT_TRUE(worst.ok()) << worst.failure;
  return worst.body;
}

// A cone that leans has its entries across its own axis: those 12 mm toward where it leans come
// farther than their height allows an axis that starts at the middle.
TEST(ToleranceCones, WhatOnlyTheFarSideOfALeaningConeReachesIsMet) {
  const double lean = 25.0 * kDegree;
  const auto leaning = [&](double side) {
    PoseCone cone;
    cone.pose = {{0.0, 0.0, 200.0}, {side * std::sin(lean), 0.0, -std::cos(lean)}};
    cone.place = 12.0;
    return cone;
  };
  const Vec2 along(std::sin(lean), -std::cos(lean));
  const Vec2 across(std::cos(lean), std::sin(lean));
  const Vec2 bar = Vec2(0.0, 200.0) + 80.0 * along + 14.9 * across;
  EXPECT_EQ(Met({bar}, {leaning(1.0)}, kHorizon), "bar");
  EXPECT_EQ(Met({bar}, {{Down(0, 200), 0.0, 0.0, 0.0}, leaning(1.0), leaning(-1.0)}, kHorizon),
            "bar");
}

// Of three cones one above the other, each leaning by 30 degrees, the highest entry is 15 mm up.
TEST(ToleranceCones, WhatOnlyTheHighestEntryReachesIsMet) {
  const double tilt = 30.0 * kDegree;
  const auto at = [&](double up, double rise) {
    return PoseCone{Down(0, 200.0 + up), 0.0, rise, tilt};
  };
  const Vec2 along(std::sin(tilt), -std::cos(tilt));
  const Vec2 across(std::cos(tilt), std::sin(tilt));
  const Vec2 bar = Vec2(0.0, 215.0) + 60.0 * along + 2.9 * across;
  EXPECT_EQ(Met({bar}, {at(0, 0), at(5, 10), at(-5, 10)}, kHorizon), "bar");
  EXPECT_EQ(Met({bar}, {at(0, 0), at(5, 2), at(-5, 2)}, kHorizon), "far wall");
}

// What lies just before the horizon of the lowest entry is met, and by a leaning drill's rim too.
TEST(ToleranceCones, WhatLiesBeforeTheHorizonIsMet) {
  EXPECT_EQ(Met({{0.0, 140.5}}, {{Down(0, 200), 0.0, 10.0, 0.0}}, 50.0), "bar");
  const double tilt = 30.0 * kDegree;
  const Vec2 along(std::sin(tilt), -std::cos(tilt));
  const Vec2 across(std::cos(tilt), std::sin(tilt));
  const Vec2 bar = Vec2(0.0, 200.0) + 6.0 * along - 2.9 * across;
  EXPECT_LT(bar.y() + 0.3, 200.0 - 6.0);
  EXPECT_EQ(Met({bar}, {{Down(0, 200), 0.0, 0.0, tilt}}, 6.0, *Drill::Twist(6.0, 179.0 * kDegree)),
            "bar");
}

// Of the six times six cells that cover a zone of 60 mm on a tube of 100 mm radius, those at the
// corners hold no place of it.
TEST(ToleranceCones, CellsBesideTheZoneAreLeftOut) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {100.0, 100.0};
  law.girth_origin_v = 0.0;
  const Skin skin = *Skin::Make(law);
  NominalPlace nominal;
  nominal.place = {150.0, 2.0};
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  const auto cones =
      ConesOver(skin, nominal, 60.0, 0.0, [](const Vec3& normal) { return Vec3(-normal); });
  ASSERT_TRUE(cones) << cones.error().message;
  EXPECT_EQ(cones->size(), 32U);
}

// ---- The near wall: flat, t thick, under a drill of radius a whose full diameter lies p behind
// its tip, leaning by up to b: t / cos b + a tan b + p.

constexpr double kThick = 3.0;
constexpr double kLean = 5.0 * kDegree;
const Drill kDrill = *Drill::Twist(6.0, 118.0 * kDegree);

double ThroughFlat(double thick) {
  return thick / std::cos(kLean) + 3.0 * std::tan(kLean) + 3.0 / std::tan(59.0 * kDegree);
}

double Through(const std::vector<Obstacle>& obstacles, const std::vector<PoseCone>& cones) {
  const WorstClearance worst = WorstOver(obstacles, cones, kDrill, {0.0, kHorizon, {}});
  EXPECT_TRUE(worst.ok()) << worst.failure;
  return worst.breakthrough;
}

/// The inside of a box or tube with its errors: of the wall's thickness and of the outside size.
std::vector<Obstacle> WithErrors(std::vector<Obstacle> walls, double wall, double outline) {
  walls[1].wall_error = wall;
  walls[1].outline_error = outline;
  walls[1].shift = wall + outline;
  return walls;
}

TEST(ToleranceCones, AnEntryThatMayLieHigherHasThatMuchMoreToGoThrough) {
  const PoseCone cone{Down(0, 30), 0.0, 1.0, kLean};
  EXPECT_NEAR(Through(Box(60, 60, kThick), {cone}), ThroughFlat(kThick + 1.0), 2.0 * kGap);
}

TEST(ToleranceCones, AThickerWallIsCountedToo) {
  const PoseCone cone{Down(0, 30), 0.0, 0.0, kLean};
  EXPECT_NEAR(Through(WithErrors(Box(60, 60, kThick), 0.7, 0.0), {cone}), ThroughFlat(kThick + 0.7),
              2.0 * kGap);
}

// The mark lies on the flat, wherever the flat lies: a section off its size moves nothing of it.
TEST(ToleranceCones, AFlatStaysUnderItsMarkWhateverTheOutlineIs) {
  const PoseCone cone{Down(0, 30), 0.0, 0.0, kLean};
  EXPECT_NEAR(Through(WithErrors(Box(60, 60, kThick), 0.0, 2.0), {cone}), ThroughFlat(kThick),
              2.0 * kGap);
}

// Drilled slantwise, by 30 degrees: the flat moves along the axis by at least the sine of that, and
// by no more than the whole of the error.
TEST(ToleranceCones, AFlatDrilledSlantwiseMovesByTheSineOfTheSlantAtLeast) {
  const double slant = 30.0 * kDegree;
  const PoseCone cone{{{0, 0, 30}, {std::sin(slant), 0, -std::cos(slant)}}, 0.0, 0.0, 0.0};
  const double exact = Through(Box(80, 60, kThick), {cone});
  const double moved = Through(WithErrors(Box(80, 60, kThick), 0.0, 2.0), {cone}) - exact;
  EXPECT_GE(moved, 2.0 * std::sin(slant) - 2.0 * kGap);
  EXPECT_LE(moved, 2.0 + 2.0 * kGap);
}

// Through a wall t thick at a slant b a drill of radius a has t / cos b + a tan b + p to go: the
// far rim of the wall's inside counts, and so does all that the wall may be thicker.
TEST(ToleranceCones, DrilledSlantwiseTheFarRimOfAThickerWallCounts) {
  const double slant = 30.0 * kDegree;
  const PoseCone cone{{{0, 0, 30}, {std::sin(slant), 0, -std::cos(slant)}}, 0.0, 0.0, 0.0};
  const double point = 3.0 / std::tan(59.0 * kDegree);
  for (const double thicker : {0.0, 1.5}) {
    const double exact = (kThick + thicker) / std::cos(slant) + 3.0 * std::tan(slant) + point;
    const double through = Through(WithErrors(Box(80, 60, kThick), thicker, 0.0), {cone});
    EXPECT_GE(through, exact - 1e-9);
    // What may be thicker is held to be so in every direction.
    EXPECT_LE(through, exact + thicker * (1.0 + std::tan(slant) - 1.0 / std::cos(slant)) + 0.05);
  }
}

// The wall may reach 2 mm beyond where it is drawn, also toward the drill's axis: at a slant of 45
// degrees and a lean of 20 more, what is drawn 2 mm out of reach counts.
TEST(ToleranceCones, AThickerWallComesIntoReachFromTheSide) {
  const double slant = 45.0 * kDegree;
  const double tilt = 20.0 * kDegree;
  const double thicker = 2.0;
  const PoseCone cone{{{0, 0, 200}, {std::sin(slant), 0, -std::cos(slant)}}, 0.0, 0.0, tilt};
  const double point = 3.0 / std::tan(59.0 * kDegree);
  const double through = Through(WithErrors(Box(800, 400, kThick, 400), thicker, 0.0), {cone});
  const auto at = [&](double more) {
    return (kThick + more) / std::cos(slant + tilt) + 3.0 * std::tan(slant + tilt) + point;
  };
  EXPECT_GE(through, at(thicker) - 1e-9);
  // Out by the whole of it along the axis and across it at once.
  EXPECT_NEAR(through, at(thicker * (std::cos(slant) + std::sin(slant))), 0.1);
}

// A round section's top is within the half of what its facing leaves.
TEST(ToleranceCones, ARoundWallHardlyMovesUnderItsMark) {
  const PoseCone cone{Down(0, 30), 0.0, 0.0, 0.0};
  const double exact = Through(Tube(60, kThick), {cone});
  const double moved = Through(WithErrors(Tube(60, kThick), 0.0, 2.0), {cone}) - exact;
  EXPECT_GE(moved, -2.0 * kGap);
  EXPECT_LE(moved, 0.5 * 2.0 * (1.0 - std::cos(45.0 * kDegree)) + 2.0 * kGap);
}

// The second cone's entry lies a little higher: what the first needed is not enough for it.
TEST(ToleranceCones, AMoreThatIsLittleIsMoreInAnyOrder) {
  const PoseCone low{Down(0, 30), 0.0, 0.5, kLean};
  PoseCone high = low;
  high.rise = 0.55;
  const auto walls = WithErrors(Box(60, 60, kThick), 0.7, 0.0);
  const double alone = Through(walls, {high});
  EXPECT_NEAR(alone - Through(walls, {low}), 0.05 / std::cos(kLean), 0.5 * kGap);
  EXPECT_NEAR(Through(walls, {low, high}), alone, 0.5 * kGap);
  EXPECT_NEAR(Through(walls, {high, low}), alone, 0.5 * kGap);
}

// 3.5 mm from the axis of a drill of radius 3, nothing leaning: met within 1 mm beside it only.
TEST(ToleranceCones, ABarBesideTheDrillIsMetWithinTheSideThatIsAskedFor) {
  const PoseCone cone{Down(0, 30), 0.0, 0.0, 0.0};
  auto walls = Box(60, 60, kThick);
  walls.push_back(Bar(5.5, 0.0, 2.0));
  EXPECT_EQ(WorstOver(walls, {cone}, kDrill, {1.0, kHorizon, {}}).body, "bar");
  EXPECT_EQ(WorstOver(walls, {cone}, kDrill, {0.3, kHorizon, {}}).body, "far wall");
}

}  // namespace
}  // namespace holeward
