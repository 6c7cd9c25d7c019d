#include "geometry/pose_kernel.h"

#include <cmath>
#include <cstdlib>
#include <cstring>
#include <random>
#include <thread>

#include <gtest/gtest.h>

#include "tests/geometry/pose_kernel_reference.h"
#include "tests/geometry/simple_walls.h"

namespace holeward {
namespace {

using testing::Bar;
using testing::Box;
using testing::Down;
using testing::Exact;
using testing::RoundCase;
using testing::Tube;

constexpr double kHorizon = 400.0;
constexpr double kMicron = 1e-3;

bool LongRun() { return std::getenv("HOLEWARD_LONG_TESTS") != nullptr; }

Drill Twist(double diameter, double angle = 118.0) {
  return *Drill::Twist(diameter, angle * kDegree);
}

/// A region for one pose only.
PoseRegion Just(const Pose& pose, double radius) {
  PoseRegion region;
  region.middle = pose;
  region.radius = radius;
  region.horizon = kHorizon;
  return region;
}

PoseBounds Ask(const std::vector<Obstacle>& obstacles, const Pose& pose, const Drill& drill,
               double side = 0.0) {
  PoseRegion region = Just(pose, drill.radius());
  region.side = side;
  const PoseKernel kernel = PoseKernel::Make(obstacles, region);
  return kernel.Evaluate(pose, PoseDrill::Of(drill, side));
}

void ExpectBracket(double lower, double exact, double upper, double gap = kMicron) {
  EXPECT_LE(lower, exact + 1e-9);
  EXPECT_GE(upper, exact - 1e-9);
  EXPECT_LE(upper - lower, gap);
}

// ---- Closed forms: p = (d/2) / tan(A/2) and the circle

TEST(PoseKernel, AFlatWallIsBrokenThroughAtItsThicknessPlusThePoint) {
  const PoseBounds bounds = Ask(Box(80, 60, 3), Down(5, 30), Twist(6));
  ASSERT_EQ(bounds.outcome, PoseOutcome::met);
  ExpectBracket(bounds.breakthrough_lower, 3.0 + 3.0 / std::tan(59 * kDegree),
                bounds.breakthrough_upper);
  ExpectBracket(bounds.free_lower, 57.0, bounds.free_upper);
  EXPECT_TRUE(bounds.far_wall);
  EXPECT_FALSE(bounds.refined);
}

TEST(PoseKernel, ARoundWallMatchesTheClosedForm) {
  struct Row {
    double outside, wall, diameter, angle;
  };
  for (const Row& row : {Row{60.3, 3, 6, 118}, Row{60.3, 5, 8, 118}, Row{60.3, 5, 8, 135},
                         Row{48.3, 3, 10, 118}, Row{88.9, 4, 12, 118}}) {
    const PoseBounds bounds = Ask(Tube(row.outside, row.wall), Down(0, 0.5 * row.outside),
                                  Twist(row.diameter, row.angle));
    ASSERT_EQ(bounds.outcome, PoseOutcome::met);
    const double ri = 0.5 * row.outside - row.wall;
    const double a = 0.5 * row.diameter;
    const double full =
        0.5 * row.outside - std::sqrt(ri * ri - a * a) + a / std::tan(0.5 * row.angle * kDegree);
    ExpectBracket(bounds.breakthrough_lower, full, bounds.breakthrough_upper, 1e-6);
    ExpectBracket(bounds.free_lower, row.outside - row.wall, bounds.free_upper, 1e-5);
    EXPECT_FALSE(bounds.refined);
  }
}

// Tip h = zc - sqrt(rb² - x0²), flank h = zc + x0 cot k - rb / sin k, corner
// h = zc - sqrt(rb² - (x0 - a)²) + a cot k; then it misses.
TEST(PoseKernel, ABarIsMetByTipFlankOrCorner) {
  struct Row {
    double aside, angle, depth;
  };
  for (const Row& row : {Row{0, 118, 18.0}, Row{4, 118, 18.6863}, Row{8, 118, 20.8073},
                         Row{14, 118, 25.7702}, Row{8, 135, 20.3250}}) {
    for (const double sign : {1.0, -1.0}) {
      std::vector<Obstacle> scene = Box(100, 80, 3);
      scene.push_back(Bar(sign * row.aside, 10.0, 12.0));
      const PoseBounds bounds = Ask(scene, Down(0, 40), Twist(8, row.angle));
      ASSERT_EQ(bounds.outcome, PoseOutcome::met);
      EXPECT_EQ(bounds.body, 2);
      EXPECT_NEAR(bounds.free_lower, row.depth, 6e-5) << row.aside;
      EXPECT_LE(bounds.free_upper - bounds.free_lower, 1e-5);
      EXPECT_FALSE(bounds.refined);
    }
  }
}

TEST(PoseKernel, ABarOutOfReachIsMissedAndTheFarWallMet) {
  std::vector<Obstacle> scene = Box(100, 80, 3);
  scene.push_back(Bar(17, 10, 12));
  const PoseBounds bounds = Ask(scene, Down(0, 40), Twist(8));
  EXPECT_TRUE(bounds.far_wall);
  ExpectBracket(bounds.free_lower, 77.0, bounds.free_upper);
}

TEST(PoseKernel, PassingABarCloserThanTheLimitMeetsItWhereTheWidenedConeDoes) {
  std::vector<Obstacle> scene = Box(100, 80, 3);
  scene.push_back(Bar(17, 10, 12));
  const PoseBounds bounds = Ask(scene, Down(0, 40), Twist(8), 1.5);
  const double wide = 5.5;
  const double corner =
      30.0 - std::sqrt(144.0 - (17.0 - wide) * (17.0 - wide)) + wide / std::tan(59 * kDegree);
  ExpectBracket(bounds.free_lower, corner, bounds.free_upper);
  scene.back() = Bar(14, 10, 12);  // a direct hit keeps its true depth
  EXPECT_NEAR(Ask(scene, Down(0, 40), Twist(8), 3.0).free_lower, 25.7702, 6e-5);
}

// ---- Errors

TEST(PoseKernel, AThickerWallAndADisplacedBarAreMetByWhatTheyMoved) {
  std::vector<Obstacle> scene = Tube(60, 3);
  scene.push_back(Bar(0, 0, 8));
  PoseRegion region = Just(Down(0, 30), 4.0);
  region.wall = 0.5;
  region.outline = 1.0;
  region.inner = 3.0;
  const PoseKernel kernel = PoseKernel::Make(scene, region);
  const PoseDrill drill = PoseDrill::Of(Twist(8), 0.0);
  const std::vector<Vec3> up{{0, 0, 2}};
  PoseErrors errors;
  errors.inner_shift = up;
  PoseBounds bounds = kernel.Evaluate(region.middle, drill, errors);
  ExpectBracket(bounds.free_lower, 20.0, bounds.free_upper);
  const std::vector<Vec3> away{{0, 0, -3}};
  errors = {0.4, 1.0, away};
  bounds = kernel.Evaluate(region.middle, drill, errors);
  ExpectBracket(bounds.free_lower, 22.0 + 3.0 + 0.5, bounds.free_upper);
  const double ri = 27.0 - 0.4;
  ExpectBracket(bounds.breakthrough_lower,
                30.0 - std::sqrt(ri * ri - 16.0) + 4.0 / std::tan(59 * kDegree),
                bounds.breakthrough_upper);
  scene.pop_back();
  bounds = PoseKernel::Make(scene, region).Evaluate(region.middle, drill, {-0.5, 0.25, {}});
  ExpectBracket(bounds.free_lower, 57.0 + 0.5 + 0.25, bounds.free_upper);
}

// ---- Named outcomes, none of them clear

void ExpectNotClear(const std::vector<Obstacle>& obstacles, const Pose& pose, const Drill& drill,
                    PoseOutcome outcome) {
  const PoseBounds bounds = Ask(obstacles, pose, drill);
  EXPECT_EQ(bounds.outcome, outcome) << Word(bounds.outcome);
  EXPECT_NE(Judge(bounds, 1e-3), PoseProof::clear);
}

TEST(PoseKernel, APoseOrErrorThatIsNoNumberIsNeverClear) {
  const PoseRegion region = Just(Down(0, 30), 4.0);
  const PoseKernel kernel = PoseKernel::Make(Tube(60, 3), region);
  const PoseDrill drill = PoseDrill::Of(Twist(8), 0.0);
  Pose pose = region.middle;
  pose.entry.y() = std::nan("");
  EXPECT_EQ(kernel.Evaluate(pose, drill).outcome, PoseOutcome::not_finite);
  pose = region.middle;
  pose.direction.x() = std::nan("");
  EXPECT_EQ(kernel.Evaluate(pose, drill).outcome, PoseOutcome::not_finite);
  pose.direction = {0, 0, -2};
  EXPECT_EQ(kernel.Evaluate(pose, drill).outcome, PoseOutcome::not_finite);
  PoseErrors errors;
  errors.wall = std::nan("");
  const PoseBounds bounds = kernel.Evaluate(region.middle, drill, errors);
  EXPECT_EQ(bounds.outcome, PoseOutcome::not_finite);
  EXPECT_EQ(Judge(bounds, 1.0), PoseProof::unproven);
  EXPECT_EQ(Judge(kernel.Evaluate(region.middle, drill), std::nan("")), PoseProof::unproven);
  auto broken = Tube(60, 3);
  broken[1].patches[2].poles[0].x() = std::nan("");
  ExpectNotClear(broken, Down(0, 30), Twist(8), PoseOutcome::no_near_wall);
}

TEST(PoseKernel, WhatLiesOutsideTheRegionIsNeverClear) {
  PoseRegion region = Just(Down(0, 30), 4.0);
  region.place = 1.0;
  region.tilt = 2 * kDegree;
  const PoseKernel kernel = PoseKernel::Make(Tube(60, 3), region);
  const PoseDrill drill = PoseDrill::Of(Twist(8), 0.0);
  Pose pose = region.middle;
  pose.entry.x() = 1.1;
  EXPECT_EQ(kernel.Evaluate(pose, drill).outcome, PoseOutcome::beyond_region);
  pose = region.middle;
  pose.direction = Vec3(0, std::sin(0.05), -std::cos(0.05));
  EXPECT_EQ(kernel.Evaluate(pose, drill).outcome, PoseOutcome::beyond_region);
  EXPECT_EQ(kernel.Evaluate(region.middle, PoseDrill::Of(Twist(9), 0.0)).outcome,
            PoseOutcome::beyond_region);
  PoseErrors errors;
  errors.wall = 0.1;
  EXPECT_EQ(kernel.Evaluate(region.middle, drill, errors).outcome, PoseOutcome::beyond_region);
}

TEST(PoseKernel, NoMetalACornerAnOpenEndOrAMissIsNamedAndNeverClear) {
  ExpectNotClear({}, Down(0, 30), Twist(6), PoseOutcome::no_near_wall);
  ExpectNotClear(Tube(60, 3), Down(40, 30), Twist(6), PoseOutcome::no_near_wall);
  ExpectNotClear(Box(60, 60, 3), Down(26, 30), Twist(8), PoseOutcome::no_near_wall);
  Pose end = Down(0, 30);
  end.entry.y() = 148.0;
  ExpectNotClear(Tube(60, 3), end, Twist(8), PoseOutcome::no_near_wall);
  const PoseKernel kernel = PoseKernel::Make(Box(60, 60, 3), Just(Down(26, 30), 4.0));
  EXPECT_NE(kernel.failure().find("corner"), std::string::npos) << kernel.failure();
}

TEST(PoseKernel, ABarTouchingTheWallIsMetBeforeBreakThrough) {
  auto scene = Tube(60, 3);
  scene.push_back(Bar(0, 17, 10));
  const PoseBounds bounds = Ask(scene, Down(0, 30), Twist(8));
  ASSERT_EQ(bounds.outcome, PoseOutcome::met);
  ExpectBracket(bounds.free_lower, 3.0, bounds.free_upper);
  EXPECT_LT(bounds.free_upper, bounds.breakthrough_lower);
  EXPECT_EQ(Judge(bounds, 3.1), PoseProof::contact);
}

TEST(PoseKernel, ADrillLongerThanThePartIsClearOnlyToWhereItWasLooked) {
  auto plate = Box(80, 60, 3);
  plate[0].patches.resize(1);
  plate[1].patches.resize(1);
  const PoseBounds bounds = Ask(plate, Down(0, 30), Twist(6));
  EXPECT_EQ(bounds.outcome, PoseOutcome::nothing) << Word(bounds.outcome);
  EXPECT_EQ(Judge(bounds, kHorizon - 1), PoseProof::clear);
  EXPECT_EQ(Judge(bounds, kHorizon + 1), PoseProof::unproven);
  EXPECT_EQ(Judge(Ask(Box(80, 60, 3), Down(0, 30), Twist(6)), 500.0), PoseProof::contact);
}

// ---- An independent slow reference in 50 digits

struct Tally {
  int poses = 0;
  int near_limit = 0;
  int false_clear = 0;
  int false_contact = 0;
  int unproven = 0;
  int refined = 0;
  double worst_gap = 0.0;
};

/// One random part of a kind, with the region of a hole in it.
struct RandomHole {
  std::vector<Obstacle> scene;
  PoseRegion region;
  double diameter = 0.0, angle = 0.0;
  double half_width = 0.0, half_height = 0.0, wall = 0.0;  // box
  double tube = 0.0;                                       // inner radius; 0: a box
  double bar_x = 0.0, bar_z = 0.0, bar = 0.0;              // 0: no bar
};

class HoleMaker {
 public:
  explicit HoleMaker(unsigned seed) : random_(seed) {}
  double In(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  RandomHole Make() {
    RandomHole hole;
    const bool round = In(0, 1) < 0.5;
    hole.wall = In(1.5, 5);
    hole.diameter = In(3, 12);
    hole.angle = In(90, 140);
    hole.half_width = In(32, 50);
    hole.half_height = round ? In(25, 50) : In(20, 45);
    hole.scene = round ? Tube(2 * hole.half_height, hole.wall)
                       : Box(2 * hole.half_width, 2 * hole.half_height, hole.wall);
    if (round) hole.tube = hole.half_height - hole.wall;
    const double x = round ? In(-4, 4) : In(-8, 8);
    const double z =
        round ? std::sqrt(hole.half_height * hole.half_height - x * x) : hole.half_height;
    if (In(0, 1) < 0.6) {
      hole.bar = In(3, 0.35 * hole.half_height);
      hole.bar_x = x + In(-1.2, 1.2) * (hole.bar + 0.5 * hole.diameter);
      hole.bar_z = In(-4, 4);
      hole.scene.push_back(Bar(hole.bar_x, hole.bar_z, hole.bar));
    }
    hole.region.middle = Down(x, z);
    hole.region.place = 1.5;
    hole.region.rise = 0.5;
    hole.region.tilt = In(0, 6) * kDegree;
    hole.region.radius = 0.5 * hole.diameter;
    hole.region.horizon = kHorizon;
    return hole;
  }
  Pose PoseIn(const PoseRegion& region) {
    const double turn = In(0, 2 * kPi);
    const double place = region.place * std::sqrt(In(0, 1));
    const double tilt = region.tilt * std::sqrt(In(0, 1));
    const double lean = In(0, 2 * kPi);
    Pose pose = region.middle;
    pose.entry += Vec3(place * std::cos(turn), place * std::sin(turn), 0);
    pose.direction =
        Vec3(std::sin(tilt) * std::cos(lean), std::sin(tilt) * std::sin(lean), -std::cos(tilt));
    return pose;
  }

 private:
  std::mt19937_64 random_;
};

/// Exact first touch and break-through.
std::array<Exact, 2> Reference(const RandomHole& hole, const Pose& pose) {
  RoundCase round{pose,         0.5 * hole.diameter, 0.5 * hole.angle * kDegree,
                  Vec3::Zero(), Vec3::UnitY(),       hole.tube};
  Exact touch;
  Exact through;
  if (hole.tube > 0.0) {
    touch = TubeTouch(round);
    through = TubeThrough(round);
  } else {
    const auto drill = round.Drill<Exact>();
    const double x = hole.half_width - hole.wall;
    const double z = hole.half_height - hole.wall;
    touch = std::min({PlaneTouch(drill, -Vec3::UnitZ(), z), PlaneTouch(drill, Vec3::UnitX(), x),
                      PlaneTouch(drill, -Vec3::UnitX(), x)});
    through = PlaneThrough(drill, -Vec3::UnitZ(), -z);
  }
  if (hole.bar > 0.0) {
    round.place = {hole.bar_x, 0, hole.bar_z};
    round.round = hole.bar;
    touch = std::min(touch, BarTouch(round));
  }
  return {touch, through};
}

TEST(PoseKernel, NeverCallsClearWhatFiftyDigitsCallContact) {
  const int holes = LongRun() ? 5000 : 250;
  constexpr int kPoses = 20;
  HoleMaker maker(20261125);
  Tally tally;
  for (int h = 0; h < holes; ++h) {
    const RandomHole hole = maker.Make();
    const PoseKernel kernel = PoseKernel::Make(hole.scene, hole.region);
    ASSERT_TRUE(kernel.ok()) << kernel.failure();
    const PoseDrill drill = PoseDrill::Of(Twist(hole.diameter, hole.angle), 0.0);
    for (int p = 0; p < kPoses; ++p) {
      const Pose pose = maker.PoseIn(hole.region);
      const auto [exact, through] = Reference(hole, pose);
      const bool close = maker.In(0, 1) < 0.5;
      const double depth =
          static_cast<double>(exact) + (close ? maker.In(-0.01, 0.01) : maker.In(-3.0, 3.0));
      PoseQuestion question;
      question.needed = depth;
      const PoseBounds bounds = kernel.Evaluate(pose, drill, {}, question);
      const PoseProof proof = Judge(bounds, depth);
      ++tally.poses;
      tally.near_limit += close;
      tally.false_clear += proof == PoseProof::clear && Exact(depth) >= exact;
      tally.false_contact += proof == PoseProof::contact && Exact(depth) < exact;
      tally.unproven += proof == PoseProof::unproven;
      tally.refined += bounds.refined;
      EXPECT_LE(Exact(bounds.free_lower), exact) << h << ' ' << p;
      EXPECT_GE(Exact(bounds.free_upper), exact) << h << ' ' << p;
      EXPECT_LE(Exact(bounds.breakthrough_lower), through) << h << ' ' << p;
      EXPECT_GE(Exact(bounds.breakthrough_upper), through) << h << ' ' << p;
      const double gap = bounds.breakthrough_upper - bounds.breakthrough_lower;
      tally.worst_gap = std::max(tally.worst_gap, gap);
      if (::testing::Test::HasFailure()) return;
    }
  }
  std::printf(
      "%d poses, %d within 10 um: %d false clear, %d false contact, %d unproven, %d refined, "
      "worst break-through gap %.2e mm\n",
      tally.poses, tally.near_limit, tally.false_clear, tally.false_contact, tally.unproven,
      tally.refined, tally.worst_gap);
  EXPECT_EQ(tally.false_clear, 0);
  EXPECT_EQ(tally.false_contact, 0);
  EXPECT_GE(tally.near_limit, 3 * tally.poses / 10);
  EXPECT_LE(tally.unproven, tally.poses / 100);
  EXPECT_LE(tally.worst_gap, kMicron);
}

}  // namespace
}  // namespace holeward
