// The worst of a site: by the search for the pose where that settles, by what encloses all poses
// where it does not.
#include "models/site_worst.h"

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::CheckedJob;
using testing_tools::kHole;
using testing_tools::kTube;
using testing_tools::Of;

constexpr double kNever = std::numeric_limits<double>::infinity();

const char* const kExact =
    "[marking]\ntape = 0\nrule = 0\nline = 0\nmiddle = 0\npunch = 0\ntilt = 0\ndepth = 0\nwall = "
    "0\noutline = 0\ninner_body = 0\n";

Drill Twist(double diameter) { return *Drill::Twist(diameter, 118.0 * kDegree); }

/// The site of the one hole of a job, made ready; the job must outlive it.
class Ready {
 public:
  explicit Ready(const CheckedJob& run)
      : around_(Surroundings::Make(run.scene, run.job.marking)),
        site_(MakeSite({run.job,
                        run.scene,
                        run.scene.parts[0],
                        *around_,
                        run.job.points[0],
                        run.placed[0],
                        {},
                        {}})) {}
  [[nodiscard]] const HoleSite& site() const { return *site_; }

 private:
  Result<Surroundings> around_;
  Result<HoleSite> site_;
};

TEST(SiteWorst, WhatTheSearchSettlesIsNotLookedForAgain) {
  const CheckedJob run = Of(std::string(kTube) + kHole);
  const Ready ready(run);
  const HoleSite& site = ready.site();
  const std::vector<Obstacle> obstacles = ObstaclesOf(site, 8.0).obstacles;
  const auto zones = ZonesToJudge(site.placed);
  ASSERT_EQ(zones.size(), 1u);
  WorstPoseSearch search;
  search.side = 1.0;
  search.horizon = site.surroundings.diagonal();
  const WorstDepths alone = WorstPoseOver(obstacles,
                                          {site.part.skin.get(), zones[0], zones[0].zone.radius,
                                           run.job.marking.tilt_rad.Greatest(), site.axis},
                                          Twist(8.0), search);
  const WorstDepths worst = WorstOfSite(site, obstacles, Twist(8.0), 1.0);
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_LE(worst.upper - worst.lower, search.gap);
  EXPECT_GT(worst.upper, worst.lower) << "or nothing of a gap is tested";
  EXPECT_GT(worst.breakthrough, worst.breakthrough_attained);
  EXPECT_EQ(worst.nodes, alone.nodes);
  EXPECT_EQ(worst.lower, alone.lower);
  EXPECT_EQ(worst.breakthrough, alone.breakthrough);
}

// As often as the axis is asked for, so often places were looked at: once is enough.
TEST(SiteWorst, WhatIsSettledIsSearchedOnce) {
  const CheckedJob run = Of(std::string(kTube) + kHole);
  const Ready ready(run);
  HoleSite site = ready.site();
  int asked = 0;
  site.axis = [&](const Vec3& normal) {
    ++asked;
    return ready.site().axis(normal);
  };
  const std::vector<Obstacle> obstacles = ObstaclesOf(site, 8.0).obstacles;
  const NominalPlace zone = ZonesToJudge(site.placed).at(0);
  WorstPoseSearch search;
  search.side = 1.0;
  search.horizon = site.surroundings.diagonal();
  asked = 0;
  ASSERT_TRUE(WorstPoseOver(obstacles,
                            {site.part.skin.get(), zone, zone.zone.radius,
                             run.job.marking.tilt_rad.Greatest(), site.axis},
                            Twist(8.0), search)
                  .ok());
  const int once = asked;
  ASSERT_GT(once, 0);
  asked = 0;
  ASSERT_TRUE(WorstOfSite(site, obstacles, Twist(8.0), 1.0).ok());
  EXPECT_EQ(asked, once);
}

/// Marked at the very place that its rule says.
CheckedJob Marked(CheckedJob run) {
  run.placed.at(0).zone.radius = 0.0;
  for (NominalPlace& nominal : run.placed[0].nominals) nominal.zone.radius = 0.0;
  run.Check();
  return run;
}

/// A plate across the hole's axis with a hole of a radius round it, four quarters.
Obstacle PlateWithHole(const Vec3& middle, double inner) {
  Obstacle plate{"plate", ObstacleKind::other, FaceRole::outer, {}};
  const double w = std::sqrt(0.5);
  for (int k = 0; k < 4; ++k) {
    const double c = k % 2 == 0 ? 1.0 - k : 0.0;
    const double s = k % 2 == 1 ? 2.0 - k : 0.0;
    BezierPatch patch{2, 1, {}, 0.0};
    for (int i = 0; i < 3; ++i) {
      const Vec3 arm = i == 0 ? Vec3(c, s, 0) : i == 1 ? Vec3(c - s, s + c, 0) : Vec3(-s, c, 0);
      const double weight = i == 1 ? w : 1.0;
      for (const double radius : {inner, 20.0}) {
        Eigen::Vector4d pole;
        pole << weight * (radius * arm + middle), weight;
        patch.poles.push_back(pole);
      }
    }
    plate.patches.push_back(patch);
  }
  return plate;
}

// A hair all round is too little to be settled: what is proven holds, and no pose is named.
TEST(SiteWorst, WhatTheSearchLeavesOpenIsNoDeeperThanWhatAllPosesProve) {
  const CheckedJob run = Marked(Of(kExact + std::string(kTube) + kHole));
  const Ready ready(run);
  std::vector<Obstacle> obstacles = ObstaclesOf(ready.site(), 8.0).obstacles;
  const Vec3 at = run.placed[0].position + Vec3(0, 0, 20);
  obstacles.push_back(PlateWithHole(at, 4.0 + 1e-8));
  const WorstDepths worst = WorstOfSite(ready.site(), obstacles, Twist(8.0), 0.0);
  ASSERT_TRUE(worst.ok()) << worst.failure;
  EXPECT_NEAR(worst.lower, 20.0 + 4.0 / std::tan(59.0 * kDegree), 0.05);
  EXPECT_EQ(worst.upper, kNever);
  EXPECT_EQ(worst.body, "a body that is not settled");
}

}  // namespace
}  // namespace holeward
