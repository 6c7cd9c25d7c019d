// Jobs of many parts: what a point costs does not grow with the number of parts.
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/hole_check.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "tests/models/job_head.h"

namespace holeward {
namespace {

/// Round tubes side by side, ten a row, each with a drill point.
std::string LargeJob(int parts) {
  std::string job = testing_tools::JobHead("many parts");
  for (int i = 0; i < parts; ++i) {
    const int x = -120 * (i % 10) - 1300 * (i / 10);
    job += fmt::format(
        "[part.p{0}]\nsection = \"round\"\nwall = 3\ndiameter = 60\nfrom = [{1}, 200, 300]\n"
        "to = [{1}, 600, 300]\nstart = \"inner end\"\nfinish = \"outer end\"\n",
        i, x);
  }
  for (int i = 0; i < parts; ++i) {
    job += fmt::format(
        "[[point]]\nname = \"D{0}\"\nuse = \"drill\"\npart = \"p{0}\"\ndrill = [6]\n"
        "rule = [ {{ tape = 200, from = \"inner end\", toward = \"outboard\" }}, "
        "{{ line = \"bottom\" }} ]\n",
        i);
  }
  return job;
}

struct Work {
  double looked_at = 0.0;  ///< boxes, a point
  double obstacles = 0.0;  ///< handed on to be judged, a point
};

Work WorkOfAPoint(int parts) {
  const JobReading reading = ReadJobText(LargeJob(parts), "large.toml");
  for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text("large.toml");
  const SceneBuild build = BuildScene(reading.job, Side::left);
  const Placing placing = PlacePoints(reading.job, build.scene, Side::left);
  EXPECT_EQ(static_cast<int>(placing.points.size()), parts);
  const auto around = Surroundings::Make(build.scene, reading.job.marking);
  if (!around) {
    ADD_FAILURE() << around.error().message;
    return {};
  }
  Work work;
  for (const PlacedPoint& point : placing.points) {
    const HoleSite site{reading.job,
                        build.scene,
                        *build.scene.FindPart(point.part),
                        *around,
                        *reading.job.FindPoint(point.name),
                        point,
                        {},
                        {}};
    const auto ready = MakeSite(site);
    if (!ready) {
      ADD_FAILURE() << ready.error().message;
      continue;
    }
    const ToolRoom chuck{point.position + 40.0 * point.normal, point.normal, 20, 100};
    const NearObstacles drill = ObstaclesOf(*ready, 6.0);
    const NearObstacles beside = around->Outside(point.part, true, chuck);
    work.looked_at += static_cast<double>(drill.looked_at + beside.looked_at) / parts;
    work.obstacles += static_cast<double>(drill.obstacles.size() + beside.obstacles.size()) / parts;
  }
  return work;
}

TEST(LargeJob, APointCostsTheSameAmongManyParts) {
  const Work few = WorkOfAPoint(10);
  const Work many = WorkOfAPoint(80);
  EXPECT_GT(few.obstacles, 4.0);  // its own walls at least
  EXPECT_LT(many.obstacles, 1.3 * few.obstacles);
  EXPECT_LT(many.looked_at, 2.0 * few.looked_at);  // the tree is three levels deeper
}

}  // namespace
}  // namespace holeward
