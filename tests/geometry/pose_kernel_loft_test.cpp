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
using testing::WallsOf;

constexpr double kSearchGap = 2.5e-4;  // what ClearanceOf settles to

struct Compared {
  int poses = 0;
  int refined = 0;
  int quick = 0;  // within 1 um without refining
  double worst_gap = 0.0;
  double worst_through = 0.0;
};

void Compare(const std::vector<Obstacle>& scene, const PoseRegion& region, double diameter,
             int count, Compared& tally) {
  const PoseKernel kernel = PoseKernel::Make(scene, region);
  ASSERT_TRUE(kernel.ok()) << kernel.failure();
  const Drill twist = *Drill::Twist(diameter, 118 * kDegree);
  const PoseDrill drill = PoseDrill::Of(twist, region.side);
  std::mt19937_64 random(4711);
  for (int i = 0; i < count; ++i) {
    const Pose pose = PoseIn(region, random);
    const Clearance slow = ClearanceOf(scene, pose, twist, region.side, region.horizon);
    if (!slow.ok()) continue;
    ASSERT_TRUE(slow.contact);
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
        Compare(*scene, region, 8.0, count, tally);
        if (HasFailure()) FAIL() << "v " << v << ", u share " << share;
      }
    }
  }
  std::printf("%d poses, %d quick to 1 um, %d refined, worst gap %.1e, break-through %.1e mm\n",
              tally.poses, tally.quick, tally.refined, tally.worst_gap, tally.worst_through);
  EXPECT_GE(tally.poses, 20 * count);
  EXPECT_GE(tally.quick, 95 * tally.poses / 100);
}

}  // namespace
}  // namespace holeward
