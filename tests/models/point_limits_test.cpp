// The limits of a check to the hair: what is just kept is kept, what is just missed is said. And
// what a verdict rests on that is only assumed.
#include <cmath>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::All;
using testing_tools::CheckedJob;
using testing_tools::kHole;
using testing_tools::kTest;
using testing_tools::kTube;
using testing_tools::Of;
using testing_tools::Says;
using testing_tools::With;

constexpr double kHair = 1e-6;

TEST(PointLimits, AnEdgeDistanceThatIsJustKeptIsKept) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  const double diameters = run.point().edge_distance / 8.0;
  run.job.limits.edge_distance = diameters;
  run.Check();
  EXPECT_FALSE(Says(run.point().reasons, "are wanted")) << All(run.point().reasons);
  run.job.limits.edge_distance = diameters + kHair;
  run.Check();
  EXPECT_TRUE(Says(run.point().reasons, "from 'inner end'")) << All(run.point().reasons);
  EXPECT_EQ(run.point().verdict, Verdict::tight);
}

TEST(PointLimits, ASpacingThatIsJustKeptIsKept) {
  const std::string wider = With(With(kHole, "\"D\"", "\"D2\""), "tape = 200", "tape = 250");
  CheckedJob run = Of(std::string(kTube) + kHole + With(wider, "[8]", "[4, 10]"));
  // The wider of the two holes counts.
  const double diameters = *run.point(0).nearest_hole / 10.0;
  run.job.limits.spacing = diameters;
  run.Check();
  EXPECT_EQ(run.point(0).verdict, Verdict::clear) << All(run.point(0).reasons);
  EXPECT_EQ(run.point(1).verdict, Verdict::clear) << All(run.point(1).reasons);
  run.job.limits.spacing = diameters + kHair;
  run.Check();
  EXPECT_EQ(run.point(0).verdict, Verdict::tight);
  EXPECT_EQ(run.point(1).verdict, Verdict::tight);
}

TEST(PointLimits, HolesOfAnotherPartAreNotNear) {
  const std::string other =
      With(With(With(kTube, "part.tube", "part.bar"), "[0, 100, 300]", "[0, 100, 500]"),
           "[0, 500, 300]", "[0, 500, 500]");
  const CheckedJob run = Of(std::string(kTube) + other + kHole +
                            With(With(kHole, "\"D\"", "\"E\""), "\"tube\"", "\"bar\""));
  ASSERT_EQ(run.checking.points.size(), 2u);
  EXPECT_FALSE(run.point(0).nearest_hole);
  EXPECT_FALSE(run.point(1).nearest_hole);
}

TEST(PointLimits, ASeatGapThatIsJustAllowedIsAllowed) {
  CheckedJob run = Of(std::string(kTube) + kTest);
  run.job.limits.seat_gap = run.point().seat_gap;
  run.Check();
  EXPECT_EQ(run.point().verdict, Verdict::clear) << All(run.point().reasons);
  run.job.limits.seat_gap -= kHair;
  run.Check();
  EXPECT_EQ(run.point().verdict, Verdict::tight);
}

// The skin is gone on with past the end: the foot would be said to sit well over air.
TEST(PointLimits, AFootBeyondAnEndDoesNotSit) {
  for (const double at : {2.0, 3.9, 4.1}) {
    const std::string near = With(kTest, "tape = 120", fmt::format("tape = {}", at));
    CheckedJob run = Of(std::string(kTube) + near);
    run.job.limits.edge_distance = 1e-3;  // not what speaks here
    run.job.limits.seat_gap = 5.0;
    run.Check();
    const bool over = at < 0.5 * run.job.test.foot;
    EXPECT_EQ(Says(run.point().reasons, "beyond an end"), over) << at << All(run.point().reasons);
    EXPECT_EQ(run.point().verdict == Verdict::clear, !over) << at << All(run.point().reasons);
  }
}

// A drill has no foot: near an end its place does not speak of a seat.
TEST(PointLimits, ADrillPointHasNoSeat) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "tape = 200", "tape = 2"));
  EXPECT_FALSE(Says(run.point().reasons, "seat"));
}

TEST(PointLimits, AMarginThatIsJustKeptIsClear) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  const double margin = *run.hole().margin_worst;
  run.job.limits.clearance = margin;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::clear) << All(run.hole().reasons);
  run.job.limits.clearance = margin + kHair;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::tight);
  EXPECT_TRUE(Says(run.hole().reasons, "are left before far wall")) << All(run.hole().reasons);
}

TEST(PointLimits, AMarginOfNothingIsContact) {
  CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[8]\nstop = 12"));
  StopRow& stop = run.job.points[0].stop;
  stop.depth = {*run.hole().stop + *run.hole().margin_worst - kHair};
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::tight) << All(run.hole().reasons);
  stop.depth[0] += 2.0 * kHair;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::contact);
  EXPECT_TRUE(Says(run.hole().reasons, "far wall may be met")) << All(run.hole().reasons);
}

TEST(PointLimits, AStopThatJustGoesThroughDoes) {
  CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[8]\nstop = 12"));
  StopRow& stop = run.job.points[0].stop;
  const double needed = *run.hole().stop_needed;
  stop.depth = {needed};
  run.Check();
  EXPECT_TRUE(run.hole().through) << All(run.hole().reasons);
  EXPECT_EQ(run.hole().verdict, Verdict::clear);
  stop.depth = {needed - 3.0 * kHair};
  run.Check();
  EXPECT_FALSE(run.hole().through);
  EXPECT_EQ(run.hole().verdict, Verdict::tight);
  // What would do is said rounded up.
  const double would = std::ceil(needed * 10.0) / 10.0;
  EXPECT_TRUE(Says(run.hole().reasons, fmt::format("{:.1f} mm would", would)))
      << All(run.hole().reasons);
}

TEST(PointLimits, AReachThatNothingProvesCountsFromItsFirstStationToItsLast) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  const double station = run.placed[0].station;
  const auto verdict_with = [&](double from, double to) {
    run.scene.parts[0].unproven = {{from, to, "a reading that nothing checks"}};
    run.Check();
    return run.hole().verdict;
  };
  EXPECT_EQ(verdict_with(station, station + 10.0), Verdict::unproven);
  EXPECT_TRUE(Says(run.hole().reasons, "a reading that nothing checks"));
  EXPECT_EQ(verdict_with(station - 10.0, station), Verdict::unproven);
  EXPECT_EQ(verdict_with(station + kHair, station + 10.0), Verdict::clear);
  EXPECT_EQ(verdict_with(station - 10.0, station - kHair), Verdict::clear);
}

TEST(PointLimits, AnAssumedWallIsNotProven) {
  const CheckedJob run = Of(std::string(kTube) + "wall_basis = \"assumed\"\n" + kHole);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.hole().reasons, "the wall of part 'tube'")) << All(run.hole().reasons);
}

}  // namespace
}  // namespace holeward
