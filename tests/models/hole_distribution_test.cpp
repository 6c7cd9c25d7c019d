// Errors drawn with the distribution that the job states for each.
#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/random.h"
#include "models/checking.h"
#include "models/hole_analysis.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/pose_sampler.h"
#include "models/scene.h"

namespace holeward {
namespace {

const char* const kWords[] = {"rectangular", "triangular", "normal"};
const char* const kNone =
    "square = 0\nmiddle = 0\npunch = 0\ntilt = 0\nwall = 0\noutline = 0\ninner_body = {}\n"
    "depth = {}\n";

/// Every key of [marking.distribution] at this word.
std::string AllAt(const std::string& word) {
  std::string text = "[marking.distribution]\n";
  for (const DistributionKey& key : kDistributionKeys) {
    text += fmt::format("{} = \"{}\"\n", key.key, word);
  }
  return text;
}

/// A straight box along the vehicle's width, wall 3, drilled from its top, a bar in it.
struct BoxRun {
  Job job;
  Scene scene;
  std::vector<PlacedPoint> placed;
  Checking checking;
  Side side;

  BoxRun(const std::string& marking, const std::string& hole, double aside, Side which = Side::left)
      : side(which) {
    const JobReading reading = ReadJobText(
        fmt::format("holeward = 1\ntitle = \"box\"\n[set]\nnumber = \"T-9\"\nrevision = \"A\"\n"
                    "[vehicle]\ndescribed_side = \"left\"\nsides = [\"left\", \"right\"]\n"
                    "posture = \"level\"\n[limits]\nside = 0\n[marking]\n{}\n[tool.drill]\n"
                    "projection = 90\ncollar = {{ diameter = 3, length = 0.5 }}\n[part.box]\n"
                    "section = \"box\"\nwall = 3\nstart = \"inner end\"\nfinish = \"outer end\"\n"
                    "stations = [\n"
                    "  {{ centre = [0, 200, 300], width = 70, height = 60, corner = 8 }},\n"
                    "  {{ centre = [0, 600, 300], width = 70, height = 60, corner = 8 }},\n]\n"
                    "[[part.box.inner]]\nname = \"bar\"\ndiameter = 10\noffset = [{}, 0, 0]\n"
                    "reach = [0, 400]\n[[point]]\nname = \"P\"\nuse = \"drill\"\npart = \"box\"\n"
                    "face = \"top\"\nrule = [ {{ square = 200, from = \"inner end\", toward = "
                    "\"outboard\" }}, {{ middle = \"face\" }} ]\n{}\n",
                    marking, aside, hole),
        "box.toml");
    for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text("box.toml");
    job = reading.job;
    SceneBuild build = BuildScene(job, side);
    for (const JobError& error : build.errors) ADD_FAILURE() << error.message;
    scene = std::move(build.scene);
    Placing placing = PlacePoints(job, scene, side);
    for (const JobError& error : placing.errors) ADD_FAILURE() << error.message;
    placed = std::move(placing.points);
    checking = CheckPoints(job, scene, placed, side);
  }

  [[nodiscard]] HoleAnalysis Analysis(std::uint64_t poses, bool shares = false) const {
    const auto analyst = HoleAnalyst::Make(job, scene, placed, side);
    AnalysisOptions options;
    options.poses = poses;
    options.shares = shares;
    options.settings = false;
    if (analyst && checking.holes.size() == 1) {
      return analyst->AnalyseAll(checking.holes, options)[0];
    }
    ADD_FAILURE() << "there is not one hole to analyse";
    return {};
  }
};

std::string Marking(double inner_body, double depth, const std::string& word) {
  return fmt::format(fmt::runtime(kNone), inner_body, depth) + AllAt(word);
}

double Sigma(double p, double poses) { return std::sqrt(p * (1.0 - p) / poses); }

// The tip meets the far wall at 57. Set to 56.9 with an error of ±0.5 it touches where the error is
// beyond 0.1: a triangle's corner (1 - 0.2)²/2, a cut normal's tail beyond 0.6 deviations.
TEST(HoleDistribution, ADepthErrorBeforeAFlatWallHasItsClosedFormProbability) {
  const double kept = std::erf(3.0 / std::sqrt(2.0));
  const double exact[] = {0.4, 0.32, 0.5 * (1.0 - std::erf(0.6 / std::sqrt(2.0)) / kept)};
  const double phi = std::exp(-4.5) / std::sqrt(2.0 * kPi);
  const double deviation[] = {0.5 / std::sqrt(3.0), 0.5 / std::sqrt(6.0),
                              0.5 / 3.0 * std::sqrt(1.0 - 6.0 * phi / kept)};
  for (std::size_t i = 0; i < 3; ++i) {
    const BoxRun run(Marking(0.0, 0.5, kWords[i]), "drill = [6]\nstop = 56.9\n", 20.0);
    const HoleAnalysis analysis = run.Analysis(200000);
    ASSERT_TRUE(analysis.chance) << analysis.failure;
    const double sigma = Sigma(exact[i], 200000);
    // The lower bound of a pose may be 0.01 below; the density is at most 2.4 a millimetre.
    EXPECT_GE(analysis.chance->value, exact[i] - 5.0 * sigma) << kWords[i];
    EXPECT_LE(analysis.chance->value, exact[i] + 5.0 * sigma + 0.024) << kWords[i];
    EXPECT_NEAR(analysis.chance->deviation, deviation[i], 0.002) << kWords[i];
    // The search goes to the ends of what is stated, whatever the distribution.
    ASSERT_TRUE(analysis.worst_pose);
    EXPECT_NEAR(analysis.worst_pose->margin, 57.0 - 57.4, 0.02) << kWords[i];
  }
}

/// P(x > c) of a point in the unit disc whose radius has this density (Simpson's rule over
/// r = c + (1 - c) t², where the arc's square root is smooth).
double Beyond(double c, const std::function<double(double)>& density) {
  constexpr int kSteps = 2000;
  double sum = 0.0;
  for (int i = 0; i <= kSteps; ++i) {
    const double t = static_cast<double>(i) / kSteps;
    const double r = c + (1.0 - c) * t * t;
    const double value = density(r) * std::acos(c / r) / kPi * 2.0 * (1.0 - c) * t;
    sum += value * (i == 0 || i == kSteps ? 1.0 : (i % 2 == 1 ? 4.0 : 2.0));
  }
  return sum / (3.0 * kSteps);
}

// A bar Ø10 whose axis passes 9 mm beside a drill Ø6: they meet where it comes more than 1 mm
// nearer, of the 2 mm that it may.
TEST(HoleDistribution, ABarDisplacedInADiscIsMetAsItsRadialDensitySays) {
  const std::function<double(double)> density[] = {
      [](double r) { return 2.0 * r; }, [](double r) { return 6.0 * r * (1.0 - r); },
      [](double r) { return 9.0 * r * std::exp(-4.5 * r * r) / -std::expm1(-4.5); }};
  EXPECT_NEAR(Beyond(0.5, density[0]), (std::acos(0.5) - 0.5 * std::sqrt(0.75)) / kPi, 1e-9);
  for (std::size_t i = 0; i < 3; ++i) {
    const double exact = Beyond(0.5, density[i]);
    const BoxRun run(Marking(2.0, 0.0, kWords[i]), "drill = [6]\nstop = 50\n", 9.0);
    const HoleAnalysis analysis = run.Analysis(300000);
    ASSERT_TRUE(analysis.chance) << analysis.failure;
    EXPECT_NEAR(analysis.chance->value, exact, 5.0 * Sigma(exact, 300000)) << kWords[i];
  }
}

// Run-on from 0 to L with its mode at 0: variance L²/18 (Evans, Hastings and Peacock, Statistical
// Distributions), evenly L²/12. It is not the stop's error: that has its own word.
TEST(HoleDistribution, RunOnHasItsModeAtNothingAndItsOwnWord) {
  const std::string none = fmt::format(fmt::runtime(kNone), 0.0, 0.5);
  const auto variance = [&](const std::string& words) {
    const BoxRun run(none + "run_on = 6\n[marking.distribution]\n" + words,
                     "drill = [6]\nstop = \"none\"\n", 20.0);
    for (const MarginShare& share : run.Analysis(2000, true).shares) {
      if (share.error == "run_on") return share.variance;
    }
    return std::nan("");
  };
  EXPECT_NEAR(variance(""), 3.0, 0.15);
  EXPECT_NEAR(variance("depth = \"triangular\"\n"), 3.0, 0.15);
  EXPECT_NEAR(variance("run_on = \"triangular\"\n"), 2.0, 0.15);
  // Half a cut normal of deviation 2: 4 (cut second moment - mean²).
  const double kept = std::erf(3.0 / std::sqrt(2.0));
  const double mean = std::sqrt(2.0 / kPi) * -std::expm1(-4.5) / kept;
  const double second = 1.0 - 6.0 * std::exp(-4.5) / std::sqrt(2.0 * kPi) / kept;
  EXPECT_NEAR(variance("run_on = \"normal\"\n"), 4.0 * (second - mean * mean), 0.15);
}

TEST(HoleDistribution, NoneAlterTheCertifiedMarginOrUndercutIt) {
  std::optional<double> certified;
  for (const char* stop : {"stop = 24\n", "stop = \"none\"\n"}) {
    certified.reset();
    for (const char* word : kWords) {
      const BoxRun run("tilt = 4\n" + AllAt(word), std::string("drill = [8]\n") + stop, 4.0);
      const HoleCheck& check = run.checking.holes.at(0);
      ASSERT_TRUE(check.margin_worst);
      if (certified) {
        EXPECT_EQ(*check.margin_worst, *certified) << word;
      }
      certified = check.margin_worst;
      const HoleAnalysis analysis = run.Analysis(20000);
      ASSERT_TRUE(analysis.chance) << analysis.failure;
      EXPECT_FALSE(analysis.bound_broken);
      EXPECT_EQ(analysis.chance->computed, 20000U);
      EXPECT_GE(analysis.chance->least, *certified) << word;
      ASSERT_TRUE(analysis.worst_pose);
      EXPECT_GE(analysis.worst_pose->margin, *certified - 0.02) << word;
    }
  }
}

TEST(HoleDistribution, SaidToBeRectangularIsTheSameByteForByteAsLeftOut) {
  const std::string hole = "drill = [8]\nstop = 24\n";
  const HoleAnalysis left_out = BoxRun("", hole, 4.0).Analysis(20000, true);
  const HoleAnalysis said = BoxRun(AllAt("rectangular"), hole, 4.0).Analysis(20000, true);
  const HoleAnalysis normal = BoxRun(AllAt("normal"), hole, 4.0).Analysis(20000, true);
  ASSERT_TRUE(left_out.chance && said.chance && normal.chance);
  EXPECT_EQ(left_out.chance->mean, said.chance->mean);
  EXPECT_EQ(left_out.chance->deviation, said.chance->deviation);
  EXPECT_EQ(left_out.chance->histogram.counts, said.chance->histogram.counts);
  EXPECT_LT(normal.chance->deviation, 0.75 * said.chance->deviation);
  ASSERT_EQ(left_out.shares.size(), said.shares.size());
  ASSERT_EQ(left_out.shares.size(), normal.shares.size());
  ASSERT_GT(said.shares.size(), 5U);
  for (std::size_t i = 0; i < said.shares.size(); ++i) {
    EXPECT_EQ(left_out.shares[i].variance, said.shares[i].variance);
    // The worst case knows no distribution; the variance does.
    EXPECT_EQ(normal.shares[i].error, said.shares[i].error);
    EXPECT_EQ(normal.shares[i].gain, said.shares[i].gain);
    if (said.shares[i].variance > 1e-3) {
      EXPECT_LT(normal.shares[i].variance, 0.75 * said.shares[i].variance) << said.shares[i].error;
    }
  }
}

TEST(HoleDistribution, LeftOutTheNumbersOfAPoseAreTheVeryOnesOfTheCounter) {
  for (const char* word : kWords) {
    const BoxRun run(AllAt(word), "drill = [8]\nstop = 24\n", 4.0);
    const auto surroundings = Surroundings::Make(run.scene, run.job.marking);
    ASSERT_TRUE(surroundings);
    const HoleSite site{run.job,
                        run.scene,
                        *run.scene.FindPart("box"),
                        *surroundings,
                        run.job.points[0],
                        run.placed[0],
                        {},
                        {}};
    const auto ready = MakeSite(site);
    ASSERT_TRUE(ready);
    const auto sampler = PoseSampler::Make(*ready, true);
    ASSERT_TRUE(sampler);
    std::vector<double> even(sampler->size());
    std::vector<double> shaped(sampler->size());
    std::size_t moved = 0;
    for (std::uint64_t pose = 0; pose < 100; ++pose) {
      UniformsOf(3, pose, even);
      sampler->NumbersOfPose(3, pose, shaped);
      for (std::size_t i = 0; i < even.size(); ++i) moved += even[i] != shaped[i] ? 1U : 0U;
      // One error at a time gives the same numbers.
      std::vector<double> one_by_one = even;
      for (std::size_t i = 0; i < kErrorSources; ++i) {
        sampler->DrawOne(static_cast<ErrorSource>(i), 3, pose, one_by_one);
      }
      EXPECT_EQ(one_by_one, shaped);
    }
    // Ten errors of this part: two readings, three discs, tilt, wall, outline, depth, the bar.
    EXPECT_EQ(moved, word == std::string("rectangular") ? 0U : 1000U) << word;
  }
}

TEST(HoleDistribution, BothSidesAreAsLikely) {
  for (const char* word : {"triangular", "normal"}) {
    const std::string marking = "inner_body = { minus = 2, plus = 2 }\n" + AllAt(word);
    const std::string hole = "drill = [6]\nstop = 50\n";
    const HoleAnalysis left = BoxRun(marking, hole, 9.0, Side::left).Analysis(40000);
    const HoleAnalysis right = BoxRun(marking, hole, 9.0, Side::right).Analysis(40000);
    ASSERT_TRUE(left.chance && right.chance);
    const double p = left.chance->value;
    EXPECT_GT(p, 0.01);
    EXPECT_LT(p, 0.99);
    EXPECT_NEAR(right.chance->value, p, 5.0 * std::sqrt(2.0) * Sigma(p, 40000)) << word;
    EXPECT_EQ(Mirrored(left).chance->value, p);
    EXPECT_EQ(Mirrored(left).chance->histogram.counts, left.chance->histogram.counts);
  }
}

}  // namespace
}  // namespace holeward
