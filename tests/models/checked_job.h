// A job checked on its left side, and a round tube with a hole to begin from.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "models/checking.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "tests/models/job_head.h"

namespace holeward::testing_tools {

inline const std::string kHead = JobHead("check test");

inline const char* const kTube = R"(
[part.tube]
section = "round"
diameter = 60.3
wall = 5
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
)";

inline const char* const kHole = R"(
[[point]]
name = "D"
use = "drill"
part = "tube"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { line = "bottom" } ]
drill = [8]
)";

inline const char* const kTest = R"(
[[point]]
name = "P"
use = "test"
part = "tube"
rule = [ { tape = 120, from = "inner end", toward = "outboard" }, { line = "bottom" } ]
)";

/// A channel along the vehicle, open below.
inline const char* const kRail = R"(
[part.rail]
section = "channel"
open = "underside"
wall = 4
start = "rear end"
finish = "front end"
stations = [
  { centre = [-300, 400, 300], width = 90, height = 40, corner = 6 },
  { centre = [300, 400, 300], width = 90, height = 40, corner = 6 },
]
)";

struct CheckedJob {
  Job job;
  Scene scene;
  std::vector<PlacedPoint> placed;
  Checking checking;

  void Check() { checking = CheckPoints(job, scene, placed, Side::left); }
  const HoleCheck& hole(std::size_t i = 0) const { return checking.holes.at(i); }
  const PointCheck& point(std::size_t i = 0) const { return checking.points.at(i); }
};

/// A whole job, read, placed and checked on its left side; its errors are failures of the test.
/// @param file what it is called: files it names lie beside it
inline CheckedJob CheckedFrom(const std::string& text, const std::string& file) {
  CheckedJob run;
  const JobReading reading = ReadJobText(text, file);
  for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text(file);
  if (!reading.ok()) return run;
  run.job = reading.job;
  SceneBuild build = BuildScene(run.job, Side::left);
  for (const JobError& error : build.errors) ADD_FAILURE() << error.Text(file);
  for (const JobError& error : build.failures) ADD_FAILURE() << error.Text(file);
  if (!build.ok()) return run;
  run.scene = std::move(build.scene);
  const Placing placing = PlacePoints(run.job, run.scene, Side::left);
  for (const JobError& error : placing.errors) ADD_FAILURE() << error.Text(file);
  run.placed = placing.points;
  run.Check();
  return run;
}

/// What follows the head of a job, checked.
inline CheckedJob Of(const std::string& text) { return CheckedFrom(kHead + text, "check.toml"); }

inline std::string With(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

inline bool Says(const std::vector<std::string>& reasons, const std::string& words) {
  for (const std::string& reason : reasons) {
    if (reason.find(words) != std::string::npos) return true;
  }
  return false;
}

inline std::string All(const std::vector<std::string>& reasons) {
  std::string all;
  for (const std::string& reason : reasons) all += reason + "; ";
  return all;
}

}  // namespace holeward::testing_tools
