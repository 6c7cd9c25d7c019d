#include "geometry/round_hole.h"

#include <cmath>
#include <memory>
#include <random>

#include <gtest/gtest.h>

#include "geometry/datum.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

using test::ArmLaw;
using test::Made;
using test::StraightBox;
using test::StraightTube;

Part PartOf(std::shared_ptr<const Skin> skin, double wall) {
  Part part;
  part.name = "piece";
  part.skin = std::move(skin);
  part.wall = wall;
  part.start = "inner end";
  part.finish = "outer end";
  return part;
}

TapeSolver TapeOf(const Part& part) {
  return TapeSolver(std::make_shared<const SkinSurface>(part.skin));
}

PlacedPoint PointAt(const Part& part, const SkinPlace& place, double zone) {
  const SkinPoint p = part.skin->At(place);
  PlacedPoint placed;
  placed.name = "D";
  placed.place = place;
  placed.position = p.position;
  placed.normal = p.normal;
  NominalPlace nominal;
  nominal.place = place;
  nominal.position = p.position;
  nominal.normal = p.normal;
  nominal.zone.radius = zone;
  nominal.zone.bounded = true;
  placed.zone = nominal.zone;
  placed.nominals = {nominal};
  return placed;
}

RoundHoleQuestion Square(double diameter) {
  RoundHoleQuestion question;
  question.diameter = diameter;
  question.axis = [](const Vec3& normal) { return Vec3(-normal); };
  return question;
}

const NearThing& Thing(const RoundHole& hole, const std::string& name) {
  static const NearThing none;
  for (const NearThing& thing : hole.things) {
    if (thing.to == name) return thing;
  }
  ADD_FAILURE() << "no " << name;
  return none;
}

// ---------------------------------------------------------------- the wall

TEST(RoundHole, SquareToTheSkinTheWallIsItsThickness) {
  const Part part = PartOf(Made(ArmLaw()), 2.6);
  for (const double v : {0.5, 2.3, 3.5, 4.5, 6.7}) {
    const SkinPoint p = part.skin->At(140, v);
    const auto length = WallLengthAlong(part, {140, v}, -p.normal);
    ASSERT_TRUE(length);
    EXPECT_NEAR(*length, 2.6, 1e-6) << v;
  }
}

TEST(RoundHole, LeaningOnAFlatTheWallGrowsByTheCosine) {
  const Part part = PartOf(StraightBox(60, 40, 6, 300), 3);
  for (const double lean : {0.1, 0.4, 0.8}) {
    const auto length = WallLengthAlong(part, {150, 4.5}, Vec3(0, std::sin(lean), -std::cos(lean)));
    ASSERT_TRUE(length);
    EXPECT_NEAR(*length, 3.0 / std::cos(lean), 1e-5);
  }
}

TEST(RoundHole, LeaningRoundATubeTheWallIsBetweenTwoCircles) {
  const Part part = PartOf(StraightTube(60, 300), 4);
  const double lean = 0.5;
  const auto length = WallLengthAlong(part, {150, 2.0}, Vec3(std::sin(lean), 0, -std::cos(lean)));
  ASSERT_TRUE(length);
  // From (0, 30) down the line to the circle of radius 26.
  const double b = 30.0 * std::cos(lean);
  EXPECT_NEAR(*length, b - std::sqrt(b * b - 900.0 + 676.0), 1e-5);
}

TEST(RoundHole, BesideASharpInnerCornerTheWallRunsIntoTheNext) {
  const Part part = PartOf(StraightBox(60, 40, 1, 300), 3);
  // 2 mm inside the side face: straight down there is no end to the side wall.
  const double v = part.skin->VOfGirth(150, part.skin->GirthOf(150, 4.5) - 28.0);
  EXPECT_FALSE(WallLengthAlong(part, {150, v}, -Vec3::UnitZ()));
  const double clear = part.skin->VOfGirth(150, part.skin->GirthOf(150, 4.5) - 26.0);
  EXPECT_NEAR(*WallLengthAlong(part, {150, clear}, -Vec3::UnitZ()), 3.0, 1e-6);
}

TEST(RoundHole, NoLeaningHoleInTheZoneFindsAThickerWall) {
  const Part part = PartOf(Made(ArmLaw()), 2.6);
  const TapeSolver tape = TapeOf(part);
  RoundHoleQuestion question = Square(9);
  question.tilt_rad = 5.0 * kDegree;
  const SkinPlace place{150, 2.6};
  const RoundHole hole = RoundHoleOf(part, tape, PointAt(part, place, 4.0), question);
  ASSERT_TRUE(hole.wall);
  ASSERT_TRUE(hole.wall->greatest);
  EXPECT_EQ(hole.wall->least, 2.6);
  EXPECT_NEAR(hole.wall->nominal, 2.6, 1e-6);
  EXPECT_LT(*hole.wall->greatest, 2.6 / std::cos(5.0 * kDegree) * 1.02);
  std::mt19937 random(11);
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  int seen = 0;
  for (int k = 0; k < 300; ++k) {
    const double du = 4.0 * unit(random);
    const double dg = 4.0 * unit(random);
    if (std::hypot(du, dg) > 4.0) continue;
    const double v = WalkAround(*part.skin, place.u + du, place.v, dg);
    const SkinPoint p = part.skin->At(place.u + du, v);
    const Vec3 side = p.normal.unitOrthogonal();
    const double angle = kPi * unit(random);
    const Vec3 lean = std::cos(angle) * side + std::sin(angle) * p.normal.cross(side);
    const double tilt = 5.0 * kDegree * std::abs(unit(random));
    const auto length = WallLengthAlong(part, {place.u + du, v},
                                        -std::cos(tilt) * p.normal + std::sin(tilt) * lean);
    ASSERT_TRUE(length);
    EXPECT_LE(*length, *hole.wall->greatest + 1e-6);
    EXPECT_GE(*length, hole.wall->least - 1e-6);
    ++seen;
  }
  EXPECT_GT(seen, 150);
}

// ---------------------------------------------------------------- distances

TEST(RoundHole, DistancesOnATubeAreThoseOfItsSheet) {
  Part part = PartOf(StraightTube(60, 300), 4);
  Fitting seam;
  seam.name = "seam";
  seam.kind = "seam";
  seam.centre = {150, 0.0};
  seam.footprint = {false, 0.0, 120, 180, 20};
  Fitting old;
  old.name = "old hole";
  old.kind = "hole";
  old.shape = FittingShape::hole;
  old.centre = {100, 2.0};
  old.diameter = 6;
  part.fittings = {seam, old};
  RoundHoleQuestion question = Square(8);
  const double one_degree_v = 1.0 / 90.0;
  question.others = {{"E", {130, 2.0 + 40 * one_degree_v}, 4.0, 1.0}};
  const RoundHole hole = RoundHoleOf(part, TapeOf(part), PointAt(part, {130, 2.0}, 2.0), question);
  EXPECT_TRUE(hole.faults.empty()) << hole.faults[0];
  EXPECT_NEAR(Thing(hole, "inner end").nominal, 130, 1e-6);
  EXPECT_NEAR(Thing(hole, "outer end").nominal, 170, 1e-6);
  EXPECT_NEAR(Thing(hole, "seam").nominal, 30 * kPi - 10, 1e-6);
  EXPECT_NEAR(Thing(hole, "old hole").nominal, 30, 1e-6);
  EXPECT_NEAR(Thing(hole, "E").nominal, 30 * 40 * kDegree, 1e-6);
  // The zone: 2 mm straight is 2.0004 round the tube, and the bound is a little above.
  EXPECT_NEAR(Thing(hole, "inner end").least, 128.0, 0.01);
  EXPECT_LE(Thing(hole, "inner end").least, 130 - 60 * std::asin(2.0 / 60));
  EXPECT_NEAR(Thing(hole, "E").least, 30 * 40 * kDegree - 3.0, 0.01);
  EXPECT_NEAR(Thing(hole, "E").metal_least, 30 * 40 * kDegree - 3.0 - 8.0, 0.01);
  EXPECT_NEAR(Thing(hole, "old hole").metal_least, 30 - 2 - 3 - 4, 0.01);
  EXPECT_EQ(hole.Nearest(NearKind::fitting)->to, "seam");
  EXPECT_EQ(hole.Nearest(NearKind::hole)->to, "E");
  EXPECT_EQ(hole.Nearest(NearKind::lip), nullptr);
  for (const NearThing& thing : hole.things) EXPECT_TRUE(thing.proven) << thing.to;
}

TEST(RoundHole, AnEdgeIsWhereTheFlatsWouldMeet) {
  Part part = PartOf(StraightBox(60, 40, 8, 300), 3);
  part.faces = {{"top", 4, "front edge", "rear edge"}};
  const RoundHole hole = RoundHoleOf(part, TapeOf(part), PointAt(part, {150, 4.5}, 2.0), Square(8));
  EXPECT_NEAR(Thing(hole, "front edge").nominal, 30.0, 1e-6);
  EXPECT_NEAR(Thing(hole, "front edge").least, 28.0, 1e-6);
  // A zone of 23 mm reaches the corner's curve, which is the edge.
  const RoundHole wide =
      RoundHoleOf(part, TapeOf(part), PointAt(part, {150, 4.5}, 23.0), Square(8));
  EXPECT_EQ(Thing(wide, "front edge").least, 0.0);
}

// Any place of the zone, measured for itself, is never nearer than the bound.
TEST(RoundHole, NoPlaceOfTheZoneIsNearerThanTheBound) {
  Part part = PartOf(Made(ArmLaw()), 2.6);
  part.faces = {{"front", 2, "bottom edge", "top edge"}};
  Fitting bracket;
  bracket.name = "bracket";
  bracket.kind = "bracket";
  bracket.centre = {190, 2.5};
  bracket.footprint = {false, 0.0, 175, 205, 24};
  part.fittings = {bracket};
  const TapeSolver tape = TapeOf(part);
  const SkinPlace place{140, 2.55};
  const double radius = 5.0;
  const RoundHole hole = RoundHoleOf(part, tape, PointAt(part, place, radius), Square(8));
  std::mt19937 random(23);
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  int seen = 0;
  double closest = 1e300;
  for (int k = 0; k < 60; ++k) {
    const double u = place.u + radius * unit(random);
    const double v = WalkAround(*part.skin, u, place.v, radius * unit(random));
    if ((part.skin->At(u, v).position - part.skin->At(place).position).norm() > radius) continue;
    const RoundHole there = RoundHoleOf(part, tape, PointAt(part, {u, v}, 0.0), Square(8));
    for (const NearThing& thing : there.things) {
      const double bound = Thing(hole, thing.to).least;
      EXPECT_GE(thing.nominal, bound - 1e-6) << thing.to;
      if (bound > 0.0) closest = std::min(closest, thing.nominal - bound);
      ++seen;
    }
  }
  EXPECT_GT(seen, 120);
  EXPECT_LT(closest, 2.0);  // and the bound is not idle
}

TEST(RoundHole, AWalkIsBoundedByTheTurn) {
  const auto tube = StraightTube(60, 300);
  const auto walk = WalkWithin(*tube, {150, 2.0}, 10.0);
  ASSERT_TRUE(walk);
  EXPECT_GE(*walk, 60.0 * std::asin(10.0 / 60.0));
  EXPECT_LT(*walk, 10.6);
  EXPECT_EQ(*WalkWithin(*tube, {150, 2.0}, 0.0), 0.0);
  EXPECT_FALSE(WalkWithin(*tube, {150, 2.0}, 70.0));
  EXPECT_FALSE(WalkWithin(*tube, {150, 2.0}, std::nan("")));
  // Over a sharp edge 90 degrees apart, both legs 5 mm: 7.07 straight, 10 on the skin.
  const auto box = StraightBox(60, 40, 0, 300);
  const double v = box->VOfGirth(150, box->GirthOf(150, 4.5) - 25.0);
  EXPECT_GE(WalkWithin(*box, {150, v}, std::sqrt(50.0)).value_or(1e9), 10.0);
}

TEST(RoundHole, AZoneWithoutBoundProvesNothing) {
  const Part part = PartOf(StraightTube(60, 300), 4);
  PlacedPoint placed = PointAt(part, {130, 2.0}, 2.0);
  placed.nominals[0].zone.bounded = false;
  const RoundHole hole = RoundHoleOf(part, TapeOf(part), placed, Square(8));
  EXPECT_FALSE(hole.faults.empty());
  ASSERT_FALSE(hole.things.empty());
  for (const NearThing& thing : hole.things) EXPECT_FALSE(thing.proven);
}

}  // namespace
}  // namespace holeward
