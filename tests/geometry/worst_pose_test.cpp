#include "geometry/worst_pose.h"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>
#include <random>
#include <stop_token>
#include <thread>

#include <gtest/gtest.h>

#include "geometry/pose_kernel.h"
#include "tests/geometry/pose_kernel_scenes.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::ArmSkin;
using testing::Bar;
using testing::BentBar;
using testing::Box;
using testing::Tube;
using testing::WallsOf;

constexpr double kHorizon = 400.0;
constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kWidest = 0.05;  // the interval that is promised

bool Long() {
  const char* asked = std::getenv("HOLEWARD_LONG_TESTS");
  return asked != nullptr && std::strcmp(asked, "1") == 0;
}

const AxisRule kNormal = [](const Vec3& normal) { return Vec3(-normal); };

Drill Twist(double diameter, double angle = 118.0) {
  return *Drill::Twist(diameter, angle * kDegree);
}

Skin RoundSkin(double outside, double half = 150.0) {
  SkinLaw law;
  law.centres = {{0, -half, 0}, {0, half, 0}};
  law.round = true;
  law.radii = {0.5 * outside, 0.5 * outside};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

Skin BoxSkin(double width, double height, double half = 150.0) {
  SkinLaw law;
  law.centres = {{0, -half, 0}, {0, half, 0}};
  const double x = 0.5 * width;
  const double z = 0.5 * height;
  law.vertices.assign(2, {{x, -z}, {x, z}, {-x, z}, {-x, -z}});
  law.corner_radii.assign(2, {0, 0, 0, 0});
  return *Skin::Make(law);
}

NominalPlace At(const Skin& skin, const SkinPlace& place) {
  NominalPlace nominal;
  nominal.place = place;
  const SkinPoint point = skin.At(place);
  nominal.position = point.position;
  nominal.normal = point.normal;
  return nominal;
}

/// The place of the skin straight above (x, y).
NominalPlace TopOf(const Skin& skin, double x = 0.0, double y = 0.0) {
  return At(skin, skin.Project(Vec3(x, y, 200))->place);
}

PoseZone ZoneOn(const Skin& skin, const NominalPlace& nominal, double radius, double tilt) {
  return {&skin, nominal, radius, tilt, kNormal};
}

/// Poses of a zone, often on the border of the place's disc or of the lean's cone.
class PosesOf {
 public:
  PosesOf(const PoseZone& zone, unsigned seed) : zone_(zone), random_(seed) {}

  Pose Next() {
    for (;;) {
      const double off = zone_.radius * (Even(0, 1) < 0.5 ? 1.0 : std::sqrt(Even(0, 1)));
      const double turn = Even(0, 2 * kPi);
      const auto place = PlaceAt(off * std::cos(turn), off * std::sin(turn));
      const SkinPoint start = zone_.skin->At(place);
      if ((start.position - zone_.nominal.position).norm() > zone_.radius) continue;
      const double lean = zone_.tilt * (Even(0, 1) < 0.7 ? 1.0 : std::sqrt(Even(0, 1)));
      return {start.position, Leant(zone_.axis(start.normal), lean, Even(0, 2 * kPi))};
    }
  }

  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }

 private:
  SkinPlace PlaceAt(double along, double around) const {
    const SkinPlace& at = zone_.nominal.place;
    const double u = at.u + along / zone_.skin->At(at).du.norm();
    const double girth = zone_.skin->GirthOf(at.u, at.v);
    return {u, zone_.skin->VOfGirth(u, girth + 0.999999 * around)};
  }
  static Vec3 Leant(const Vec3& direction, double angle, double turn) {
    const AxisFrame frame = AxisFrame::At(Vec3::Zero(), direction);
    return frame.ToWorld(
        {std::sin(angle) * std::cos(turn), std::sin(angle) * std::sin(turn), std::cos(angle)});
  }

  const PoseZone& zone_;
  std::mt19937 random_;
};

// ---- Closed forms

// Flat wall t and the wall opposite H from the skin: place changes nothing, leaning by b leaves
// min(H / cos b, (H - a sin b) / cos b + p) for the tip and the rim.
TEST(WorstPose, OverAFlatWallIsTheClosedForm) {
  const Skin skin = BoxSkin(80, 60);
  const double tilt = 5 * kDegree;
  for (const double radius : {0.0, 1.0, 3.0, 8.0}) {
    const auto worst = WorstPoseOver(Box(80, 60, 3), ZoneOn(skin, TopOf(skin), radius, tilt),
                                     Twist(6), {1, kHorizon, 0.04, 30000, {}});
    ASSERT_TRUE(worst.ok()) << worst.failure;
    const double through = 3 / std::cos(tilt) + 3 * std::tan(tilt) + 3 / std::tan(59 * kDegree);
    EXPECT_GE(worst.breakthrough, through - 1e-9);
    EXPECT_LE(worst.breakthrough, through + kWidest);
    EXPECT_LE(worst.breakthrough_attained, through + 1e-9);
    EXPECT_LE(worst.lower, 57.0 + 1e-9);
    EXPECT_GE(worst.lower, 57.0 - kWidest);
    EXPECT_GE(worst.upper, 57.0 - 1e-9);
    EXPECT_EQ(worst.body, "far wall");
  }
}

// A drill ground flat leans its rim onto the wall: depth (H - a sin b) / cos b is least at the
// full lean if sin b < a / H.
TEST(WorstPose, AFlatGroundDrillLeansItsRimOntoTheWall) {
  const Skin skin = BoxSkin(80, 30);
  const Drill drill = Twist(20, 179.9);
  const double tilt = 5 * kDegree;
  const auto worst = WorstPoseOver(Box(80, 30, 3), ZoneOn(skin, TopOf(skin), 2.0, tilt), drill,
                                   {0, kHorizon, 0.04, 30000, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  const double exact = (27 - 10 * std::sin(tilt)) / std::cos(tilt) + 10 / std::tan(89.95 * kDegree);
  EXPECT_LE(worst.lower, exact + 1e-9);
  EXPECT_GE(worst.lower, exact - kWidest);
  EXPECT_GE(worst.upper, exact - 1e-9);
}

// From anywhere on a tube with a thin drill leaning across by b: R cos b + sqrt(ri² - R² sin² b).
TEST(WorstPose, OverATubeIsTheShorterChord) {
  const Skin skin = RoundSkin(60.3);
  for (const double radius : {0.0, 2.0}) {
    const auto worst = WorstPoseOver(Tube(60.3, 5), ZoneOn(skin, TopOf(skin), radius, 5 * kDegree),
                                     Twist(0.05), {1, kHorizon, 0.04, 30000, {}});
    ASSERT_TRUE(worst.ok()) << worst.failure;
    const double sine = 30.15 * std::sin(5 * kDegree);
    const double tip = 30.15 * std::cos(5 * kDegree) + std::sqrt(25.15 * 25.15 - sine * sine);
    EXPECT_LE(worst.lower, tip + 0.02);
    EXPECT_GE(worst.lower, tip - kWidest - 0.02);
    EXPECT_LE(worst.upper - worst.lower, kWidest);
  }
}

// A bar on the tube's axis is nearest straight ahead, wherever the mark is: R - rb for the tip.
TEST(WorstPose, ABarOnTheTubesAxisIsMetStraightAhead) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(0, 0, 10));
  scene.back().shift = 1.5;
  const Skin skin = RoundSkin(60.3);
  const auto worst = WorstPoseOver(scene, ZoneOn(skin, TopOf(skin), 2.0, 4 * kDegree), Twist(6),
                                   {0, kHorizon, 0.04, 30000, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_LE(worst.lower, 18.65 + 1e-9);
  EXPECT_GE(worst.lower, 18.65 - kWidest);
  EXPECT_GE(worst.upper, 18.65 - 1e-9);
  EXPECT_EQ(worst.body, "bar");
}

// A bar beside a box's hole at lateral x, depth z below the mark: a mark off by rho toward it and a
// lean b toward it. Thin drill, so the tip alone: the ray at angle b meets the circle.
TEST(WorstPose, ABarBesideTheHoleIsMetAtTheZonesBorderLeantTowardIt) {
  auto scene = Box(100, 80, 3);
  scene.push_back(Bar(9, 5, 6));
  const Skin skin = BoxSkin(100, 80);
  const double radius = 2.0;
  const double tilt = 6 * kDegree;
  const auto worst = WorstPoseOver(scene, ZoneOn(skin, TopOf(skin), radius, tilt), Twist(0.02),
                                   {0, kHorizon, 0.04, 30000, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  const Vec2 toward(9 - radius, 35);  // from the mark to the bar's middle, (across, down)
  const Vec2 ray(std::sin(tilt), std::cos(tilt));
  const double along = toward.dot(ray);
  const double off2 = toward.squaredNorm() - along * along;
  ASSERT_LT(off2, 36.0);
  const double exact = along - std::sqrt(36.0 - off2);
  EXPECT_LE(worst.lower, exact + 0.02);
  EXPECT_GE(worst.lower, exact - kWidest - 0.02);
  EXPECT_LE(worst.upper - worst.lower, kWidest);
  EXPECT_NEAR(worst.pose.entry.x(), radius, 0.1);
}

// A bar that the drill's side passes by a hair, leant fully toward it from the zone's border: it is
// proven not to be met, and the far wall governs.
TEST(WorstPose, ABarPassedByAHairIsNotMet) {
  const double radius = 2.0;
  const double tilt = 3 * kDegree;
  const double deep = 35.0;  // the bar's middle below the mark
  const auto worst_at = [&](double gap) {
    auto scene = Box(100, 80, 3);
    // Off the leant axis by the drill's radius, the bar's and the gap.
    const double off = 3.0 + 4.0 + gap;
    scene.push_back(Bar(radius + (off + deep * std::sin(tilt)) / std::cos(tilt), 40 - deep, 4));
    const Skin skin = BoxSkin(100, 80);
    return WorstPoseOver(scene, ZoneOn(skin, TopOf(skin), radius, tilt), Twist(6),
                         {0, kHorizon, 0.04, 100000, {}});
  };
  const auto past = worst_at(0.02);
  ASSERT_TRUE(past.ok()) << past.failure;
  EXPECT_EQ(past.body, "far wall");
  EXPECT_GT(past.lower, 70.0);
  EXPECT_LE(past.upper - past.lower, kWidest);
  const auto met = worst_at(-0.02);
  EXPECT_EQ(met.body, "bar");
  EXPECT_LT(met.upper, 40.0);
  EXPECT_LE(met.upper - met.lower, kWidest);
}

// Met as early by the flank, leant fully toward it, as by the rim, leant less, and later between.
TEST(WorstPose, ABarMetEitherWayOfLeaningIsSettled) {
  auto scene = Box(100, 80, 3);
  scene.push_back(Bar(7.164, 40 - 14.658, 0.02));
  scene.back().shift = 2.274;
  const Skin skin = BoxSkin(100, 80);
  const auto worst = WorstPoseOver(scene, ZoneOn(skin, TopOf(skin), 0.0, 5.917 * kDegree),
                                   Twist(11.876, 135), {0, kHorizon, 0.04, 100000, {}});
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_EQ(worst.body, "bar");
  // The flank: m sin(angle + k) / sin(k) - g / sin(k) straight toward it less the tilt.
  const double m = std::hypot(7.164, 14.658);
  const double angle = std::atan2(7.164, 14.658) - 5.917 * kDegree;
  const double k = 67.5 * kDegree;
  const double flank = (m * std::sin(angle + k) - 2.294) / std::sin(k);
  EXPECT_LE(worst.lower, flank + 1e-6);
  EXPECT_GE(worst.lower, flank - kWidest);
  EXPECT_LE(worst.upper - worst.lower, kWidest);
}

// ---- Random holes against sampled poses

struct Tally {
  int holes = 0;
  int failed = 0;
  long poses = 0;
  long below = 0;  ///< poses below the bound: none
  int wide = 0;    ///< intervals wider than promised
  double widest = 0.0;
  double widest_through = 0.0;
  double missed = 0.0;     ///< greatest amount by which the best sampled pose lies above the bound
  double sharpened = 0.0;  ///< greatest amount by which the search betters the cones
  double seconds = 0.0;
  long nodes = 0;
  int most_nodes = 0;
};

struct RandomHole {
  std::vector<Obstacle> stated;  ///< with errors as `shift`
  std::vector<Obstacle> grown;   ///< the same errors built in
  Skin skin;
  NominalPlace nominal;
  double radius = 0.0;
  double tilt = 0.0;
  double side = 0.0;
  Drill drill;
};

void Compare(const RandomHole& hole, int index, int poses, Tally& tally) {
  const PoseZone zone = ZoneOn(hole.skin, hole.nominal, hole.radius, hole.tilt);
  // As a hole is checked: first the cones, then what they leave open.
  WorstPoseSearch search;
  search.side = hole.side;
  search.horizon = kHorizon;
  const auto cones = ConesOver(hole.skin, hole.nominal, hole.radius, hole.tilt, kNormal);
  ASSERT_TRUE(cones);
  const auto enclosed = WorstOver(hole.stated, *cones, hole.drill, {hole.side, kHorizon, {}});
  const WorstDepths alone = WorstPoseOver(hole.stated, zone, hole.drill, search);
  if (!enclosed.ok() || !alone.ok()) {
    ++tally.failed;
    return;
  }
  search.proven_free = enclosed.free_depth;
  search.proven_through = enclosed.breakthrough;
  const std::clock_t start = std::clock();
  const WorstDepths worst = WorstPoseOver(hole.stated, zone, hole.drill, search);
  tally.seconds += static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC;
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_GE(worst.lower, enclosed.free_depth) << "hole " << index;
  EXPECT_LE(worst.breakthrough, enclosed.breakthrough) << "hole " << index;
  EXPECT_LE(alone.lower, worst.upper + 1e-9) << "hole " << index;
  tally.sharpened = std::max(tally.sharpened, worst.lower - enclosed.free_depth);
  ++tally.holes;
  tally.nodes += worst.nodes;
  tally.most_nodes = std::max(tally.most_nodes, worst.nodes);
  ASSERT_TRUE(std::isfinite(worst.lower)) << "hole " << index;
  const double width = worst.upper - worst.lower;
  if (!(width <= kWidest && worst.breakthrough - worst.breakthrough_attained <= kWidest)) {
    ++tally.wide;
    std::printf("hole %d: [%.4f, %.4f] after %d pairs, %s; through [%.4f, %.4f]\n", index,
                worst.lower, worst.upper, worst.nodes, worst.body.c_str(),
                worst.breakthrough_attained, worst.breakthrough);
  }
  tally.widest = std::max(tally.widest, width);
  tally.widest_through =
      std::max(tally.widest_through, worst.breakthrough - worst.breakthrough_attained);

  // The pose that attains it is one of the zone's and has the depth it is said to have.
  const Clearance single = ClearanceOf(hole.grown, worst.pose, hole.drill, hole.side, kHorizon);
  EXPECT_LE((worst.pose.entry - hole.nominal.position).norm(), hole.radius + 1e-9);
  const auto place = hole.skin.Project(worst.pose.entry, hole.nominal.place);
  ASSERT_TRUE(place);
  EXPECT_LT(place->distance, 1e-6);
  const Vec3 normal = hole.skin.At(place->place).normal;
  EXPECT_LE(std::acos(std::min(1.0, -normal.dot(worst.pose.direction))), hole.tilt + 1e-6)
      << "hole " << index;
  if (single.ok()) {
    ASSERT_TRUE(single.contact) << "hole " << index;
    EXPECT_GE(single.contact->depth, worst.lower - 1e-9) << "hole " << index;
    if (hole.side == 0.0 || single.contact->body == "far wall") {
      EXPECT_NEAR(single.contact->depth, worst.upper, 2e-3) << "hole " << index;
    }
  }

  PoseRegion region;
  region.middle = {hole.nominal.position, kNormal(hole.nominal.normal)};
  region.place = hole.radius + 0.01;
  region.rise = 0.05 + hole.radius * hole.radius / 20.0;
  region.tilt = hole.tilt + 0.12;
  region.radius = hole.drill.radius();
  region.side = hole.side;
  region.horizon = kHorizon;
  const PoseKernel kernel = PoseKernel::Make(hole.grown, region);
  if (!kernel.ok()) {
    std::printf("hole %d: no kernel: %s\n", index, kernel.failure().c_str());
    return;
  }
  const PoseDrill drill = PoseDrill::Of(hole.drill, hole.side);
  PosesOf sampler(zone, 1000u + static_cast<unsigned>(index));
  double best = kNever;
  const double lower = std::max(worst.lower, alone.lower);
  const double through = std::min(worst.breakthrough, alone.breakthrough);
  for (int k = 0; k < poses; ++k) {
    const Pose pose = sampler.Next();
    const PoseBounds bounds = kernel.Evaluate(pose, drill);
    if (bounds.outcome != PoseOutcome::met && bounds.outcome != PoseOutcome::nothing) continue;
    ++tally.poses;
    best = std::min(best, bounds.free_upper);
    if (bounds.free_upper < lower - 1e-9) ++tally.below;
    EXPECT_GE(bounds.free_upper, lower - 1e-9) << "hole " << index;
    // The kernel counts places within rounding of the rim.
    EXPECT_LE(bounds.breakthrough_lower, through + 1e-6) << "hole " << index;
  }
  if (!(width <= kWidest)) std::printf("  best sampled %.4f\n", best);
  if (std::isfinite(best)) tally.missed = std::max(tally.missed, best - worst.lower);
}

void Print(const char* what, const Tally& tally) {
  std::printf(
      "%s: %d holes (%d not computed), %ld poses, %ld below the bound; interval at most %.4f mm "
      "(%d wider than %.2f), break-through %.4f; up to %.2f better than cones; best sampled pose "
      "at most %.3f above; %.2f ms and "
      "%ld pairs a hole, at most %d pairs\n",
      what, tally.holes, tally.failed, tally.poses, tally.below, tally.widest, tally.wide, kWidest,
      tally.widest_through, tally.sharpened, tally.missed,
      1e3 * tally.seconds / std::max(1, tally.holes), tally.nodes / std::max(1, tally.holes),
      tally.most_nodes);
}

RandomHole HoleInTube(std::mt19937& random) {
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  const double outside = even(50, 100);
  const double wall = even(2, 5);
  const double far = even(0, 1.2);
  const double inner = even(0, 2.5);
  RandomHole hole{Tube(outside, wall),
                  {},
                  RoundSkin(outside),
                  {},
                  even(0.2, 3.0),
                  even(0, 6) * kDegree,
                  even(0, 1) < 0.5 ? 0.0 : 1.0,
                  Twist(even(3, 10), even(0, 1) < 0.5 ? 118 : 135)};
  const Vec2 bar(even(-14, 14), even(-10, 6));
  const double bar_radius = even(5, 10);
  for (Obstacle& obstacle : hole.stated) {
    obstacle.shift = obstacle.wall_error = far;
  }
  hole.stated.push_back(Bar(bar.x(), bar.y(), bar_radius));
  hole.stated.back().shift = inner;
  hole.grown = Tube(outside, wall + far);
  hole.grown.push_back(Bar(bar.x(), bar.y(), bar_radius + inner));
  hole.nominal = TopOf(hole.skin);
  if (even(0, 1) < 0.2) hole.drill = *Drill::Step(10, 118 * kDegree, {{4, 6}, {7, 5}});
  return hole;
}

RandomHole HoleInBox(std::mt19937& random) {
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  const double width = even(60, 90), height = even(40, 70), wall = even(2, 4);
  const double far = even(0, 1.2);
  const double inner = even(0, 2.5);
  RandomHole hole{Box(width, height, wall),
                  {},
                  BoxSkin(width, height),
                  {},
                  even(0.2, 3.0),
                  even(0, 6) * kDegree,
                  even(0, 1) < 0.5 ? 0.0 : 1.0,
                  Twist(even(3, 10), even(0, 1) < 0.5 ? 118 : 135)};
  const Vec2 bar(even(-15, 15), even(-8, 6));
  const double bar_radius = even(4, 8);
  for (Obstacle& obstacle : hole.stated) obstacle.shift = obstacle.wall_error = far;
  hole.stated.push_back(Bar(bar.x(), bar.y(), bar_radius));
  hole.stated.back().shift = inner;
  hole.grown = Box(width, height, wall + far);
  hole.grown.push_back(Bar(bar.x(), bar.y(), bar_radius + inner));
  hole.nominal = TopOf(hole.skin, even(-8, 8));
  return hole;
}

/// A hole in a flat of a lofted arm with a bent bar, as drawn.
RandomHole HoleInArm(const Skin& skin, const std::vector<Obstacle>& arm, std::mt19937& random) {
  const auto even = [&](double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random);
  };
  const double piece = even(0, 1) < 0.5 ? 2.0 : even(0, 1) < 0.5 ? 4.0 : 6.0;
  RandomHole hole{arm,
                  arm,
                  skin,
                  {},
                  even(0.2, 2.5),
                  even(0, 5) * kDegree,
                  0.0,
                  Twist(even(3, 9), even(0, 1) < 0.5 ? 118 : 135)};
  hole.nominal = At(skin, {even(60, 230), piece + even(0.3, 0.7)});
  return hole;
}

TEST(WorstPose, NoSampledPoseOnALoftedArmWithABentBarBeatsTheBound) {
  const Skin skin = ArmSkin();
  std::vector<Obstacle> arm = WallsOf(skin, 2.6);
  arm.push_back(BentBar());
  for (Obstacle& obstacle : arm) {
    obstacle.shift = 0.0;
    for (BezierPatch& patch : obstacle.patches) patch.grown = 0.0;
  }
  std::mt19937 random(12);
  Tally tally;
  const int holes = Long() ? 200 : 40;
  for (int i = 0; i < holes; ++i) {
    Compare(HoleInArm(skin, arm, random), i, Long() ? 100000 : 2000, tally);
  }
  Print("lofted arm", tally);
  EXPECT_GE(tally.holes, holes * 7 / 10);
  EXPECT_EQ(tally.below, 0);
  EXPECT_EQ(tally.wide, 0);
}

TEST(WorstPose, NoSampledPoseOnATubeWithABarBeatsTheBound) {
  std::mt19937 random(20261125);
  Tally tally;
  const int holes = Long() ? 500 : 80;
  for (int i = 0; i < holes; ++i) Compare(HoleInTube(random), i, Long() ? 100000 : 2000, tally);
  Print("tube and bar", tally);
  EXPECT_GE(tally.holes, holes * 9 / 10);
  EXPECT_EQ(tally.below, 0);
  EXPECT_EQ(tally.wide, 0);
}

TEST(WorstPose, NoSampledPoseInABoxWithABarBeatsTheBound) {
  std::mt19937 random(7);
  Tally tally;
  const int holes = Long() ? 400 : 80;
  for (int i = 0; i < holes; ++i) Compare(HoleInBox(random), i, Long() ? 100000 : 2000, tally);
  Print("box and bar", tally);
  EXPECT_GE(tally.holes, holes * 9 / 10);
  EXPECT_EQ(tally.below, 0);
  EXPECT_EQ(tally.wide, 0);
}

// ---- What it must not do

// Given up at any moment, what it says is less, never more than what is proven.
TEST(WorstPose, AskedToStopItsBoundsStillHold) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const Skin skin = RoundSkin(60.3);
  const PoseZone zone = ZoneOn(skin, TopOf(skin), 3.0, 0.08);
  WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  const WorstDepths whole = WorstPoseOver(scene, zone, Twist(8), search);
  ASSERT_TRUE(whole.ok()) << whole.failure;
  int given_up = 0;
  for (int i = 0; i < 60; ++i) {
    std::stop_source source;
    search.stop = source.get_token();
    if (i == 0) source.request_stop();
    std::thread hand([&] {
      std::this_thread::sleep_for(std::chrono::microseconds(100 * i));
      source.request_stop();
    });
    const WorstDepths left = WorstPoseOver(scene, zone, Twist(8), search);
    hand.join();
    given_up += !left.ok() || left.nodes < whole.nodes;
    if (!left.ok()) continue;
    EXPECT_LE(left.lower, whole.upper + 1e-9) << i;
    EXPECT_GE(left.upper, whole.lower - 1e-9) << i;
    EXPECT_GE(left.breakthrough, whole.breakthrough_attained - 1e-9) << i;
  }
  EXPECT_GE(given_up, 1);
}

TEST(WorstPose, WithNothingToVaryItIsTheDepthOfThePose) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const Pose pose = testing::Down(0, 30.15);
  const Skin skin = RoundSkin(60.3);
  const WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  const Clearance exact = ClearanceOf(scene, pose, Twist(8), 0, kHorizon);
  ASSERT_TRUE(exact.contact);
  for (const WorstDepths& depths :
       {DepthsOf(scene, pose, Twist(8), search),
        WorstPoseOver(scene, ZoneOn(skin, TopOf(skin), 0, 0), Twist(8), search)}) {
    ASSERT_TRUE(depths.ok()) << depths.failure;
    EXPECT_LE(depths.lower, exact.contact->depth + 1e-9);
    EXPECT_NEAR(depths.upper, exact.contact->depth, 1e-3);
    EXPECT_NEAR(depths.breakthrough, exact.breakthrough, 0.05);
    EXPECT_GE(depths.breakthrough, exact.breakthrough - 1e-9);
    EXPECT_EQ(depths.body, "bar");
  }
}

TEST(WorstPose, WhatIsNotANumberIsNeverClear) {
  const Skin skin = RoundSkin(60.3);
  const PoseZone good = ZoneOn(skin, TopOf(skin), 1.0, 0.05);
  const WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  ASSERT_TRUE(WorstPoseOver(Tube(60.3, 5), good, Twist(6), search).ok());
  const double nan = std::nan("");
  for (int k = 0; k < 5; ++k) {
    PoseZone bad = good;
    if (k == 0) bad.radius = nan;
    if (k == 1) bad.tilt = nan;
    if (k == 2) bad.nominal.place.u = nan;
    if (k == 3) bad.nominal.normal.x() = nan;
    if (k == 4) bad.axis = [=](const Vec3&) { return Vec3(nan, 0, -1); };
    EXPECT_FALSE(WorstPoseOver(Tube(60.3, 5), bad, Twist(6), search).ok()) << k;
  }
  for (int k = 0; k < 3; ++k) {
    auto scene = Tube(60.3, 5);
    if (k == 0) scene[1].shift = nan;
    if (k == 1) scene[1].patches[0].poles[0].x() = nan;
    if (k == 2) scene[1].wall_error = nan;
    EXPECT_FALSE(WorstPoseOver(scene, good, Twist(6), search).ok()) << k;
  }
  WorstPoseSearch endless = search;
  endless.horizon = kNever;
  EXPECT_FALSE(WorstPoseOver(Tube(60.3, 5), good, Twist(6), endless).ok());
  PoseZone nowhere = good;
  nowhere.skin = nullptr;
  EXPECT_FALSE(WorstPoseOver(Tube(60.3, 5), nowhere, Twist(6), search).ok());
}

TEST(WorstPose, AHoleAtACornerOrAnEndIsAFailure) {
  const Skin skin = BoxSkin(80, 60);
  const WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  EXPECT_FALSE(
      WorstPoseOver(Box(80, 60, 3), ZoneOn(skin, TopOf(skin, 36), 1.0, 0.05), Twist(8), search)
          .ok());
  EXPECT_FALSE(
      WorstPoseOver(Box(80, 60, 3), ZoneOn(skin, TopOf(skin), 1.0, 1.1), Twist(8), search).ok());
  EXPECT_FALSE(WorstPoseOver({}, ZoneOn(skin, TopOf(skin), 1.0, 0.05), Twist(8), search).ok());
}

// The budget ends the search early: what is returned is wider and still a bound.
TEST(WorstPose, OutOfBudgetItIsStillABound) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const Skin skin = RoundSkin(60.3);
  const PoseZone zone = ZoneOn(skin, TopOf(skin), 2.0, 5 * kDegree);
  const auto full = WorstPoseOver(scene, zone, Twist(8), {0, kHorizon, 0.01, 200000, {}});
  const auto poor = WorstPoseOver(scene, zone, Twist(8), {0, kHorizon, 0.01, 50, {}});
  ASSERT_TRUE(full.ok() && poor.ok());
  EXPECT_LE(poor.lower, full.upper);
  EXPECT_GE(poor.breakthrough, full.breakthrough_attained);
  EXPECT_GT(poor.upper - poor.lower, full.upper - full.lower);
}

// What is known beforehand is neither given up nor looked for again.
TEST(WorstPose, WhatIsKnownBeforehandIsKept) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const Skin skin = RoundSkin(60.3);
  const PoseZone zone = ZoneOn(skin, TopOf(skin), 2.0, 5 * kDegree);
  WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  const auto alone = WorstPoseOver(scene, zone, Twist(8), search);
  ASSERT_TRUE(alone.ok()) << alone.failure;
  search.proven_free = alone.upper - 0.001;
  search.proven_through = alone.breakthrough_attained + 0.001;
  const auto told = WorstPoseOver(scene, zone, Twist(8), search);
  EXPECT_GE(told.lower, search.proven_free);
  EXPECT_LE(told.breakthrough, search.proven_through);
  EXPECT_LE(told.upper - told.lower, 0.04 + 1e-9);
  EXPECT_LT(told.nodes, alone.nodes);
  search.so_far = told;
  const auto again = WorstPoseOver(scene, zone, Twist(8), search);
  EXPECT_EQ(again.nodes, told.nodes);
  EXPECT_EQ(again.lower, search.proven_free);
  EXPECT_EQ(again.upper, told.upper);
  // Of no use: then it is as without.
  search = {0, kHorizon, 0.04, 30000, {}};
  search.proven_free = 1.0;
  search.proven_through = 100.0;
  const auto useless = WorstPoseOver(scene, zone, Twist(8), search);
  EXPECT_EQ(useless.lower, alone.lower);
  EXPECT_EQ(useless.breakthrough, alone.breakthrough);
}

// A start is a help and no more: the same worst pose is found, be it far off or no pose at all.
TEST(WorstPose, WhereverItStartsTheWorstIsTheSame) {
  auto scene = Tube(60.3, 5);
  scene.push_back(Bar(8, 0.15, 12));
  const Skin skin = RoundSkin(60.3);
  const PoseZone zone = ZoneOn(skin, TopOf(skin), 2.0, 5 * kDegree);
  WorstPoseSearch search{0, kHorizon, 0.04, 30000, {}};
  const auto alone = WorstPoseOver(scene, zone, Twist(8), search);
  ASSERT_TRUE(alone.ok()) << alone.failure;
  const double nan = std::nan("");
  std::vector<Pose> starts{alone.pose, testing::Down(0, 30.15), testing::Down(25, 30.15)};
  starts.push_back({{500, 0, 0}, {1, 0, 0}});
  starts.push_back({{nan, 0, 0}, {0, 0, nan}});
  starts.push_back({{0, 0, 30}, {0, 0, nan}});
  starts.push_back({{1.7e308, 0, 0}, {0, 0, -1}});
  for (std::size_t k = 0; k < starts.size(); ++k) {
    search.start = starts[k];
    const auto started = WorstPoseOver(scene, zone, Twist(8), search);
    ASSERT_TRUE(started.ok()) << k << started.failure;
    EXPECT_LE(started.lower, alone.upper) << k;
    EXPECT_GE(started.upper, alone.lower) << k;
    EXPECT_LE(started.upper - started.lower, 0.04 + 1e-9) << k;
    // The pose attains what is said of it and is one of the poses.
    const auto there = DepthsOf(scene, started.pose, Twist(8), search);
    EXPECT_LE(there.upper, started.upper + 1e-3) << k;
    EXPECT_LE((started.pose.entry - zone.nominal.position).norm(), 2.0 + 1e-6) << k;
    const Vec3 inward(-started.pose.entry.x(), 0.0, -started.pose.entry.z());
    EXPECT_GE(started.pose.direction.dot(inward.normalized()), std::cos(5 * kDegree) - 1e-9) << k;
  }
}

}  // namespace
}  // namespace holeward
