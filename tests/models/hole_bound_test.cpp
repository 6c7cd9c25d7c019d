// No pose lies below the worst margin that a check reports: random holes on a tube with a bar, a
// straight box and a lofted arm with a bent rod, each sampled with poses evenly drawn and with
// poses at the ends of their errors. A smaller set by default; HOLEWARD_LONG_TESTS=1 runs 1,000
// holes of 100,000 poses.
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/random.h"
#include "models/hole_check.h"
#include "models/job_reader.h"
#include "models/posed_hole.h"
#include "models/scene.h"

namespace holeward {
namespace {

const char* const kParts = R"(
holeward = 1
title = "holes"
[set]
number = "T-8"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left"]
posture = "level"
[part.tube]
section = "round"
diameter = 70
wall = 3
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
[[part.tube.inner]]
name = "bar"
diameter = 20
offset = [3, 0, -5]
reach = [0, 400]
[part.box]
section = "box"
wall = 2.5
start = "inner end"
finish = "outer end"
stations = [
  { centre = [200, 100, 300], width = 70, height = 60, corner = 8 },
  { centre = [200, 500, 300], width = 70, height = 60, corner = 8 },
]
[part.arm]
section = "box"
wall = 2.8
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-210, 120, 300], width = 62, height = 52, corner = 8 },
  { centre = [-198, 240, 288], width = 66, height = 58, corner = 8 },
  { centre = [-212, 420, 270], width = 54, height = 46, corner = 8 },
]
[[part.arm.inner]]
name = "rod"
diameter = 14
path = [[-212, 140, 296], [-200, 240, 284], [-210, 400, 270]]
)";

struct Counts {
  int holes = 0;
  int proven = 0;
  std::uint64_t poses = 0;
  int below = 0;
  double tightest = 1e9;
  double loosest = 0.0;
  double sum = 0.0;
};

/// A hole of random place, drill, zone and stop on one of the parts.
struct RandomHole {
  PointRow row;
  PlacedPoint placed;

  RandomHole(const Part& part, std::uint64_t number) {
    double u[12];
    UniformsOf(31, number, u);
    const double v =
        part.skin->round() ? 4.0 * u[1] : 2.0 * static_cast<int>(4.0 * u[1]) + 0.3 + 0.4 * u[2];
    placed.name = row.name = "H";
    placed.part = row.part = part.name;
    placed.place = {60.0 + 180.0 * u[0], v};
    const SkinPoint at = part.skin->At(placed.place);
    placed.position = at.position;
    placed.normal = at.normal;
    Zone zone;
    const Vec3 along = at.du.normalized();
    const Vec3 around = at.normal.cross(along);
    zone.makeup.per_unit = {along, Vec3(0.5 * along + around)};
    zone.makeup.readings = {HalfWidth{u[3], 1.2 * u[3]}, HalfWidth::Even(u[4])};
    // Greatest length of the parallelogram's corners, and what a curved skin adds.
    zone.makeup.readings_radius = 1.02 * (1.2 * u[3] + 1.5 * u[4] + 1e-3);
    zone.makeup.punch = 0.5 * u[5];
    zone.radius = zone.makeup.readings_radius + zone.makeup.punch;
    zone.bounded = true;
    placed.zone = zone;
    placed.nominals = {{placed.place, placed.position, placed.normal, zone, "drawn"}};
    row.use = PointUse::drill;
    row.drill = {3.0 + 6.0 * u[6]};
    if (u[7] < 0.3) row.stop.kind = StopRow::Kind::none;
    if (u[7] > 0.6) row.stop = {StopRow::Kind::given, {12.0 + 25.0 * u[8]}};
  }
};

void Judge(const Job& job, const Scene& scene, const Surroundings& surroundings, const Part& part,
           std::uint64_t number, std::uint64_t poses, Counts& counts) {
  const RandomHole hole(part, number);
  const HoleSite site{job, scene, part, surroundings, hole.row, hole.placed, {}, {}};
  const Result<HoleSite> ready = MakeSite(site);
  const HoleCheck check = CheckStage(ready, site, 0);
  ++counts.holes;
  if (!check.margin_worst) return;
  const auto posed = PosedHole::Make(*ready, check);
  if (!posed) return;
  ++counts.proven;
  double least = std::numeric_limits<double>::infinity();
  std::vector<double> numbers(posed->sampler().size());
  for (std::uint64_t pose = 0; pose < poses; ++pose) {
    UniformsOf(32 + number, pose, numbers);
    // Every other pose has most of its errors at their ends.
    for (std::size_t i = 0; pose % 2 == 1 && i < numbers.size(); ++i) {
      const bool angle = i == 4 || i == 6 || i == 8 || i == 10 || (i > 14 && i % 2 == 1);
      if (!angle && numbers[i] * 7919.0 - std::floor(numbers[i] * 7919.0) < 0.8) {
        numbers[i] = numbers[i] < 0.5 ? (i >= 3 && i < 11 ? 1.0 : 0.0) : 1.0;
      }
    }
    const double margin = posed->Margin(numbers);
    if (std::isnan(margin)) continue;
    ++counts.poses;
    // A margin that is not proven to lie below the bound is not told as less than it.
    if (margin < *check.margin_worst) ++counts.below;
    if (pose % 20 == 1) least = std::min(least, posed->AtMost(numbers));
  }
  const FoundPose worst = WorstFrom(*posed, {posed->sampler().Nominal(), numbers});
  least = std::min(least, worst.margin);
  const double gap = least - *check.margin_worst;
  counts.tightest = std::min(counts.tightest, gap);
  counts.loosest = std::max(counts.loosest, gap);
  counts.sum += gap;
}

TEST(HoleBound, NoSampledPoseLiesBelowTheWorstMargin) {
  const JobReading reading = ReadJobText(kParts, "holes.toml");
  for (const JobError& error : reading.errors) FAIL() << error.Text("holes.toml");
  const SceneBuild build = BuildScene(reading.job, Side::left);
  ASSERT_TRUE(build.ok());
  const auto surroundings = Surroundings::Make(build.scene, reading.job.marking);
  ASSERT_TRUE(surroundings) << surroundings.error().message;
  const char* wanted = std::getenv("HOLEWARD_LONG_TESTS");
  const bool in_full = wanted != nullptr && std::string(wanted) == "1";
  const std::uint64_t holes = in_full ? 1000 : 24;
  const std::uint64_t poses = in_full ? 100000 : 5000;
  for (const Part& part : build.scene.parts) {
    Counts counts;
    for (std::uint64_t hole = 0; hole < holes; ++hole) {
      if (&build.scene.parts[hole % build.scene.parts.size()] != &part) continue;
      Judge(reading.job, build.scene, *surroundings, part, hole, poses, counts);
    }
    std::printf(
        "%s: %d holes, %d judged, %llu poses, %d below the bound; gap %.3f to %.3f, mean %.3f mm\n",
        part.name.c_str(), counts.holes, counts.proven,
        static_cast<unsigned long long>(counts.poses), counts.below, counts.tightest,
        counts.loosest, counts.sum / counts.proven);
    EXPECT_EQ(counts.below, 0) << part.name;
    EXPECT_GE(counts.proven, counts.holes / 3) << part.name;
    EXPECT_GE(counts.poses, poses * static_cast<std::uint64_t>(counts.proven) * 9 / 10);
  }
}

}  // namespace
}  // namespace holeward
