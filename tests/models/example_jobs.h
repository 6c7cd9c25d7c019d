// The example jobs, read, built and placed, for the tests that go through all of them.
#pragma once

#include <string>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"

namespace holeward::testing_tools {

/// Those with templates.
inline const char* const kExampleJobs[] = {"utility-van", "box-beam", "bent-tube", "channel-rail",
                                           "pressed-arm"};

struct ExampleJob {
  Job job;
  SceneBuild build;
  Placing placing;
};

/// The example on its described side.
inline ExampleJob Example(const std::string& name) {
  ExampleJob example;
  JobReading reading =
      ReadJobFile(std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/" + name + ".toml");
  EXPECT_TRUE(reading.ok()) << name;
  example.job = std::move(reading.job);
  example.build = BuildScene(example.job, example.job.described_side);
  EXPECT_TRUE(example.build.ok()) << name;
  example.placing = PlacePoints(example.job, example.build.scene, example.job.described_side);
  return example;
}

}  // namespace holeward::testing_tools
