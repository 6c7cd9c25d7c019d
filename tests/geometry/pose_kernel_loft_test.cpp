// The pose kernel on lofted walls and bent bars, against the control-point search of
// geometry/clearance.h, which shares no model with it.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <thread>

#include <gtest/gtest.h>

#include "geometry/pose_kernel.h"
#include "tests/geometry/pose_kernel_scenes.h"

namespace holeward {
namespace {

using testing::ArmSkin;
using testing::BentBar;
using testing::HoleIn;
using testing::PoseIn;
using testing::PoseOn;
using testing::WallsOf;

constexpr double kSearchGap = 2.5e-4;  // what ClearanceOf settles to

struct Compared {
  int poses = 0;
  int refined = 0;
  int quick = 0;  // within 1 um without refining
  double worst_gap = 0.0;
  double worst_through = 0.0;
};

void Compare(const Skin& skin, const std::vector<Obstacle>& scene, const PoseRegion& region,
             int count, Compared& tally) {
  const PoseKernel kernel = PoseKernel::Make(scene, region);
  ASSERT_TRUE(kernel.ok()) << kernel.failure();
  const Drill twist = *Drill::Twist(2 * region.radius, 118 * kDegree);
  const PoseDrill drill = PoseDrill::Of(twist, region.side);
  std::mt19937_64 random(4711);
  for (int i = 0; i < count; ++i) {
    const Pose pose = PoseOn(skin, region, random);
    const Clearance slow = ClearanceOf(scene, pose, twist, region.side, region.horizon);
    ASSERT_TRUE(slow.ok() && slow.contact) << slow.failure;
    PoseQuestion quick;
    quick.refine = false;
    const PoseBounds rough = kernel.Evaluate(pose, drill, {}, quick);
    const PoseBounds fine = kernel.Evaluate(pose, drill);
    ASSERT_EQ(fine.outcome, PoseOutcome::met) << Word(fine.outcome);
    for (const PoseBounds& bounds : {rough, fine}) {
      EXPECT_LE(bounds.free_lower, slow.contact->depth + 1e-7) << i;
      EXPECT_GE(bounds.free_upper, slow.contact->depth - kSearchGap) << i;
      EXPECT_LE(bounds.breakthrough_lower, slow.breakthrough + 1e-7) << i;
      EXPECT_GE(bounds.breakthrough_upper, slow.breakthrough - kSearchGap) << i;
    }
    const double gap = fine.free_upper - fine.free_lower;
    EXPECT_LE(gap, 1e-3) << i;
    if (std::min({fine.free_lower, slow.contact->depth}) + 1e-3 < fine.free_upper) {
      EXPECT_EQ(kernel.BodyName(fine), slow.contact->body);
    }
    ++tally.poses;
    tally.refined += fine.refined;
    tally.quick += rough.free_upper - rough.free_lower <= 1e-3;
    tally.worst_gap = std::max(tally.worst_gap, gap);
    tally.worst_through =
        std::max(tally.worst_through, fine.breakthrough_upper - fine.breakthrough_lower);
    if (::testing::Test::HasFailure()) return;
  }
}

TEST(PoseKernelOnLofts, AgreesWithTheControlPointSearch) {
  const Skin skin = ArmSkin();
  std::vector<Obstacle> walls = WallsOf(skin, 2.6);
  std::vector<Obstacle> barred = walls;
  barred.push_back(BentBar());
  const int count = std::getenv("HOLEWARD_LONG_TESTS") != nullptr ? 2000 : 60;
  Compared tally;
  for (const double v : {0.5, 2.5, 4.5, 6.5}) {
    for (const double share : {0.25, 0.5, 0.7}) {
      const PoseRegion region = HoleIn(skin, share * skin.u_end(), v, 5 * kDegree, 4.0);
      for (const auto* scene : {&walls, &barred}) {
        Compare(skin, *scene, region, count, tally);
        if (HasFailure()) FAIL() << "v " << v << ", u share " << share;
      }
    }
  }
  std::printf("%d poses, %d quick to 1 um, %d refined, worst gap %.1e, break-through %.1e mm\n",
              tally.poses, tally.quick, tally.refined, tally.worst_gap, tally.worst_through);
  EXPECT_GE(tally.poses, 20 * count);
  // Where the loft's curvature jumps, at its stations, the search has to help.
  EXPECT_GE(tally.quick, 9 * tally.poses / 10);
}

TEST(PoseKernelOnLofts, AgreesWhereTheDrillLeansSoFarThatItsRimIsMetFirst) {
  const Skin skin = ArmSkin();
  const std::vector<Obstacle> walls = WallsOf(skin, 2.6);
  Compared tally;
  for (const double lean : {25.0, 33.0, 40.0}) {
    PoseRegion region = HoleIn(skin, 0.4 * skin.u_end(), 4.5, 3 * kDegree, 2.5);
    const Vec3 along = skin.At(0.4 * skin.u_end(), 4.5).du.normalized();
    region.middle.direction =
        (std::cos(lean * kDegree) * region.middle.direction + std::sin(lean * kDegree) * along)
            .normalized();
    region.rise = 2.0;
    region.place = 3.0;
    Compare(skin, walls, region, 30, tally);
    if (HasFailure()) FAIL() << "lean " << lean;
  }
  EXPECT_GE(tally.poses, 60);
}

TEST(PoseKernelOnLofts, AStepDrillAgreesWithTheControlPointSearch) {
  const Skin skin = ArmSkin();
  std::vector<Obstacle> scene = WallsOf(skin, 2.6);
  scene.push_back(BentBar());
  PoseRegion region = HoleIn(skin, 0.4 * skin.u_end(), 4.5, 4 * kDegree, 5.0);
  region.side = 1.5;
  const Drill step = *Drill::Step(10, 118 * kDegree, {{4, 5}, {6, 5}, {8, 5}});
  const PoseKernel kernel = PoseKernel::Make(scene, region);
  ASSERT_TRUE(kernel.ok());
  const PoseDrill drill = PoseDrill::Of(step, region.side);
  std::mt19937_64 random(5);
  for (int i = 0; i < 60; ++i) {
    const Pose pose = PoseOn(skin, region, random);
    const Clearance slow = ClearanceOf(scene, pose, step, region.side, region.horizon);
    ASSERT_TRUE(slow.ok() && slow.contact) << slow.failure;
    const PoseBounds bounds = kernel.Evaluate(pose, drill);
    ASSERT_EQ(bounds.outcome, PoseOutcome::met);
    EXPECT_LE(bounds.free_lower, slow.contact->depth + 1e-7) << i;
    EXPECT_GE(bounds.free_upper, slow.contact->depth - kSearchGap) << i;
    EXPECT_LE(bounds.breakthrough_lower, slow.breakthrough + 1e-7) << i;
    EXPECT_GE(bounds.breakthrough_upper, slow.breakthrough - kSearchGap) << i;
  }
}

// A solid built with another wall has its inner faces where the error says they go.
TEST(PoseKernelOnLofts, AWallErrorIsASolidWithThatWall) {
  const Skin skin = ArmSkin();
  const std::vector<Obstacle> walls = WallsOf(skin, 2.6);
  PoseRegion region = HoleIn(skin, 0.4 * skin.u_end(), 4.5, 5 * kDegree, 4.0);
  region.wall = 0.4;
  const PoseKernel kernel = PoseKernel::Make(walls, region);
  ASSERT_TRUE(kernel.ok());
  const Drill twist = *Drill::Twist(8, 118 * kDegree);
  const PoseDrill drill = PoseDrill::Of(twist, 0.0);
  for (const double wall : {-0.4, 0.15, 0.4}) {
    const std::vector<Obstacle> other = WallsOf(skin, 2.6 + wall);
    std::mt19937_64 random(6);
    for (int i = 0; i < 20; ++i) {
      const Pose pose = PoseOn(skin, region, random);
      const Clearance slow = ClearanceOf(other, pose, twist, 0.0, region.horizon);
      ASSERT_TRUE(slow.ok() && slow.contact) << slow.failure;
      const PoseBounds bounds = kernel.Evaluate(pose, drill, {wall, 0.0, {}});
      ASSERT_EQ(bounds.outcome, PoseOutcome::met);
      constexpr double kBuilt = 6e-3;  // the two solids' own departure from the law
      EXPECT_NEAR(bounds.free_lower, slow.contact->depth, kBuilt) << wall;
      EXPECT_NEAR(bounds.free_upper, slow.contact->depth, kBuilt) << wall;
      EXPECT_LE(bounds.breakthrough_lower, slow.breakthrough + kBuilt) << wall;
      EXPECT_GE(bounds.breakthrough_upper, slow.breakthrough - kBuilt) << wall;
    }
  }
}

// ---- No hidden state: the same bits on any number of threads

std::vector<PoseBounds> Answers(const PoseKernel& kernel, const std::vector<Pose>& poses,
                                int threads) {
  std::vector<PoseBounds> answers(poses.size());
  const PoseDrill drill = PoseDrill::Of(*Drill::Twist(8, 118 * kDegree), 1.0);
  std::vector<std::thread> workers;
  for (int t = 0; t < threads; ++t) {
    workers.emplace_back([&, t] {
      for (std::size_t i = static_cast<std::size_t>(t); i < poses.size();
           i += static_cast<std::size_t>(threads)) {
        answers[i] = kernel.Evaluate(poses[i], drill);
      }
    });
  }
  for (std::thread& worker : workers) worker.join();
  return answers;
}

TEST(PoseKernelOnLofts, OneAndManyThreadsGiveTheSameBits) {
  const Skin skin = ArmSkin();
  std::vector<Obstacle> scene = WallsOf(skin, 2.6);
  scene.push_back(BentBar());
  PoseRegion region = HoleIn(skin, 0.65 * skin.u_end(), 4.5, 5 * kDegree, 4.0);
  region.side = 1.0;
  const PoseKernel kernel = PoseKernel::Make(scene, region);
  const PoseKernel again = PoseKernel::Make(scene, region);
  ASSERT_TRUE(kernel.ok());
  std::mt19937_64 random(7);
  std::vector<Pose> poses;
  for (int i = 0; i < 4000; ++i) poses.push_back(PoseIn(region, random));
  const auto one = Answers(kernel, poses, 1);
  int met = 0;
  for (const auto& many : {Answers(kernel, poses, 3), Answers(again, poses, 2)}) {
    for (std::size_t i = 0; i < poses.size(); ++i) {
      met += one[i].outcome == PoseOutcome::met;
      const auto same = [](double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; };
      EXPECT_TRUE(same(one[i].free_lower, many[i].free_lower) &&
                  same(one[i].free_upper, many[i].free_upper) &&
                  same(one[i].breakthrough_lower, many[i].breakthrough_lower) &&
                  same(one[i].breakthrough_upper, many[i].breakthrough_upper) &&
                  one[i].body == many[i].body && one[i].outcome == many[i].outcome)
          << i;
    }
  }
  EXPECT_EQ(met, 2 * 4000);
}

}  // namespace
}  // namespace holeward
