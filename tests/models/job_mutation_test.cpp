// Jobs changed value by value and line by line: whatever is written in a job, reading it ends,
// gives errors in order at places in the file, or a job whose sizes can be built.
#include <algorithm>
#include <cmath>
#include <fstream>
#include <random>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "models/job_reader.h"

namespace holeward {
namespace {

std::vector<std::string> Lines() {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/tests/data/good_job.toml");
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) lines.push_back(line);
  return lines;
}

class Changer {
 public:
  Changer() : lines_(Lines()) {}

  [[nodiscard]] std::string Changed() {
    std::vector<std::string> lines = lines_;
    const int changes = 1 + static_cast<int>(random_() % 3);
    for (int i = 0; i < changes; ++i) Change(lines);
    std::string text;
    for (const auto& line : lines) text += line + "\n";
    return text;
  }

 private:
  static const std::vector<std::string>& Values() {
    static const std::vector<std::string> kValues{
        "0",      "-1",      "1e308",    "nan",        "-inf",        "9223372036854775807",
        "\"\"",   "\"top\"", "[]",       "{}",         "[[]]",        "true",
        "1e-300", "[1, 2]",  "\"face\"", "1979-05-27", "[[0, 0, 0]]", "{ minus = 1, plus = 2 }",
        "0.5",    "400",     "\"R1\"",   "\"link\"",   "[\"T1\"]",    "\"round\""};
    return kValues;
  }

  std::size_t Any(std::size_t size) { return random_() % size; }

  void Change(std::vector<std::string>& lines) {
    auto& line = lines[Any(lines.size())];
    const auto equals = line.rfind("= ");
    switch (random_() % 5) {
      case 0: line.clear(); break;
      case 1: line = lines[Any(lines.size())]; break;
      case 2: std::swap(line, lines[Any(lines.size())]); break;
      default:
        if (equals != std::string::npos)
          line = line.substr(0, equals + 2) + Values()[Any(Values().size())];
    }
  }

  std::vector<std::string> lines_;
  std::mt19937 random_{7711};
};

void ExpectInOrderOnce(const std::vector<JobError>& errors) {
  for (std::size_t i = 0; i < errors.size(); ++i) {
    EXPECT_GE(errors[i].at.line, 1);
    EXPECT_GE(errors[i].at.column, 1);
    if (i == 0) continue;
    const auto& a = errors[i - 1].at;
    const auto& b = errors[i].at;
    EXPECT_TRUE(a.line < b.line || (a.line == b.line && a.column <= b.column));
    const bool same = a.line == b.line && a.column == b.column;
    EXPECT_FALSE(same && errors[i - 1].message == errors[i].message) << errors[i].message;
  }
}

void ExpectBuildable(const Job& job) {
  for (const auto& part : job.parts) {
    ASSERT_GE(part.stations.size(), 2u);
    EXPECT_GT(part.wall, 0.0);
    EXPECT_FALSE(part.start.empty() || part.finish.empty() || part.start == part.finish);
    for (const auto& s : part.stations) {
      EXPECT_TRUE(s.centre.allFinite());
      const double least = std::min(s.width, s.height);
      const bool box = part.section == SectionKind::box;
      EXPECT_TRUE(part.section != SectionKind::round || s.diameter > 2.0 * part.wall);
      EXPECT_TRUE(!box || least > 2.0 * std::max(s.corner, part.wall));
      EXPECT_EQ(s.outline.size(), s.corners.size());
    }
    for (const auto& fitting : part.fittings) {
      EXPECT_FALSE(fitting.name.empty());
      EXPECT_EQ(fitting.face.has_value(), fitting.kind != FittingKind::eye);
    }
  }
  for (const auto& point : job.points) {
    EXPECT_EQ(point.drill.empty(), point.use != PointUse::drill) << point.name;
    for (const auto& measure : point.rule) EXPECT_TRUE(std::isfinite(measure.value));
  }
}

TEST(ChangedJob, GivesErrorsInOrderOrAJobThatCanBeBuilt) {
  Changer changer;
  int sound = 0;
  int wrong = 0;
  for (int round = 0; round < 3000; ++round) {
    const std::string text = changer.Changed();
    const JobReading reading = ReadJobText(text, "job.toml");
    ExpectInOrderOnce(reading.errors);
    if (reading.ok()) ExpectBuildable(reading.job);
    ++(reading.ok() ? sound : wrong);
    if (HasFailure()) FAIL() << text;
  }
  EXPECT_GT(sound, 100);
  EXPECT_GT(wrong, 1000);
}

}  // namespace
}  // namespace holeward
