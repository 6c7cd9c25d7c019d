#include "models/reading_paths.h"

#include <cmath>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "tests/models/job_texts.h"

namespace holeward {
namespace {

struct Placed {
  Job job;
  Scene scene;
  std::vector<PlacedPoint> points;
  std::vector<std::vector<ReadingPath>> paths;
};

Placed Demo() {
  const std::string file = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml";
  Placed placed;
  placed.job = test::Good(test::FileText(file));
  placed.scene = BuildScene(placed.job, placed.job.described_side).scene;
  placed.points = PlacePoints(placed.job, placed.scene, placed.job.described_side).points;
  placed.paths = ReadingPathsOf(placed.job, placed.scene, placed.points);
  return placed;
}

double LengthOf(const ReadingPath& path) {
  double length = 0.0;
  for (std::size_t i = 0; i + 1 < path.places.size(); ++i) {
    length += (path.places[i + 1] - path.places[i]).norm();
  }
  return length;
}

const std::vector<ReadingPath>& PathsOf(const Placed& placed, const std::string& name) {
  for (std::size_t i = 0; i < placed.points.size(); ++i) {
    if (placed.points[i].name == name) return placed.paths[i];
  }
  ADD_FAILURE() << "no point " << name;
  return placed.paths.front();
}

TEST(ReadingPaths, EveryMeasuredLineEndsAtThePointAndIsAsLongAsItsReading) {
  const Placed placed = Demo();
  ASSERT_EQ(placed.paths.size(), placed.points.size());
  int measured = 0;
  for (std::size_t i = 0; i < placed.points.size(); ++i) {
    EXPECT_FALSE(placed.paths[i].empty()) << placed.points[i].name;
    for (const ReadingPath& path : placed.paths[i]) {
      if (!path.measured) continue;
      ++measured;
      EXPECT_LT((path.places.back() - placed.points[i].position).norm(), 1e-6);
      // Chords of 3 mm on a tube of 44.5 mm radius are 2e-4 of their length short.
      if (path.is_angle) continue;
      EXPECT_NEAR(LengthOf(path), path.value, 2e-3 * path.value) << path.from;
    }
  }
  EXPECT_GE(measured, 15);
}

TEST(ReadingPaths, AProtractorsArcGoesRoundTheTubeByItsAngle) {
  const Placed placed = Demo();
  const double radius = 44.5;
  int arcs = 0;
  for (const auto& list : placed.paths) {
    for (const ReadingPath& path : list) {
      if (!path.is_angle) continue;
      ++arcs;
      EXPECT_NEAR(LengthOf(path), radius * path.value, 1e-3 * radius * path.value);
      // It starts at the bottom line.
      EXPECT_NEAR(path.places.front().z(), 250.0 - radius, 1e-9);
    }
  }
  EXPECT_GE(arcs, 2);
}

TEST(ReadingPaths, AMiddleBetweenTwoDatumsHasALineFromEach) {
  const Placed placed = Demo();
  const auto& paths = PathsOf(placed, "A2");
  ASSERT_GE(paths.size(), 2U);
  EXPECT_EQ(paths[0].from, "jig hole");
  EXPECT_EQ(paths[1].from, "spring plate");
  EXPECT_NEAR(paths[0].value, paths[1].value, 1e-6);
}

}  // namespace
}  // namespace holeward
