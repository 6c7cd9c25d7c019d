// The reading that would buy the most margin at the worst hole, and whether it does.
#include "models/next_reading.h"

#include <cmath>
#include <random>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/bench.h"
#include "models/bench_instruments.h"
#include "models/checking.h"
#include "models/placing.h"
#include "models/scene.h"

namespace holeward {
namespace {

// A level tube 60 x 40 with a bar in it; calipers have read all but the height of row 2.
std::string Job(const std::string& spare) {
  std::string rows;
  for (int i = 0; i < 3; ++i) {
    rows += fmt::format(
        "  {{ distance = {}, top = 70, underside = 30, front = 130, rear = 70, width = 60{} }},\n",
        90 * i, i == 1 ? "" : ", height = 40");
  }
  return "holeward = 1\n[part.arm]\nsection = \"box\"\nwall = 3\nstart = \"inner end\"\n"
         "finish = \"outer end\"\n[part.arm.bench]\ncorner = 6\nrows = [\n" +
         rows + "]\nspare = [ { wall = 3, row = 2 }, { girth = 189.7, row = 2 }" + spare +
         " ]\n[[part.arm.inner]]\nname = \"bar\"\ndiameter = 6\n"
         "[[point]]\nname = \"D\"\nuse = \"drill\"\npart = \"arm\"\nface = \"top\"\n"
         "rule = [ { rule = 60, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" "
         "} ]\ndrill = [3.5]\nafter = \"plug\"\n";
}

std::optional<double> WorstMargin(const std::string& text) {
  const JobWithBenches read = ReadBenchJobText(text, "job.toml");
  EXPECT_TRUE(read.reading.ok()) << read.reading.errors[0].Text("job.toml");
  const auto& job = read.reading.job;
  const SceneBuild build = BuildScene(job, Side::left);
  EXPECT_TRUE(build.ok());
  const Placing placing = PlacePoints(job, build.scene, Side::left);
  const Checking check = CheckPoints(job, build.scene, placing.points, Side::left);
  return check.holes.at(0).margin_worst;
}

TEST(NextReading, BuysAboutTheMarginItWasSaidTo) {
  const std::string before = Job("");
  const auto advice = NextReadingAtWorst(ReadBenchJobText(before, "job.toml"));
  ASSERT_TRUE(advice.has_value());
  EXPECT_EQ(advice->point, "D");
  EXPECT_EQ(advice->what, "2 height with the caliper");
  EXPECT_GT(advice->gain, 0.1);
  const auto now = WorstMargin(before);
  ASSERT_TRUE(now.has_value());
  EXPECT_NEAR(*now, advice->margin, 1e-9);
  // Taken with its noise: each time the margin grows by about what was said, on the mean closely.
  std::mt19937_64 random(7);
  std::normal_distribution<double> noise(0.0, InstrumentSigma("caliper", 40.0));
  double sum = 0.0;
  constexpr int kRuns = 4;
  for (int run = 0; run < kRuns; ++run) {
    const auto taken =
        WorstMargin(Job(fmt::format(", {{ height = {:.3f}, row = 2 }}", 40.0 + noise(random))));
    ASSERT_TRUE(taken.has_value());
    EXPECT_NEAR(*taken - *now, advice->gain, 0.3);
    sum += (*taken - *now) / kRuns;
  }
  EXPECT_NEAR(sum, advice->gain, 0.15);
}

TEST(NextReading, SaysNothingWhereTheJobStatesItsOwnErrors) {
  const auto advice = NextReadingAtWorst(
      ReadBenchJobText(Job("") + "[marking]\noutline = 2\nwall = 1\n", "job.toml"));
  ASSERT_TRUE(advice.has_value());
  EXPECT_TRUE(advice->what.empty());
}

}  // namespace
}  // namespace holeward
