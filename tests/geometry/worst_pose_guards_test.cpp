// The search for the worst pose where it has little to go on: nothing left to look for, a wall
// before the mark, being given up in its midst; and metal that is a line or a point.
#include <cmath>
#include <limits>
#include <stop_token>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/worst_pose.h"
#include "geometry/worst_pose_bounds.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;

constexpr double kHorizon = 400.0;
constexpr double kNever = std::numeric_limits<double>::infinity();
const AxisRule kNormal = [](const Vec3& normal) { return Vec3(-normal); };

Drill Twist(double diameter) { return *Drill::Twist(diameter, 118.0 * kDegree); }

Skin BoxSkin(double width, double height) {
  SkinLaw law;
  law.centres = {{0, -150, 0}, {0, 150, 0}};
  const double x = 0.5 * width;
  const double z = 0.5 * height;
  law.vertices.assign(2, {{x, -z}, {x, z}, {-x, z}, {-x, -z}});
  law.corner_radii.assign(2, {0, 0, 0, 0});
  return *Skin::Make(law);
}

PoseZone TopZone(const Skin& skin, double radius, double tilt, AxisRule axis = kNormal) {
  NominalPlace nominal;
  nominal.place = skin.Project(Vec3(0, 0, 200))->place;
  const SkinPoint point = skin.At(nominal.place);
  nominal.position = point.position;
  nominal.normal = point.normal;
  return {&skin, nominal, radius, tilt, std::move(axis)};
}

std::vector<Obstacle> BoxAndBar() {
  auto scene = Box(80, 60, 3);
  scene.push_back(Bar(4, 5, 6));
  return scene;
}

TEST(WorstPoseGuards, ProvenFreeToTheHorizonNothingIsLookedFor) {
  const Skin skin = BoxSkin(80, 60);
  const PoseZone zone = TopZone(skin, 2.0, 5 * kDegree);
  WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  ASSERT_TRUE(std::isfinite(WorstPoseOver(BoxAndBar(), zone, Twist(6), search).lower));
  search.proven_free = kHorizon;
  const WorstDepths told = WorstPoseOver(BoxAndBar(), zone, Twist(6), search);
  ASSERT_TRUE(told.ok()) << told.failure;
  EXPECT_EQ(told.lower, kNever);
  EXPECT_EQ(told.upper, kNever);
  EXPECT_GT(told.breakthrough, 3.0);
  EXPECT_EQ(told.body, "");
}

// The outside lies 0.08 mm over the mark, the inside 0.01 mm over it: a tip of no width is through
// before it begins, which is no depth.
TEST(WorstPoseGuards, AWallBeforeTheMarkIsNotGoneThrough) {
  const auto scene = Box(80, 60.16, 0.07);
  const WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  EXPECT_EQ(DepthsOf(scene, Down(0, 30), Twist(0.001), search).failure,
            "the break-through depth did not settle");
  EXPECT_EQ(DepthsOf(scene, Down(0, 30), Twist(1), search).failure, "");
}

// Given up at the n-th place that is looked at, for every n: its bounds hold, and what it says is
// met is what the pose it names meets.
TEST(WorstPoseGuards, GivenUpAtAnyPlaceItsBoundsHold) {
  const auto scene = BoxAndBar();
  const Skin skin = BoxSkin(80, 60);
  WorstPoseSearch search{0, kHorizon, 0.01, 30000, {}};
  int asked = 0;
  const auto counting = [&](int stop_at, std::stop_source& source) {
    return [&asked, stop_at, &source](const Vec3& normal) {
      if (++asked == stop_at) source.request_stop();
      return Vec3(-normal);
    };
  };
  std::stop_source never;
  const WorstDepths whole =
      WorstPoseOver(scene, TopZone(skin, 2.0, 5 * kDegree, counting(0, never)), Twist(6), search);
  ASSERT_TRUE(whole.ok()) << whole.failure;
  const int all = asked;
  int known = 0;
  for (int n = 1; n <= all; n += std::max(1, all / 60)) {
    asked = 0;
    std::stop_source source;
    search.stop = source.get_token();
    const WorstDepths left = WorstPoseOver(
        scene, TopZone(skin, 2.0, 5 * kDegree, counting(n, source)), Twist(6), search);
    if (!left.ok()) {
      EXPECT_EQ(left.failure, "the break-through depth did not settle") << n;
      continue;
    }
    EXPECT_LE(left.lower, whole.upper + 1e-9) << n;
    EXPECT_GE(left.upper, whole.lower - 1e-9) << n;
    EXPECT_GE(left.breakthrough, whole.breakthrough_attained - 1e-9) << n;
    if (left.body.empty()) continue;
    ++known;
    EXPECT_EQ(left.body, "bar") << n;
    const Clearance there = ClearanceOf(scene, left.pose, Twist(6), 0.0, kHorizon);
    ASSERT_TRUE(there.contact) << n;
    EXPECT_LE(there.contact->depth, left.upper + 2e-3) << n;
  }
  EXPECT_GT(known, 0);
}

// ---- Metal that has no surface

// A line grown by a radius is a rod with round ends.
TEST(WorstPoseGuards, AGrownLineIsMetAsTheRodItStandsFor) {
  const Skin skin = BoxSkin(80, 60);
  const PoseZone zone = TopZone(skin, 2.0, 4 * kDegree);
  const WorstPoseSearch search{0, kHorizon, 0.04, 100000, {}};
  auto rod = Box(80, 60, 3);
  rod.push_back(Bar(6, 5, 4));
  auto line = Box(80, 60, 3);
  line.push_back(
      {"bar", ObstacleKind::inner, FaceRole::inner, {LinePatch({6, -140, 5}, {6, 140, 5}, 4.0)}});
  const WorstDepths of_rod = WorstPoseOver(rod, zone, Twist(6), search);
  const WorstDepths of_line = WorstPoseOver(line, zone, Twist(6), search);
  ASSERT_TRUE(of_rod.ok() && of_line.ok()) << of_rod.failure << of_line.failure;
  EXPECT_EQ(of_line.body, "bar");
  EXPECT_LE(of_line.lower, of_rod.upper + 1e-6);
  EXPECT_GE(of_line.upper, of_rod.lower - 1e-6);
  EXPECT_LE(of_line.upper - of_line.lower, 0.05);
}

const AxisFrame kPlain;  // the frame of the pieces below: their own

Piece PieceOfPatch(const BezierPatch& patch) { return PieceOf(patch, kPlain, 0, 0.0); }

TEST(WorstPoseGuards, ALineMeetsASurfaceWhereItCrossesIt) {
  // z = 2 + x y over the square from (0, 0) to (1, 1).
  const Piece saddle = PieceOfPatch(BilinearPatch({0, 0, 2}, {1, 0, 2}, {0, 1, 2}, {1, 1, 3}, 0.0));
  const auto hit = MeetLine(saddle, {0.25, 0.5, -7}, Vec3::UnitZ());
  ASSERT_TRUE(hit);
  EXPECT_NEAR((hit->place - Vec3(0.25, 0.5, 2.125)).norm(), 0.0, 1e-8);
  const Vec3 normal = Vec3(-0.5, -0.25, 1.0).normalized();
  EXPECT_NEAR(std::abs(hit->normal.dot(normal)), 1.0, 1e-9);
  EXPECT_FALSE(MeetLine(saddle, {1.5, 0.5, -7}, Vec3::UnitZ())) << "beside it";
}

TEST(WorstPoseGuards, ALineMeetsARoundSurfaceSquareToItsRadius) {
  std::vector<BezierPatch> patches = testing::Sleeve(5.0, -10.0, 10.0);
  const std::size_t count = patches.size();
  for (std::size_t i = 0; i < count; ++i) {  // round along the other of its ways
    BezierPatch turned = patches[i];
    std::swap(turned.degree_u, turned.degree_v);
    for (int u = 0; u <= patches[i].degree_u; ++u) {
      for (int v = 0; v <= patches[i].degree_v; ++v) {
        turned.poles[static_cast<std::size_t>(v * (patches[i].degree_u + 1) + u)] =
            patches[i].poles[static_cast<std::size_t>(u * (patches[i].degree_v + 1) + v)];
      }
    }
    patches.push_back(turned);
  }
  int met = 0;
  for (const BezierPatch& patch : patches) {
    const auto hit = MeetLine(PieceOfPatch(patch), {1.5, 3.0, 9.0}, -Vec3::UnitZ());
    if (!hit) continue;
    ++met;
    EXPECT_NEAR(hit->place.x(), 1.5, 1e-8);
    EXPECT_NEAR(std::abs(hit->place.z()), std::sqrt(25.0 - 1.5 * 1.5), 1e-8);
    const Vec3 radial = Vec3(hit->place.x(), 0.0, hit->place.z()) / 5.0;
    EXPECT_NEAR(std::abs(hit->normal.dot(radial)), 1.0, 1e-12);
  }
  EXPECT_EQ(met, 4);  // before and behind, either way
}

TEST(WorstPoseGuards, ALineMeetsNothingThatHasNoSurfaceThere) {
  const Piece flat = PieceOfPatch(BilinearPatch({0, 0, 2}, {1, 0, 2}, {0, 1, 2}, {1, 1, 2}, 0.0));
  ASSERT_TRUE(MeetLine(flat, {0.5, 0.5, 0}, Vec3::UnitZ()));
  EXPECT_FALSE(MeetLine(flat, {0.5, 0.5, 0}, Vec3::UnitX())) << "alongside";
  // A line, along either way, and what collapses to one where the line meets it.
  BezierPatch line = LinePatch({0, 0, 2}, {1, 0, 2}, 0.0);
  EXPECT_FALSE(MeetLine(PieceOfPatch(line), {0.5, 0, 0}, Vec3::UnitZ()));
  std::swap(line.degree_u, line.degree_v);
  EXPECT_FALSE(MeetLine(PieceOfPatch(line), {0.5, 0, 0}, Vec3::UnitZ()));
  const Piece folded = PieceOfPatch(BilinearPatch({0, 0, 2}, {1, 0, 2}, {0, 0, 2}, {1, 0, 2}, 0.0));
  EXPECT_FALSE(MeetLine(folded, {0.5, 0, 0}, Vec3::UnitZ()));
}

// The kernel's surfaces are of degree 25 at most; one of more is not followed, either way.
TEST(WorstPoseGuards, ASurfaceOfTooHighADegreeIsNotFollowed) {
  const auto strip = [](int degree, bool along_u) {
    BezierPatch patch{along_u ? degree : 1, along_u ? 1 : degree, {}, 0.0};
    for (int i = 0; i <= patch.degree_u; ++i) {
      for (int j = 0; j <= patch.degree_v; ++j) {
        patch.poles.emplace_back(static_cast<double>(i) / patch.degree_u,
                                 static_cast<double>(j) / patch.degree_v, 2.0, 1.0);
      }
    }
    return PieceOfPatch(patch);
  };
  for (const bool along_u : {true, false}) {
    const auto hit = MeetLine(strip(25, along_u), {0.3, 0.6, 0}, Vec3::UnitZ());
    ASSERT_TRUE(hit);
    EXPECT_NEAR((hit->place - Vec3(0.3, 0.6, 2.0)).norm(), 0.0, 1e-8);
    EXPECT_FALSE(MeetLine(strip(26, along_u), {0.3, 0.6, 0}, Vec3::UnitZ()));
  }
}

}  // namespace
}  // namespace holeward
