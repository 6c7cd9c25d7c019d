// Everything that keeps a hole or a test point from being clear, each brought about alone and said
// by its own sentence.
#include <cmath>
#include <new>
#include <stdexcept>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/seat.h"
#include "models/hole_check.h"
#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::All;
using testing_tools::CheckedJob;
using testing_tools::kHole;
using testing_tools::kRail;
using testing_tools::kTest;
using testing_tools::kTube;
using testing_tools::Of;
using testing_tools::Says;
using testing_tools::With;

/// A pipe along the tube, its middle `aside` (mm) forward of the line of the marks and `below` it.
std::string Pipe(double aside, double below, double diameter, const char* more = "") {
  const double z = 300.0 - 30.15 - below;
  return fmt::format(
      "[[neighbour]]\nname = \"pipe\"\npath = [[{0}, 50, {1}], [{0}, 550, {1}]]\ndiameter = {2}\n"
      "{3}\n",
      aside, z, diameter, more);
}

std::string Bracket(const std::string& more, const char* part = "tube") {
  return fmt::format("[[part.{}.fitting]]\nname = \"bracket\"\nkind = \"bracket\"\n{}\n", part,
                     more);
}

const char* const kRailHole = R"(
[[point]]
name = "D"
use = "drill"
part = "rail"
face = "top"
rule = [ { tape = 300, from = "rear end", toward = "front" }, { middle = "face" } ]
drill = [6]
)";

// ---- The drill's room

// The chuck ends well below the pipe, which the drill itself would have to pass through.
TEST(HoleReasons, APipeAcrossTheDrillIsInItsWay) {
  const CheckedJob run = Of(kTube + Pipe(0, 20, 6) + kHole);
  EXPECT_TRUE(Says(run.hole().reasons, "'pipe' is in the way of the drill"))
      << All(run.hole().reasons);
  EXPECT_FALSE(Says(run.hole().reasons, "of the chuck")) << All(run.hole().reasons);
  EXPECT_LT(run.hole().access, 0.0);
  EXPECT_EQ(run.hole().verdict, Verdict::tight);
  EXPECT_TRUE(Says(run.point().reasons, "no room for its drill")) << All(run.point().reasons);
  EXPECT_EQ(run.point().verdict, Verdict::tight);
}

// From 5 to 9 mm off the axis: past the drill of radius 4, under the collar of radius 8.
TEST(HoleReasons, APipeUnderTheCollarIsInItsWayWhereThereIsACollar) {
  const std::string text = kTube + Pipe(7, 6, 4) + kHole;
  CheckedJob run = Of(text);
  EXPECT_TRUE(Says(run.hole().reasons, "'pipe' is in the way of the collar"))
      << All(run.hole().reasons);
  EXPECT_FALSE(Says(run.hole().reasons, "of the drill")) << All(run.hole().reasons);
  EXPECT_LT(run.hole().access, 0.0);
  EXPECT_EQ(run.hole().verdict, Verdict::tight);
  run.job.drill.collar.length = 0.0;
  run.Check();
  EXPECT_FALSE(Says(run.hole().reasons, "collar")) << All(run.hole().reasons);
  const CheckedJob without = Of(kTube + Pipe(7, 6, 4) + With(kHole, "[8]", "[8]\nstop = \"none\""));
  EXPECT_FALSE(Says(without.hole().reasons, "collar")) << All(without.hole().reasons);
}

// Without a stop the drill runs on beyond breaking through, and the chuck comes that much nearer.
TEST(HoleReasons, WithoutAStopTheChuckComesAsNearAsTheDrillRunsOn) {
  CheckedJob run = Of(kTube + With(kHole, "[8]", "[8]\nstop = \"none\""));
  for (const double run_on : {1.0, 9.0}) {
    run.job.marking.run_on = run_on;
    run.Check();
    const double showing = run.job.drill.projection[0] - run.hole().breakthrough - run_on;
    ASSERT_GT(showing, 5.0);
    EXPECT_NEAR(run.hole().access, showing, 1e-3);
  }
}

// A drill that is in the whole of its length has nothing to show beside the part.
TEST(HoleReasons, ADrillThatIsInUpToTheChuckShowsNothing) {
  CheckedJob run = Of(kTube + Pipe(0, 20, 6) + With(kHole, "[8]", "[8]\nstop = 14"));
  ASSERT_TRUE(Says(run.hole().reasons, "of the drill")) << All(run.hole().reasons);
  run.job.drill.projection = {14.0};
  run.Check();
  EXPECT_FALSE(Says(run.hole().reasons, "of the drill")) << All(run.hole().reasons);
  EXPECT_TRUE(Says(run.hole().reasons, "of the chuck")) << All(run.hole().reasons);
}

TEST(HoleReasons, AChuckOverAFittingOfUnstatedHeightIsUnproven) {
  const std::string bracket = "station = 215\nface = \"bottom\"\nsize = [10, 30]\n";
  const CheckedJob run = Of(kTube + Bracket(bracket) + kHole);
  EXPECT_TRUE(Says(run.hole().reasons,
                   "the height of 'bracket' is not stated and the chuck stands over it"))
      << All(run.hole().reasons);
  EXPECT_FALSE(run.hole().access_known);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.point().reasons, "access of its drill is not known"));
  EXPECT_EQ(run.point().verdict, Verdict::unproven);
  // Beside the chuck's radius of 21 it is only as near as it is.
  const CheckedJob beside =
      Of(kTube + Bracket("station = 230\nface = \"bottom\"\nsize = [10, 30]\n") + kHole);
  EXPECT_TRUE(beside.hole().access_known) << All(beside.hole().reasons);
  EXPECT_GT(beside.hole().access, 0.0);
  EXPECT_LE(beside.hole().access, 30.0 - 5.0 - 21.0 + 1e-3);
}

TEST(HoleReasons, AccessBesideWhatIsOnlyAssumedIsUnproven) {
  const CheckedJob run = Of(kTube + Pipe(60, 60, 6, "basis = \"assumed\"") + kTest + kHole);
  const char* const why = "access rests on 'pipe', which is only assumed";
  EXPECT_TRUE(Says(run.hole().reasons, why)) << All(run.hole().reasons);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.point(0).reasons, why)) << All(run.point(0).reasons);
  EXPECT_EQ(run.point(0).verdict, Verdict::unproven);
}

TEST(HoleReasons, AToolWithoutASizeHasNoAccess) {
  CheckedJob run = Of(std::string(kTube) + kTest + kHole);
  run.job.drill.chuck.diameter = std::nan("");
  run.job.test.body.diameter = std::nan("");
  run.Check();
  EXPECT_TRUE(Says(run.hole().reasons, "access could not be computed")) << All(run.hole().reasons);
  EXPECT_FALSE(run.hole().access_known);
  EXPECT_EQ(run.hole().access, 0.0);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.point(0).reasons, "access could not be computed"));
  EXPECT_EQ(run.point(0).verdict, Verdict::unproven);
  EXPECT_EQ(run.point(0).access, 0.0);
}

// The pipe crosses the second stage's drill only, which shows further.
TEST(HoleReasons, APointsAccessIsThatOfItsWorstStage) {
  for (const char* const projections : {"[30, 60]", "[60, 30]"}) {
    CheckedJob run = Of("[tool.drill]\nprojection = " + std::string(projections) + "\n" + kTube +
                        Pipe(30, 24, 6) + With(kHole, "[8]", "[4, 8]"));
    ASSERT_EQ(run.checking.holes.size(), 2u);
    EXPECT_NE(run.hole(0).access, run.hole(1).access);
    EXPECT_EQ(run.point().access, std::min(run.hole(0).access, run.hole(1).access));
  }
}

// ---- The collar

TEST(HoleReasons, ACollarNoWiderThanTheDrillLandsWithIt) {
  for (const double diameter : {6.0, 8.0}) {
    CheckedJob run = Of(std::string(kTube) + kHole);
    run.job.drill.collar.diameter = diameter;
    run.Check();
    EXPECT_NEAR(*run.hole().stop_needed, run.hole().breakthrough_worst + 1.0 + 0.5, 1e-9);
  }
}

// An arm that is thinner in its middle: its rear is hollow along, and the collar stands on the
// rise.
TEST(HoleReasons, ACollarStandsOnTheRiseOfAHollowSkin) {
  const CheckedJob run = Of(R"(
[part.arm]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-100, 300, 300], width = 80, height = 60, corner = 6 },
  { centre = [-100, 360, 300], width = 60, height = 60, corner = 6 },
  { centre = [-100, 420, 300], width = 80, height = 60, corner = 6 },
]
[[point]]
name = "D"
use = "drill"
part = "arm"
face = "rear"
rule = [ { tape = 63, from = "inner end", toward = "outboard" }, { middle = "face" } ]
drill = [8]
)");
  const auto seat = SeatOf(*run.scene.parts[0].skin, run.placed[0].place, 16.0);
  ASSERT_TRUE(seat);
  ASSERT_GT(seat->highest, 0.1);
  ASSERT_TRUE(run.hole().stop_needed) << All(run.hole().reasons);
  EXPECT_NEAR(*run.hole().stop_needed - run.hole().breakthrough_worst - 1.0 - 0.5,
              8.0 * std::tan(5.0 * kDegree) + seat->highest, 1e-9);
}

// Where the skin turns away under the collar there is no rise to stand on.
TEST(HoleReasons, ACollarWiderThanThePartHasItsLeanAlone) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.job.drill.collar.diameter = 70.0;
  run.Check();
  EXPECT_NEAR(*run.hole().stop_needed - run.hole().breakthrough_worst - 1.0 - 0.5,
              35.0 * std::tan(5.0 * kDegree), 1e-9);
}

// ---- What is met

TEST(HoleReasons, ADrillThatMayLeanMoreThanItsSearchHoldsIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.job.marking.tilt_rad = {61.0 * kDegree, 61.0 * kDegree};
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_TRUE(Says(run.hole().reasons, "over the stated errors: ")) << All(run.hole().reasons);
}

// A pipe that the straight drill passes by and a leaning one may meet.
TEST(HoleReasons, WhatOnlyALeaningDrillMeetsIsUnproven) {
  const std::string pipe =
      "[[neighbour]]\nname = \"pipe\"\npath = [[-300, 408.5, 308], [300, 408.5, 308]]\ndiameter = "
      "8\n";
  const CheckedJob run = Of(kRail + pipe + kRailHole);
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_TRUE(Says(run.hole().reasons, "pipe")) << All(run.hole().reasons);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_FALSE(run.hole().margin || run.hole().margin_worst || run.hole().free_depth);
}

TEST(HoleReasons, WhatIsMetFirstAndOnlyAssumedIsUnproven) {
  const auto verdict = [](const char* basis) {
    const std::string pipe = fmt::format(
        "[[neighbour]]\nname = \"pipe\"\npath = [[-300, 400, 250], [300, 400, 250]]\n"
        "diameter = 8\nbasis = \"{}\"\n",
        basis);
    const CheckedJob run = Of(kRail + pipe + kRailHole);
    EXPECT_EQ(run.hole().first_contact->body, "pipe");
    EXPECT_EQ(Says(run.hole().reasons, "it rests on 'pipe', which is only assumed"),
              std::string(basis) == "assumed")
        << All(run.hole().reasons);
    return run.hole().verdict;
  };
  EXPECT_EQ(verdict("measured"), Verdict::clear);
  EXPECT_EQ(verdict("assumed"), Verdict::unproven);
}

// ---- Spacing

const char* const kShared = R"(
[part.tube]
section = "round"
shared = true
diameter = 60.3
wall = 5
from = [0, -400, 300]
to = [0, 400, 300]
start = "inner end"
finish = "outer end"
)";

std::string SharedHole(const std::string& name, double y, const char* more = "") {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"drill\"\npart = \"tube\"\nrule = [ {{ tape = {}, from = "
      "\"outer end\", toward = \"inboard\" }}, {{ line = \"bottom\" }} ]\ndrill = [8]\n{}\n",
      name, 400.0 - y, more);
}

// E is at 100 mm on the right side only: described as of the left, its mirror image is 20 mm off D.
TEST(HoleReasons, AHoleThatOnlyTheOtherSideHasCountsWhereItWillBe) {
  CheckedJob run = Of(kShared + SharedHole("D", 80) + SharedHole("E", -100, "only = \"right\""));
  run.job.sides = {Side::left, Side::right};
  run.Check();
  ASSERT_EQ(run.checking.points.size(), 1u);
  ASSERT_TRUE(run.point().nearest_hole);
  EXPECT_NEAR(*run.point().nearest_hole, 20.0, 1e-3);
  EXPECT_TRUE(Says(run.point().reasons, "from hole 'E of the other side'"))
      << All(run.point().reasons);
  EXPECT_EQ(run.point().verdict, Verdict::tight);
  // One side alone has no holes of the other.
  run.job.sides = {Side::left};
  run.Check();
  EXPECT_FALSE(run.point().nearest_hole);
  // And on a part of each side they are those of another part.
  run.job.sides = {Side::left, Side::right};
  run.scene.parts[0].shared = false;
  run.Check();
  EXPECT_FALSE(run.point().nearest_hole);
}

TEST(HoleReasons, AHoleInTheCentrePlaneIsItsOwnMirrorImage) {
  CheckedJob run = Of(kShared + SharedHole("D", 0));
  run.job.sides = {Side::left, Side::right};
  run.Check();
  EXPECT_FALSE(run.point().nearest_hole);
  EXPECT_EQ(run.point().verdict, Verdict::clear) << All(run.point().reasons);
}

TEST(HoleReasons, AHoleLimitedToOneSideHasNoTwin) {
  CheckedJob run = Of(kShared + SharedHole("D", 10, "only = \"left\""));
  run.job.sides = {Side::left, Side::right};
  run.Check();
  EXPECT_FALSE(run.point().nearest_hole);
}

TEST(HoleReasons, AHoleThatIsThereAlreadyCountsForSpacing) {
  const CheckedJob run =
      Of(std::string(kTube) +
         "[[part.tube.fitting]]\nname = \"drain\"\nkind = \"hole\"\nface = \"bottom\"\n"
         "station = 220\ndiameter = 12\n" +
         kHole);
  ASSERT_TRUE(run.point().nearest_hole);
  EXPECT_NEAR(*run.point().nearest_hole, 20.0, 1e-3);
  EXPECT_TRUE(Says(run.point().reasons, "'drain', at least 36.0 mm")) << All(run.point().reasons);
}

// ---- Points that cannot be checked

TEST(HoleReasons, APointWhosePartIsMissingIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kTest + With(kHole, "[8]", "[4, 8]"));
  for (PlacedPoint& point : run.placed) point.part = "ghost";
  run.Check();
  ASSERT_EQ(run.checking.points.size(), 2u);
  ASSERT_EQ(run.checking.holes.size(), 2u);
  for (const PointCheck& point : run.checking.points) {
    EXPECT_EQ(point.verdict, Verdict::unproven);
    EXPECT_FALSE(point.access_known);
    EXPECT_TRUE(Says(point.reasons, "its part is not there")) << All(point.reasons);
  }
  EXPECT_TRUE(run.point(0).test);
  EXPECT_FALSE(run.point(1).test);
  for (int i : {0, 1}) {
    EXPECT_EQ(run.hole(i).verdict, Verdict::unproven);
    EXPECT_EQ(run.hole(i).stage, i + 1);
    EXPECT_EQ(run.hole(i).diameter, i == 0 ? 4.0 : 8.0);
    EXPECT_TRUE(Says(run.hole(i).reasons, "its part is not there"));
  }
}

TEST(HoleReasons, EachNumberOfAPlaceMustBeFinite) {
  const auto refused = [](auto spoil) {
    CheckedJob run = Of(std::string(kTube) + kTest);
    spoil(run.placed[0]);
    run.Check();
    return run.point().verdict == Verdict::unproven &&
           Says(run.point().reasons, "its place is not a finite number");
  };
  const double nan = std::nan("");
  EXPECT_FALSE(refused([](PlacedPoint&) {}));
  EXPECT_TRUE(refused([&](PlacedPoint& p) { p.place.u = nan; }));
  EXPECT_TRUE(refused([&](PlacedPoint& p) { p.place.v = nan; }));
  EXPECT_TRUE(refused([&](PlacedPoint& p) { p.position.x() = nan; }));
  EXPECT_TRUE(refused([&](PlacedPoint& p) { p.normal.y() = nan; }));
  EXPECT_TRUE(refused([&](PlacedPoint& p) {
    p.nominals.resize(1);
    p.nominals[0].position.z() = nan;
  }));
}

TEST(HoleReasons, AFootWiderThanThePartHasNoSeat) {
  CheckedJob run = Of(std::string(kTube) + kTest + kHole);
  run.job.test.foot = 70.0;
  run.Check();
  EXPECT_TRUE(Says(run.point(0).reasons, "the seat gap could not be computed: the skin does not"))
      << All(run.point(0).reasons);
  EXPECT_EQ(run.point(0).verdict, Verdict::unproven);
  EXPECT_FALSE(Says(run.point(1).reasons, "seat")) << All(run.point(1).reasons);
}

TEST(HoleReasons, AnAxisThatDoesNotEnterThePartIsSaid) {
  const auto says = [](const char* axis, const char* sentence) {
    const CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", std::string("[8]\n") + axis));
    EXPECT_EQ(run.hole().verdict, Verdict::unproven);
    EXPECT_TRUE(Says(run.hole().reasons, sentence)) << All(run.hole().reasons);
  };
  says("axis = \"down\"", "drilled 'down' the tip does not go into the part here");
  says("axis = { toward = \"up\", lean = 10 }",
       "a lean toward 'up' says nothing here: the skin faces that way");
  const auto unknown =
      AxisOf({AxisRow::Kind::direction, "sideways", 0.0}, Side::left, Vec3(0.0, 0.0, -1.0));
  ASSERT_FALSE(unknown);
  EXPECT_EQ(unknown.error().message, "'sideways' is not a direction the tip can travel");
}

// Whatever fails within is this hole's alone; want of memory is nobody's answer.
TEST(HoleReasons, AnUnforeseenFailureLeavesTheHoleUnproven) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[4, 8]"));
  const auto surroundings = Surroundings::Make(run.scene, run.job.marking);
  ASSERT_TRUE(surroundings);
  HoleSite site{
      run.job, run.scene, run.scene.parts[0], *surroundings, run.job.points[0], run.placed[0],
      {},      {}};
  site.axis = [](const Vec3&) -> Vec3 { throw std::runtime_error("out of order"); };
  const HoleCheck check = CheckStage(site, site, 1);
  EXPECT_EQ(check.verdict, Verdict::unproven);
  EXPECT_EQ(check.stage, 2);
  EXPECT_EQ(check.diameter, 8.0);
  EXPECT_FALSE(check.access_known);
  EXPECT_EQ(All(check.reasons), "the check failed: out of order; ");
  site.axis = [](const Vec3&) -> Vec3 { throw std::bad_alloc(); };
  EXPECT_THROW((void)CheckStage(site, site, 0), std::bad_alloc);
}

TEST(HoleReasons, PointsThatAreNoTestsProveNothing) {
  PointCheck point;
  point.verdict = Verdict::clear;
  EXPECT_EQ(OverallVerdict({}, {point}), Verdict::unproven);
  point.test = true;
  EXPECT_EQ(OverallVerdict({}, {point}), Verdict::clear);
}

}  // namespace
}  // namespace holeward
