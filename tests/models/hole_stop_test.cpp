// The depth stop: how early its collar lands, and one stop for several stages.
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::All;
using testing_tools::CheckedJob;
using testing_tools::kHole;
using testing_tools::kTube;
using testing_tools::Of;
using testing_tools::With;

/// What a proposed stop allows for the collar, mm: what it is beyond break-through, 1 mm to pass
/// and 0.5 mm of setting.
double CollarShare(const HoleCheck& hole) {
  return *hole.stop_needed - hole.breakthrough_worst - 1.0 - 0.5;
}

TEST(HoleStop, OneDepthHoldsForEveryStage) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[4, 6, 8]\nstop = 11.5"));
  ASSERT_EQ(run.checking.holes.size(), 3u);
  for (std::size_t i = 0; i < 3; ++i) {
    ASSERT_TRUE(run.hole(i).stop);
    EXPECT_DOUBLE_EQ(*run.hole(i).stop, 11.5) << i;
  }
}

// A drill that keeps its direction while the skin turns under it: on a tube of radius R, off the
// mark by r the normal has turned by asin(r / R), and the collar of 16 mm lands so much earlier.
TEST(HoleStop, AnAxisOfItsOwnLeansByTheTurnOfTheSkin) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[8]\naxis = \"up\""));
  const HoleCheck& hole = run.hole();
  ASSERT_TRUE(hole.stop_needed) << All(hole.reasons);
  const double turn = std::asin(run.placed[0].zone.radius / 30.15);
  EXPECT_GT(turn, 1.5 * kDegree) << "the zone is wide enough to turn the skin";
  EXPECT_GE(CollarShare(hole), 8.0 * std::tan(5.0 * kDegree + turn) - 1e-6);
  EXPECT_LE(CollarShare(hole), 8.0 * std::tan(5.0 * kDegree + 1.5 * turn));
}

// Along the normal nothing turns: the drill's own lean is all.
TEST(HoleStop, AnAxisAlongTheNormalTurnsWithTheSkin) {
  const CheckedJob run = Of(std::string(kTube) + kHole);
  EXPECT_NEAR(CollarShare(run.hole()), 8.0 * std::tan(5.0 * kDegree), 1e-6);
}

// Leant by the job, that much more.
TEST(HoleStop, ALeaningAxisLandsEarlierByItsLean) {
  const CheckedJob run = Of(std::string(kTube) +
                            With(kHole, "[8]", "[8]\naxis = { toward = \"outboard\", lean = 12 }"));
  ASSERT_TRUE(run.hole().stop_needed) << All(run.hole().reasons);
  EXPECT_NEAR(CollarShare(run.hole()), 8.0 * std::tan(17.0 * kDegree), 1e-3);
}

// Six millimetres from where a flat falls away by 70 degrees, drilled straight down: a mark that
// may lie beyond the bend has no known seat for the collar.
TEST(HoleStop, ASkinThatTurnsTooFarUnderTheAxisHasNoSeatForTheCollar) {
  CheckedJob run = Of(R"(
[marking]
tape = 0
square = 0
tilt = 0
punch = 0
wall = 0
outline = 0
[part.arm]
section = "outline"
wall = 1
start = "inner end"
finish = "outer end"
outline = [[-60, -100], [72.8, -100], [0, 100], [-60, 100]]
corner = 3
stations = [[-200, 200, 300], [-200, 700, 300]]
[[point]]
name = "D"
use = "drill"
part = "arm"
face = "top"
rule = [ { tape = 250, from = "inner end", toward = "outboard" },
         { square = 6, from = "front edge", toward = "rear", edge = "sharp" } ]
drill = [1]
axis = "down"
)");
  const auto widen = [&](double radius) {
    run.placed.at(0).zone.radius = radius;
    for (NominalPlace& nominal : run.placed[0].nominals) nominal.zone.radius = radius;
    run.Check();
  };
  widen(2.0);
  EXPECT_TRUE(run.hole().stop_needed) << All(run.hole().reasons);
  widen(8.0);
  EXPECT_FALSE(run.hole().stop_needed);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(All(run.hole().reasons),
            "the skin turns more than 60 degrees within the marking zone; ");
}

}  // namespace
}  // namespace holeward
