// The parts of the search for the worst pose, each fed by itself: what is not a number is never
// held off, and what is known beforehand counts for what it is.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>
#include <random>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose_along.h"
#include "geometry/worst_pose_bounds.h"
#include "geometry/worst_pose_search.h"
#include "tests/geometry/bound_scenes.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
const double kNan = std::numeric_limits<double>::quiet_NaN();
using test::Metal;
using test::PlateAt;
using test::SquareCell;
const Drill kDrill = *Drill::Twist(6.0, 118.0 * kDegree);

struct Pair {
  PlaceCell cell = SquareCell();
  MetalPiece plate = PlateAt(20.0);
  double tilt = 0.05;

  [[nodiscard]] double Touch() const {
    return LeastTouch(cell, plate, {PartsOf(kDrill), tilt, kNever}).depth;
  }
  [[nodiscard]] double Through() const {
    return GreatestThrough(cell, plate, plate.grown, kDrill, tilt).depth;
  }
};

TEST(WorstPoseParts, WhatIsNotANumberIsNeverHeldOff) {
  const Pair sound;
  ASSERT_GT(sound.Touch(), 19.0);
  ASSERT_LT(sound.Through(), 25.0);
  const std::vector<std::function<void(Pair&)>> faults = {
      [](Pair& p) { p.cell.corner[0].entry.x() = kNan; },
      [](Pair& p) { p.cell.corner[1].axis.y() = kNan; },
      [](Pair& p) { p.cell.corner[3].axis.z() = kNan; },
      [](Pair& p) { p.cell.sag = kNan; },
      [](Pair& p) { p.cell.axis_sag = kNan; },
      [](Pair& p) { p.plate.grown = kNan; },
      [](Pair& p) { p.tilt = kNan; },
  };
  for (std::size_t i = 0; i < faults.size(); ++i) {
    Pair spoilt;
    faults[i](spoilt);
    EXPECT_EQ(spoilt.Touch(), -kNever) << i;
    EXPECT_EQ(spoilt.Through(), kNever) << i;
  }
}

// Metal that is a line has no normal to look along: the axis serves.
TEST(WorstPoseParts, ThroughALineIsAsDeepAsItLies) {
  const Pair pair;
  const MetalPiece line = Metal(LinePatch({-1, 0, 3}, {1, 0, 3}, 0.0));
  const double deepest = GreatestThrough(pair.cell, line, 0.5, kDrill, 0.0).depth;
  EXPECT_GE(deepest, 3.5 + kDrill.FullBehind());
  EXPECT_LE(deepest, 3.8 + kDrill.FullBehind());
}

TEST(WorstPoseParts, StraightBehindTheEntryNothingIsReached) {
  const Pair pair;
  const MetalPiece plate = PlateAt(-40.0);
  EXPECT_EQ(LeastTouch(pair.cell, plate, {PartsOf(kDrill), 0.05, kNever}).depth, kNever);
  // All round the line backward it may lie anywhere.
  EXPECT_LT(GreatestThrough(pair.cell, plate, 0.0, kDrill, 0.05).depth, 0.0);
}

TEST(WorstPoseParts, SquareToAnAxisIsSquareWhereverItPoints) {
  for (const Vec3& axis : {Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1), Vec3(0.36, 0.48, 0.8)}) {
    EXPECT_NEAR(SquareTo(axis).dot(axis), 0.0, 1e-12);
    EXPECT_NEAR(SquareTo(axis).norm(), 1.0, 1e-12);
    // Of a direction and itself any plane will do.
    EXPECT_NEAR(Toward(axis, axis, 0.3).dot(axis), std::cos(0.3), 1e-12);
  }
  EXPECT_NEAR(
      (Toward(Vec3::UnitZ(), Vec3::UnitX(), 0.3) - Vec3(std::sin(0.3), 0, std::cos(0.3))).norm(),
      0.0, 1e-12);
}

// ---- Places of a zone

// Past a sharp corner 9.9 mm off the middle of a zone of 10 mm the way down the side hardly leads
// away from it: where the zone ends there is not settled, and a place of the zone it is all the
// same.
TEST(WorstPoseParts, APlaceOfTheZoneIsFoundRoundACornerToo) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.vertices.assign(2, {{40, -30}, {40, 30}, {-40, 30}, {-40, -30}});
  law.corner_radii.assign(2, {0, 0, 0, 0});
  const Skin skin = *Skin::Make(law);
  NominalPlace nominal;
  nominal.place = skin.Project(Vec3(30.1, 0, 200))->place;
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  const auto cells = PlaceCells::Over(
      {&skin, nominal, 10.0, 0.0, [](const Vec3&) { return Vec3(-Vec3::UnitZ()); }});
  ASSERT_TRUE(cells) << cells.error().message;
  const auto near = [&](const Vec3& world) {
    const Stance stance = cells->NearTo(cells->frame().ToLocal(world));
    EXPECT_TRUE(stance.inside);
    return cells->frame().ToWorld(stance.entry);
  };
  EXPECT_LE((near({45, 0, 30}) - nominal.position).norm(), 10.0);
  EXPECT_NEAR((near({10, 0, 30}) - Vec3(20.1, 0, 30)).norm(), 0.0, 1e-3);
  EXPECT_NEAR((near({28, 3, 30}) - Vec3(28, 3, 30)).norm(), 0.0, 1e-3);
}

// ---- The search

PairSearch Search(double depth) {
  PairSearch search;
  search.bound = [=](const PlaceCell&, const MetalPiece&, double) {
    CellBound bound;
    bound.depth = depth;
    return bound;
  };
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return kNever; };
  search.budget = 1;
  return search;
}

PoseMinimum Found(const PairSearch& search) {
  PlaceCells cells = PlaceCells::Single(Stance{});
  MetalPieces metal;
  metal.Add(PlateAt(20.0));
  metal.Close();
  return LeastOver(cells, metal, {0}, search);
}

TEST(WorstPoseParts, AKnownPoseCountsOnlyIfItIsBetterThanWhatIsOfInterest) {
  PairSearch search = Search(30.0);
  search.cut = 25.0;
  search.known.piece = 0;
  for (const double known : {24.0, 25.0, 26.0}) {
    search.known.upper = known;
    const PoseMinimum found = Found(search);
    EXPECT_EQ(found.piece, known < 25.0 ? 0 : -1) << known;
    EXPECT_EQ(found.upper, known < 25.0 ? known : kNever) << known;
    EXPECT_EQ(found.lower, std::min(known, 25.0)) << known;
  }
  search.known.upper = 24.0;
  search.known.piece = -1;
  EXPECT_EQ(Found(search).piece, -1);
}

TEST(WorstPoseParts, ABoundThatIsNotANumberProvesNothing) {
  EXPECT_EQ(Found(Search(19.0)).lower, 19.0);
  EXPECT_EQ(Found(Search(kNan)).lower, -kNever);
  PairSearch rough = Search(kNan);
  rough.rough = [](const PlaceCell&, const MetalPiece&) { return kNan; };
  EXPECT_EQ(Found(rough).lower, -kNever);
}

// One place, and metal too small to halve: what is proven is returned as it is.
TEST(WorstPoseParts, WhatCannotBeHalvedIsLeftOpen) {
  PairSearch search = Search(19.0);
  search.budget = 1000;
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return 20.0; };
  PlaceCells cells = PlaceCells::Single(Stance{});
  MetalPieces metal;
  metal.Add(PlateAt(20.0, 1e-5));
  metal.Close();
  const PoseMinimum found = LeastOver(cells, metal, {0}, search);
  EXPECT_EQ(found.lower, 19.0);
  EXPECT_EQ(found.upper, 20.0);
  EXPECT_EQ(found.nodes, 1);
}

// Metal too small to halve under a zone that can be: the places are halved, whatever is said to
// cost.
TEST(WorstPoseParts, WhereMetalCannotBeHalvedPlacesAre) {
  PairSearch search = Search(19.0);
  search.budget = 40;
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return 20.0; };
  search.bound = [](const PlaceCell&, const MetalPiece&, double) {
    CellBound bound;
    bound.depth = 19.0;
    bound.piece_spread = 1.0;
    return bound;
  };
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  law.round = true;
  law.radii = {30.0, 30.0};
  law.girth_origin_v = 0.0;
  const Skin skin = *Skin::Make(law);
  NominalPlace nominal;
  nominal.place = {150.0, 2.0};
  nominal.position = skin.At(nominal.place).position;
  nominal.normal = skin.At(nominal.place).normal;
  auto cells = PlaceCells::Over(
      {&skin, nominal, 1.0, 0.0, [](const Vec3& normal) { return Vec3(-normal); }});
  ASSERT_TRUE(cells);
  MetalPieces metal;
  metal.Add(PlateAt(20.0, 1e-5));
  metal.Close();
  const PoseMinimum found = LeastOver(*cells, metal, {0}, search);
  EXPECT_EQ(found.lower, 19.0);
  EXPECT_EQ(found.upper, 20.0);
  EXPECT_GE(found.nodes, 40);
}

}  // namespace
}  // namespace holeward
