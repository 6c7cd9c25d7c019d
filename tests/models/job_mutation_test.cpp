// Jobs changed value by value and line by line: whatever is written in a job, reading it ends,
// gives errors in order at places in the file, or a job whose sizes can be built.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "tests/models/changed_job.h"

namespace holeward {
namespace {

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
  testing_tools::JobChanger changer;
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
