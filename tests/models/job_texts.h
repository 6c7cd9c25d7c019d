// Jobs as text, for the tests of the reader.
#pragma once

#include <fstream>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "models/job_reader.h"

namespace holeward::test {

inline const std::string kGoodJob = std::string(HOLEWARD_SOURCE_DIR) + "/tests/data/good_job.toml";

inline std::string FileText(const std::string& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

inline std::string Messages(const JobReading& reading) {
  std::string all;
  for (const auto& error : reading.errors) all += error.Text("job.toml") + "\n";
  return all;
}

/// The job of a text that reads without errors.
inline Job Good(const std::string& text) {
  const JobReading reading = ReadJobText(text, "job.toml");
  EXPECT_TRUE(reading.ok()) << Messages(reading);
  return reading.job;
}

/// The least a job can say.
inline const char* const kShortest = R"(holeward = 1
[part.post]
section = "round"
wall = 2
diameter = 40
from = [0, 300, 200]
to = [0, 500, 200]
start = "near end"
finish = "far end"
)";

}  // namespace holeward::test
