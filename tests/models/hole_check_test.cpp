#include "models/hole_check.h"

#include <cmath>
#include <cstdio>
#include <random>

#include <gtest/gtest.h>

#include "geometry/clearance.h"
#include "models/job_reader.h"
#include "models/scene.h"

namespace holeward {
namespace {

const char* const kArm = R"(
holeward = 1
title = "lofted arm"
[set]
number = "T-2"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left"]
posture = "level"
[part.arm]
section = "box"
wall = 2.8
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-110, 220, 300], width = 62, height = 52, corner = 8 },
  { centre = [-98, 340, 288], width = 66, height = 58, corner = 8 },
  { centre = [-112, 520, 270], width = 54, height = 46, corner = 8 },
]
[[part.arm.inner]]
name = "rod"
diameter = 14
path = [[-112, 240, 296], [-100, 340, 284], [-110, 500, 270]]
)";

Vec3 Tilted(const Vec3& direction, double angle, double turn) {
  const AxisFrame frame = AxisFrame::At(Vec3::Zero(), direction);
  return frame.ToWorld(
      {std::sin(angle) * std::cos(turn), std::sin(angle) * std::sin(turn), std::cos(angle)});
}

// Poses anywhere in the zone and the tilt cone, each judged by itself on the same solid: the bound
// over all of them lies below every one, and not by much.
TEST(HoleCheck, NoSampledPoseOnALoftedArmBeatsTheBound) {
  const JobReading reading = ReadJobText(kArm, "arm.toml");
  for (const JobError& error : reading.errors) FAIL() << error.Text("arm.toml");
  const SceneBuild build = BuildScene(reading.job, Side::left);
  for (const JobError& error : build.failures) FAIL() << error.message;
  const Part& part = build.scene.parts.front();
  Marking exact;
  exact.wall = exact.outline = exact.inner_body = HalfWidth{};
  auto surroundings = Surroundings::Make(build.scene, exact);
  ASSERT_TRUE(surroundings) << surroundings.error().message;
  std::vector<Obstacle> obstacles = surroundings->ForDrill("arm").obstacles;
  for (Obstacle& obstacle : obstacles) obstacle.shift = obstacle.wall_error = 0.0;
  const AxisRule normal = [](const Vec3& n) { return Vec3(-n); };
  std::mt19937 random(20261125);
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  int poses = 0;
  double gap_most = 0.0;
  for (int hole = 0; hole < 8; ++hole) {
    NominalPlace nominal;
    nominal.place = {even(60, 240), (hole % 2 == 0 ? 2.0 : 6.0) + even(0.35, 0.65)};
    const SkinPoint at = part.skin->At(nominal.place);
    nominal.position = at.position;
    nominal.normal = at.normal;
    const double zone = even(0.5, 2.5);
    const double tilt = even(0.0, 5.0) * kDegree;
    const Drill drill = *Drill::Twist(even(3, 8), 118 * kDegree);
    const auto cones = ConesOver(*part.skin, nominal, zone, tilt, normal);
    ASSERT_TRUE(cones) << cones.error().message;
    const WorstClearance worst =
        WorstOver(obstacles, *cones, drill, {1.0, surroundings->diagonal(), {}});
    ASSERT_TRUE(worst.ok()) << worst.failure;
    double sampled = std::numeric_limits<double>::infinity();
    double through = 0.0;
    for (int k = 0; k < 60; ++k) {
      const SkinPlace place{nominal.place.u + even(-zone, zone),
                            nominal.place.v + even(-0.06, 0.06)};
      const SkinPoint start = part.skin->At(place);
      if ((start.position - nominal.position).norm() > zone) continue;
      const Pose pose{start.position,
                      Tilted(-start.normal, k % 2 == 0 ? tilt : even(0, tilt), even(0, 2 * kPi))};
      const Clearance single = ClearanceOf(obstacles, pose, drill, 1.0, surroundings->diagonal());
      ASSERT_TRUE(single.ok()) << single.failure;
      ASSERT_TRUE(single.contact);
      ++poses;
      EXPECT_LE(worst.free_depth, single.contact->depth + 1e-9) << "hole " << hole;
      // The entry is a place of the skin's law; the solid lies within 0.02 of it.
      EXPECT_GE(worst.breakthrough + 0.03, single.breakthrough) << "hole " << hole;
      sampled = std::min(sampled, single.contact->depth);
      through = std::max(through, single.breakthrough);
    }
    gap_most = std::max(gap_most, sampled - worst.free_depth);
    EXPECT_LT(worst.breakthrough - through, 1.0);
  }
  EXPECT_GT(poses, 150);
  std::printf("lofted arm: %d poses, bound below the best sampled pose by at most %.3f\n", poses,
              gap_most);
  EXPECT_LT(gap_most, 3.0);
}

TEST(HoleCheck, TheTipTravelsTheWayTheJobSays) {
  const Vec3 down(0, 0, -1);  // a skin that faces down
  EXPECT_NEAR(((*AxisOf({}, Side::left, down))(down)-Vec3(0, 0, 1)).norm(), 0.0, 1e-12);
  AxisRow up{AxisRow::Kind::direction, "up", 0.0};
  EXPECT_NEAR(((*AxisOf(up, Side::left, down))(Vec3(0, 0.6, -0.8)) - Vec3(0, 0, 1)).norm(), 0.0,
              1e-12);
  AxisRow lean{AxisRow::Kind::lean, "rear", 20 * kDegree};
  const Vec3 leant = (*AxisOf(lean, Side::left, down))(down);
  EXPECT_NEAR((leant - Vec3(-std::sin(20 * kDegree), 0, std::cos(20 * kDegree))).norm(), 0.0,
              1e-12);
  // Off the normal of a skin that faces the way itself.
  const double c = std::cos(20 * kDegree);
  const double s = std::sin(20 * kDegree);
  const Vec3 aslant = (*AxisOf({AxisRow::Kind::lean, "inboard", 20 * kDegree}, Side::left, down))(
      Vec3(0, 0.6, -0.8));
  EXPECT_NEAR((aslant - Vec3(0, -0.6 * c - 0.8 * s, 0.8 * c - 0.6 * s)).norm(), 0.0, 1e-12);
  // Inboard flips with the described side.
  AxisRow inboard{AxisRow::Kind::lean, "inboard", 20 * kDegree};
  EXPECT_LT((*AxisOf(inboard, Side::left, down))(down).y(), 0.0);
  EXPECT_GT((*AxisOf(inboard, Side::right, down))(down).y(), 0.0);
}

TEST(HoleCheck, AnAxisThatDoesNotEnterThePartIsAnError) {
  const Vec3 down(0, 0, -1);
  EXPECT_FALSE(AxisOf({AxisRow::Kind::direction, "down", 0.0}, Side::left, down));
  EXPECT_FALSE(AxisOf({AxisRow::Kind::direction, "front", 0.0}, Side::left, down));
  EXPECT_FALSE(AxisOf({AxisRow::Kind::lean, "up", 0.2}, Side::left, down));
}

TEST(HoleCheck, AZoneInsideAnotherIsJudgedWithIt) {
  PlacedPoint placed;
  const auto place = [](double x, double radius, bool bounded) {
    NominalPlace nominal;
    nominal.position = {x, 0, 0};
    nominal.zone.radius = radius;
    nominal.zone.bounded = bounded;
    return nominal;
  };
  placed.nominals = {place(0, 3, true), place(0.02, 3, true), place(1, 1, true), place(4, 2, true)};
  const auto zones = ZonesToJudge(placed);
  ASSERT_EQ(zones.size(), 2u);
  EXPECT_NEAR(zones[0].zone.radius, 3.02, 1e-12);
  EXPECT_NEAR(zones[1].zone.radius, 2.0, 1e-12);
  placed.nominals.push_back(place(0, 1, false));
  EXPECT_FALSE(ZonesToJudge(placed)[0].zone.bounded);
}

}  // namespace
}  // namespace holeward
