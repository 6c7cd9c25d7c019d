#include "models/hole_analysis.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/worst_pose.h"
#include "models/checking.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"

namespace holeward {
namespace {

/// A straight box along the vehicle's width, drilled from its top, with a bar beside the hole.
std::string BoxJob(const std::string& limits, const std::string& marking, const std::string& height,
                   const std::string& point) {
  return fmt::format(R"(
holeward = 1
title = "box"
[set]
number = "T-7"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left"]
posture = "level"
[limits]
{}
[marking]
{}
[tool.drill]
projection = 90
collar = {{ diameter = 3, length = 0.5 }}
[part.box]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
stations = [
  {{ centre = [0, 200, 300], width = 70, height = {}, corner = 8 }},
  {{ centre = [0, 600, 300], width = 70, height = {}, corner = 8 }},
]
[[point]]
name = "P"
use = "drill"
part = "box"
face = "top"
rule = [ {{ square = 200, from = "inner end", toward = "outboard" }}, {{ middle = "face" }} ]
{}
)",
                     limits, marking, height, height, point);
}

const char* const kNoErrors =
    "tape = 0\nrule = 0\nsquare = 0\nmiddle = 0\npunch = 0\ntilt = 0\ndepth = 0\nwall = 0\n"
    "outline = 0\ninner_body = 0\n";

std::string Without(std::string marking, const std::string& line) {
  const auto at = marking.find(line + " = 0\n");
  if (at != std::string::npos) marking.erase(at, line.size() + 5);
  return marking;
}

/// A job, checked and analysed.
struct Analysed {
  Job job;
  Scene scene;
  std::vector<PlacedPoint> placed;
  Checking checking;

  explicit Analysed(const std::string& text) {
    const JobReading reading = ReadJobText(text, "box.toml");
    for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text("box.toml");
    job = reading.job;
    SceneBuild build = BuildScene(job, Side::left);
    for (const JobError& error : build.errors) ADD_FAILURE() << error.message;
    for (const JobError& error : build.failures) ADD_FAILURE() << error.message;
    scene = std::move(build.scene);
    Placing placing = PlacePoints(job, scene, Side::left);
    for (const JobError& error : placing.errors) ADD_FAILURE() << error.message;
    placed = std::move(placing.points);
    checking = CheckPoints(job, scene, placed, Side::left);
  }

  [[nodiscard]] std::vector<HoleAnalysis> All(const AnalysisOptions& options) const {
    const auto analyst = HoleAnalyst::Make(job, scene, placed, Side::left);
    if (!analyst) {
      ADD_FAILURE() << analyst.error().message;
      return {};
    }
    return analyst->AnalyseAll(checking.holes, options);
  }
};

AnalysisOptions Quick(std::uint64_t poses) {
  AnalysisOptions options;
  options.poses = poses;
  options.shares = options.settings = false;
  return options;
}

bool Says(const HoleAnalysis& analysis, const std::string& words) {
  return std::any_of(analysis.advice.begin(), analysis.advice.end(), [&](const std::string& line) {
    return line.find(words) != std::string::npos;
  });
}

// Box 60 high, wall 3: the tip meets the far wall at 57. Set to 56.9 with an error spread evenly
// over ±0.5 it goes deeper than 57 in four cases of ten.
TEST(HoleAnalysis, AnEvenDepthErrorBeforeAFlatWallHasItsClosedFormProbability) {
  const std::string marking = Without(kNoErrors, "depth") + "depth = 0.5\n";
  const Analysed run(BoxJob("", marking, "60", "drill = [6]\nstop = 56.9\n"));
  const auto all = run.All(Quick(200000));
  ASSERT_EQ(all.size(), 1U);
  ASSERT_TRUE(all[0].chance) << all[0].failure;
  EXPECT_EQ(all[0].chance->computed, 200000U);
  EXPECT_EQ(all[0].chance->undecided, 0U);
  // The lower bound of a pose may be 0.01 below: a hundredth of the interval.
  EXPECT_NEAR(all[0].chance->value, 0.4, 0.01 + 5.0 * std::sqrt(0.24 / 200000));
  EXPECT_GE(all[0].chance->value, 0.4 - 5.0 * std::sqrt(0.24 / 200000));
  EXPECT_NEAR(all[0].chance->deviation, 1.0 / std::sqrt(12.0), 0.002);
  ASSERT_TRUE(all[0].worst_pose);
  EXPECT_NEAR(all[0].worst_pose->margin, 57.0 - 57.4, 0.02);
  EXPECT_EQ(all[0].worst_pose->body, "far wall");
}

// A bar Ø10 whose axis passes 9 mm beside a drill Ø6 that goes deep past it: they meet when the bar
// comes more than 9 - 3 - 5 = 1 mm nearer. Displaced evenly in a disc of radius 2 that is a
// circular segment: (acos c - c sqrt(1 - c²)) / pi with c = 1/2.
TEST(HoleAnalysis, ABarBesideTheDrillIsMetWithTheProbabilityOfACircularSegment) {
  const std::string marking = Without(kNoErrors, "inner_body") + "inner_body = 2\n";
  const Analysed run(BoxJob("side = 0", marking, "80",
                            "drill = [6]\nstop = 60\n[[part.box.inner]]\nname = \"bar\"\n"
                            "diameter = 10\noffset = [9, 0, 0]\nreach = [0, 400]\n"));
  const auto all = run.All(Quick(300000));
  ASSERT_EQ(all.size(), 1U);
  ASSERT_TRUE(all[0].chance) << all[0].failure;
  const double exact = (std::acos(0.5) - 0.5 * std::sqrt(0.75)) / kPi;
  EXPECT_NEAR(exact, 0.19550, 1e-5);
  EXPECT_NEAR(all[0].chance->value, exact, 5.0 * std::sqrt(exact * (1.0 - exact) / 300000));
  EXPECT_GT(all[0].chance->upper_95, exact);
  EXPECT_EQ(run.checking.holes[0].verdict, Verdict::contact);
}

TEST(HoleAnalysis, IsTheSameByteForByteOnAnyNumberOfThreads) {
  const Analysed run(BoxJob("", "", "30",
                            "drill = [3, 8]\nstop = \"none\"\n[[part.box.inner]]\nname = \"bar\"\n"
                            "diameter = 10\noffset = [6, 0, 0]\nreach = [0, 400]\n"));
  std::vector<HoleAnalysis> first;
  for (const int threads : {1, 2, 4}) {
    AnalysisOptions options = Quick(50000);
    options.threads = threads;
    options.shares = true;
    const auto all = run.All(options);
    ASSERT_EQ(all.size(), 2U);
    for (std::size_t i = 0; i < all.size(); ++i) {
      ASSERT_TRUE(all[i].chance) << all[i].failure;
      EXPECT_EQ(all[i].chance->computed, 50000U);
      EXPECT_GT(all[i].chance->contacts, 0U);
      if (first.empty()) continue;
      const Chance& a = *first[i].chance;
      const Chance& b = *all[i].chance;
      EXPECT_EQ(a.contacts, b.contacts);
      EXPECT_EQ(std::memcmp(&a.mean, &b.mean, sizeof(double)), 0);
      EXPECT_EQ(std::memcmp(&a.deviation, &b.deviation, sizeof(double)), 0);
      EXPECT_EQ(a.histogram.counts, b.histogram.counts);
      EXPECT_EQ(first[i].worst_pose->margin, all[i].worst_pose->margin);
      ASSERT_EQ(first[i].shares.size(), all[i].shares.size());
      ASSERT_GT(all[i].shares.size(), 3U);
      for (std::size_t k = 0; k < all[i].shares.size(); ++k) {
        EXPECT_EQ(first[i].shares[k].error, all[i].shares[k].error);
        EXPECT_EQ(first[i].shares[k].gain, all[i].shares[k].gain);
        EXPECT_EQ(first[i].shares[k].variance, all[i].shares[k].variance);
      }
    }
    if (first.empty()) first = all;
  }
}

TEST(HoleAnalysis, StopsBetweenHolesWhenToldTo) {
  const Analysed run(BoxJob("", "", "60", "drill = [3, 5, 8]\n"));
  AnalysisOptions options = Quick(2000);
  options.threads = 1;
  int asked = 0;
  options.progress = [&](double share) {
    EXPECT_GE(share, 0.0);
    EXPECT_LE(share, 1.0);
    return ++asked < 2;
  };
  const auto all = run.All(options);
  ASSERT_EQ(all.size(), 3U);
  EXPECT_TRUE(all[0].chance) << all[0].failure;
  for (const std::size_t left : {1U, 2U}) {
    EXPECT_FALSE(all[left].chance);
    EXPECT_EQ(all[left].failure, "the run was stopped");
    EXPECT_EQ(all[left].point, "P");
    EXPECT_EQ(all[left].stage, static_cast<int>(left) + 1);
  }
}

// Taking an error away by itself and checking again must say the same as the short way.
TEST(HoleAnalysis, WithoutTheDepthErrorTheMarginIsThatOfACheckWithoutIt) {
  for (const char* stop : {"stop = 20\n", "stop = \"none\"\n"}) {
    const std::string point = std::string("drill = [3, 8]\n") + stop;
    const Analysed run(BoxJob("", "", "60", point));
    const Analysed without(BoxJob("", "depth = 0\nrun_on = 0\n", "60", point));
    AnalysisOptions options = Quick(2000);
    options.shares = true;
    const auto all = run.All(options);
    ASSERT_EQ(all.size(), 2U);
    for (std::size_t i = 0; i < all.size(); ++i) {
      const auto share = std::find_if(
          all[i].shares.begin(), all[i].shares.end(),
          [](const MarginShare& s) { return s.error == "depth" || s.error == "run_on"; });
      ASSERT_NE(share, all[i].shares.end()) << stop;
      ASSERT_TRUE(share->margin_without);
      EXPECT_EQ(*share->margin_without, *without.checking.holes[i].margin_worst) << stop;
      EXPECT_GT(share->gain, 0.0) << stop;
    }
  }
}

TEST(HoleAnalysis, TheWorstPoseLiesBetweenTheBoundAndTheSamples) {
  const Analysed run(BoxJob("", "", "60", "drill = [3, 8]\n"));
  const auto all = run.All(Quick(100000));
  ASSERT_EQ(all.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    ASSERT_TRUE(all[i].worst_pose) << all[i].failure;
    EXPECT_FALSE(all[i].bound_broken);
    EXPECT_GE(all[i].worst_pose->margin, *run.checking.holes[i].margin_worst - 0.02);
    EXPECT_LE(all[i].worst_pose->margin, all[i].chance->least + 0.02);
    // Proven clear: all poses are decided, a part of them computed.
    EXPECT_EQ(all[i].chance->poses, 100000U);
    EXPECT_EQ(all[i].chance->computed, 20000U);
    EXPECT_EQ(all[i].chance->contacts, 0U);
  }
}

TEST(HoleAnalysis, WithoutItsDepthErrorTheWorstMarginIsGreaterByIt) {
  const Analysed run(BoxJob("", "depth = { minus = 0.3, plus = 0.7 }", "60",
                            "drill = [8]\nstop = 20\n[[part.box.inner]]\nname = \"bar\"\n"
                            "diameter = 10\noffset = [4, 0, -4]\nreach = [0, 400]\n"));
  AnalysisOptions options;
  options.poses = 1000;
  const auto all = run.All(options);
  ASSERT_EQ(all.size(), 1U);
  double sum = 0.0;
  double before = std::numeric_limits<double>::infinity();
  std::vector<std::string> errors;
  for (const MarginShare& share : all[0].shares) {
    errors.push_back(share.error);
    sum += share.variance_share;
    ASSERT_TRUE(share.margin_without) << share.error;
    EXPECT_GE(share.gain, -1e-6) << share.error;
    EXPECT_LE(share.gain, before);
    before = share.gain;
    if (share.error == "depth") {
      EXPECT_NEAR(share.gain, 0.7, 1e-9);
      EXPECT_NEAR(share.variance, 1.0 / 12.0, 0.005);
    }
    // The ball of the bar's displacement, through the cone's slope, at the least its own size; both
    // bounds lie within the search's gap of the worst pose.
    if (share.error == "inner_body") {
      EXPECT_GE(share.gain, 2.0 - WorstPoseSearch{}.gap);
    }
  }
  EXPECT_NEAR(sum, 1.0, 1e-9);
  for (const char* error :
       {"readings", "punch", "tilt", "wall", "outline", "inner_body", "depth"}) {
    EXPECT_NE(std::find(errors.begin(), errors.end(), error), errors.end()) << error;
  }
  EXPECT_EQ(std::find(errors.begin(), errors.end(), "template"), errors.end());
}

TEST(HoleAnalysis, TheStopsItNamesGoThroughAndKeepTheLimitAndNoOthersDo) {
  const std::string point = "drill = [8]\nstop = {}\n";
  const Analysed run(BoxJob("", "", "40", fmt::format(fmt::runtime(point), 12.0)));
  AnalysisOptions options = Quick(1000);
  options.settings = true;
  const auto all = run.All(options);
  ASSERT_TRUE(all[0].stops);
  ASSERT_TRUE(all[0].stops->any());
  EXPECT_TRUE(Says(all[0], "Depth stop:"));
  ASSERT_TRUE(all[0].spacer_length);
  EXPECT_DOUBLE_EQ(*all[0].spacer_length, 90.0 - 12.0);
  EXPECT_TRUE(Says(all[0], "spacer tube"));
  const auto verdict = [&](double stop) {
    return Analysed(BoxJob("", "", "40", fmt::format(fmt::runtime(point), stop))).checking.holes[0];
  };
  const HoleCheck least = verdict(all[0].stops->least);
  EXPECT_TRUE(least.through);
  EXPECT_FALSE(verdict(all[0].stops->least - 0.15).through);
  EXPECT_GE(*verdict(all[0].stops->greatest).margin_worst, 5.0);
  EXPECT_LT(*verdict(all[0].stops->greatest + 0.15).margin_worst, 5.0);
}

TEST(HoleAnalysis, WhereNoStopWouldDoItSaysWhatWould) {
  // 17 high, wall 3: 14 to the far wall.
  const Analysed run(BoxJob("", "", "17", "drill = [8]\n"));
  AnalysisOptions options = Quick(1000);
  options.settings = true;
  const auto all = run.All(options);
  ASSERT_TRUE(all[0].stops);
  EXPECT_FALSE(all[0].stops->any());
  EXPECT_TRUE(Says(all[0], "No stop will do"));
  EXPECT_TRUE(Says(all[0], "A smaller drill would do: Ø"));
  for (const std::string& line : all[0].advice) {
    const auto at = line.find("Ø");
    if (at == std::string::npos) continue;
    // It holds what it promises.
    const double size = std::stod(line.substr(at + std::strlen("Ø")));
    EXPECT_LT(size, 8.0);
    const Analysed smaller(BoxJob("", "", "17", fmt::format("drill = [{}]\n", size)));
    EXPECT_EQ(smaller.checking.holes[0].verdict, Verdict::clear) << size;
  }
}

TEST(HoleAnalysis, AStartFarOffTheNormalNeedsAGuide) {
  AnalysisOptions options = Quick(1000);
  options.settings = true;
  const Analysed steep(
      BoxJob("", "", "60", "drill = [6]\naxis = { toward = \"outboard\", lean = 20 }\n"));
  EXPECT_TRUE(Says(steep.All(options)[0], "a drill guide is needed"));
  const Analysed little(
      BoxJob("", "", "60", "drill = [6]\naxis = { toward = \"outboard\", lean = 10 }\n"));
  EXPECT_FALSE(Says(little.All(options)[0], "a drill guide is needed"));
}

TEST(HoleAnalysis, AProbeOfThePilotPassesAsFarAsTheFarWallAndIsCertifiedForLess) {
  const Analysed run(BoxJob("", "", "60", "drill = [3, 8]\n"));
  const auto all = run.All(Quick(1000));
  ASSERT_TRUE(all[0].probe);
  ASSERT_TRUE(all[0].probe->nominal);
  ASSERT_TRUE(all[0].probe->certified);
  EXPECT_NEAR(*all[0].probe->nominal, 57.0, 0.01);
  EXPECT_LT(*all[0].probe->certified, 57.0 - 1.0);  // the outline error alone
  EXPECT_GT(*all[0].probe->certified, 57.0 - 2.5);
  EXPECT_FALSE(all[1].probe);
}

TEST(HoleAnalysis, AZoneWithoutBoundIsNamedAndHasNoProbability) {
  Analysed run(BoxJob("", "", "60", "drill = [8]\n"));
  for (PlacedPoint& point : run.placed) {
    point.zone.bounded = false;
    for (NominalPlace& nominal : point.nominals) nominal.zone.bounded = false;
  }
  const auto all = run.All(Quick(1000));
  EXPECT_FALSE(all[0].chance);
  EXPECT_FALSE(all[0].failure.empty());
  HoleCheck check = run.checking.holes[0];
  Adopt(all[0], check);
  EXPECT_FALSE(check.probability_contact);
}

TEST(HoleAnalysis, ABrokenBoundLeavesNothingProven) {
  Analysed run(BoxJob("", "", "60", "drill = [8]\n"));
  // As if the bound had promised 5 mm more than there are.
  run.checking.holes[0].margin_worst = *run.checking.holes[0].margin_worst + 5.0;
  const auto all = run.All(Quick(1000));
  EXPECT_TRUE(all[0].bound_broken);
  HoleCheck check = run.checking.holes[0];
  ASSERT_EQ(check.verdict, Verdict::clear);
  Adopt(all[0], check);
  EXPECT_EQ(check.verdict, Verdict::unproven);
  EXPECT_FALSE(check.reasons.empty());
}

TEST(HoleAnalysis, OneSidesAnalysisMirrorsTheOthers) {
  const Analysed run(BoxJob("", "", "60", "drill = [8]\n"));
  const HoleAnalysis analysis = run.All(Quick(1000))[0];
  const HoleAnalysis image = Mirrored(analysis);
  EXPECT_EQ(image.worst_pose->entry.y(), -analysis.worst_pose->entry.y());
  EXPECT_EQ(image.worst_pose->direction.x(), analysis.worst_pose->direction.x());
  EXPECT_EQ(image.worst_pose->margin, analysis.worst_pose->margin);
}

}  // namespace
}  // namespace holeward
