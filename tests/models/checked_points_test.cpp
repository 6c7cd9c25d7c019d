// Which points are checked, and what of a job and a scene counts for them.
#include <cmath>
#include <functional>
#include <limits>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

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

TEST(CheckedPoints, APointThatTheJobDoesNotKnowIsLeftOut) {
  CheckedJob run = Of(std::string(kTube) + kTest + kHole);
  run.placed[1].name = "ghost";
  run.Check();
  ASSERT_EQ(run.checking.points.size(), 1u);
  EXPECT_EQ(run.point().point, "P");
  EXPECT_TRUE(run.checking.holes.empty());
  EXPECT_FALSE(run.point().nearest_hole);
}

// Without a stage there is no hole to prove; its edge distance is that of a test tip.
TEST(CheckedPoints, ADrillPointWithoutStagesHasNoHole) {
  CheckedJob run = Of(std::string(kTube) + With(kHole, "tape = 200", "tape = 5"));
  EXPECT_TRUE(Says(run.point().reasons, "at least 16.0 mm are wanted")) << All(run.point().reasons);
  run.job.points[0].drill.clear();
  run.Check();
  EXPECT_TRUE(run.checking.holes.empty());
  EXPECT_TRUE(Says(run.point().reasons, "at least 6.0 mm are wanted")) << All(run.point().reasons);
}

// Both stages stand under the fitting: known once is not enough.
TEST(CheckedPoints, AccessUnknownAtEveryStageIsUnknown) {
  const CheckedJob run = Of(std::string(kTube) +
                            "[[part.tube.fitting]]\nname = \"bracket\"\nkind = \"bracket\"\n"
                            "station = 215\nface = \"bottom\"\nsize = [10, 30]\n" +
                            With(kHole, "[8]", "[4, 8]"));
  ASSERT_EQ(run.checking.holes.size(), 2u);
  EXPECT_FALSE(run.hole(0).access_known || run.hole(1).access_known);
  EXPECT_FALSE(run.point().access_known);
  EXPECT_EQ(run.point().verdict, Verdict::unproven);
}

TEST(CheckedPoints, AHoleThatItsDrillCannotMakeIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.job.drill.point_angle_rad = 0.0;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_TRUE(Says(run.hole().reasons, "a drill's point angle is between 0 and 180 degrees"))
      << All(run.hole().reasons);
}

// A wide flat of thin metal lets a drill lean far: the depths are computed, and no collar lands.
TEST(CheckedPoints, ADrillThatLeansTooFarForItsCollarIsUnproven) {
  CheckedJob run = Of(R"(
[marking]
tape = 0
rule = 0
punch = 0
middle = 0
[part.arm]
section = "box"
wall = 1
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-100, 200, 300], width = 400, height = 400, corner = 6 },
  { centre = [-100, 900, 300], width = 400, height = 400, corner = 6 },
]
[[point]]
name = "D"
use = "drill"
part = "arm"
face = "rear"
rule = [ { tape = 350, from = "inner end", toward = "outboard" }, { middle = "face" } ]
drill = [2]
axis = { toward = "outboard", lean = 40 }
)");
  run.job.marking.tilt_rad = {41.0 * kDegree, 41.0 * kDegree};
  run.Check();
  EXPECT_TRUE(Says(run.hole().reasons, "the drill leans so far that its collar has no seat"))
      << All(run.hole().reasons);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_FALSE(run.hole().stop_needed);
  // Without a stop there is no collar to land.
  run.job.points[0].stop.kind = StopRow::Kind::none;
  run.Check();
  EXPECT_FALSE(Says(run.hole().reasons, "collar")) << All(run.hole().reasons);
  EXPECT_FALSE(run.hole().stop_needed);
}

// The doubled wall is nearer by its thickness; the bar behind it is where it was.
TEST(CheckedPoints, ALapLeavesWhatIsInsideWhereItIs) {
  const std::string bar =
      "[[part.tube.inner]]\nname = \"bar\"\ndiameter = 16\noffset = [0, 0, 0]\nreach = [0, 400]\n";
  const std::string lap = "[[part.tube.lap]]\nname = \"end lap\"\nwall = 1.5\nreach = [150, 260]\n";
  const std::string hole = With(kHole, "[8]", "[4]\nstop = 12");
  const CheckedJob bare = Of(kTube + bar + hole);
  const CheckedJob lapped = Of(kTube + bar + lap + hole);
  ASSERT_TRUE(bare.hole().free_depth_worst && lapped.hole().free_depth_worst);
  EXPECT_EQ(lapped.hole().first_contact->body, "bar");
  EXPECT_NEAR(*lapped.hole().free_depth_worst, *bare.hole().free_depth_worst, 0.05);
  EXPECT_GE(lapped.hole().breakthrough_worst, bare.hole().breakthrough_worst + 1.5 - 1e-3);
}

TEST(CheckedPoints, AZoneThatReachesRoundThePartIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.placed[0].zone.radius = 100.0;
  for (NominalPlace& nominal : run.placed[0].nominals) nominal.zone.radius = 100.0;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.hole().reasons, "the marking zone reaches round the part"))
      << All(run.hole().reasons);
}

TEST(CheckedPoints, APointWithoutFurtherPlacesIsJudgedAtItsOwn) {
  PlacedPoint placed;
  placed.position = {1, 2, 3};
  placed.zone.radius = 2.5;
  placed.zone.bounded = true;
  const auto zones = ZonesToJudge(placed);
  ASSERT_EQ(zones.size(), 1u);
  EXPECT_EQ(zones[0].position, placed.position);
  EXPECT_EQ(zones[0].zone.radius, 2.5);
  // Merged with others, a zone without bound stays without.
  placed.nominals.assign(3, zones[0]);
  placed.nominals[0].zone.bounded = false;
  const auto merged = ZonesToJudge(placed);
  ASSERT_EQ(merged.size(), 1u);
  EXPECT_FALSE(merged[0].zone.bounded);
}

// A rail open below, and beside it a bar with a bracket that might reach under the web.
TEST(CheckedPoints, WhatTheDrillMayMeetForWantOfAHeightIsUnproven) {
  const auto run = [](const char* height) {
    CheckedJob made = Of(std::string(kRail) + R"(
[part.bar]
section = "box"
wall = 3
start = "rear end"
finish = "front end"
stations = [
  { centre = [-200, 550, 290], width = 60, height = 50, corner = 6 },
  { centre = [200, 550, 290], width = 60, height = 50, corner = 6 },
]
[[part.bar.fitting]]
name = "bracket"
kind = "bracket"
station = 200
face = "inboard"
size = [30, 20]
)" + height + R"(
[[point]]
name = "D"
use = "drill"
part = "rail"
face = "top"
rule = [ { tape = 300, from = "rear end", toward = "front" }, { middle = "face" } ]
drill = [6]
)");
    made.job.limits.clearance = 12.0;
    made.Check();
    return made;
  };
  const CheckedJob low = run("height = 10");
  EXPECT_EQ(low.hole().outcome, Outcome::nothing);
  EXPECT_EQ(low.hole().verdict, Verdict::clear) << All(low.hole().reasons);
  CheckedJob unstated = run("");
  ASSERT_TRUE(unstated.hole().first_contact);
  EXPECT_EQ(unstated.hole().first_contact->body, "bracket");
  EXPECT_NEAR(*unstated.hole().free_depth, 20.0, 0.01);
  EXPECT_TRUE(Says(unstated.hole().reasons, "the height of 'bracket' is not stated"))
      << All(unstated.hole().reasons);
  EXPECT_EQ(unstated.hole().verdict, Verdict::unproven);
  // However tall it is: where that much room is enough, it is clear.
  unstated.job.limits.clearance = 1.0;
  unstated.Check();
  EXPECT_EQ(unstated.hole().verdict, Verdict::clear) << All(unstated.hole().reasons);
}

// Only points of shared parts have twins on the other side, seen from either side.
TEST(CheckedPoints, HolesOfTheOtherSidesOwnPartsAreNotNear) {
  const std::string parts = R"(
[part.tube]
section = "round"
shared = true
diameter = 60.3
wall = 5
from = [0, -400, 300]
to = [0, 400, 300]
start = "inner end"
finish = "outer end"
[part.arm]
section = "round"
diameter = 60.3
wall = 5
from = [300, 100, 300]
to = [300, 500, 300]
start = "inner end"
finish = "outer end"
)";
  const auto hole = [](const char* name, const char* part, const char* tape, const char* only) {
    return std::string("[[point]]\nname = \"") + name + "\"\nuse = \"drill\"\npart = \"" + part +
           "\"\nrule = [ { tape = " + tape +
           ", from = \"outer end\", toward = \"inboard\" }, { line = \"bottom\" } ]\ndrill = "
           "[8]\n" +
           only + "\n";
  };
  CheckedJob run =
      Of(parts + hole("D", "tube", "320", "") + hole("E", "tube", "500", "only = \"right\"") +
         hole("F", "arm", "100", "") + hole("G", "arm", "110", "only = \"right\""));
  run.job.sides = {Side::left, Side::right};
  run.Check();
  ASSERT_EQ(run.checking.points.size(), 2u);
  EXPECT_TRUE(Says(run.point(0).reasons, "'E of the other side'")) << All(run.point(0).reasons);
  EXPECT_FALSE(run.point(1).nearest_hole) << "G is a hole of the right arm";
  // From the right side: E is its own, D is on both.
  const SceneBuild build = BuildScene(run.job, Side::right);
  const Placing placing = PlacePoints(run.job, build.scene, Side::right);
  const Checking right = CheckPoints(run.job, build.scene, placing.points, Side::right);
  ASSERT_EQ(right.points.size(), 4u);
  EXPECT_FALSE(Says(right.points[0].reasons, "'E of the other side'"));
  EXPECT_TRUE(Says(right.points[1].reasons, "'D of the other side'"))
      << All(right.points[1].reasons);
}

const char* const kSharedTube = R"(
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

std::string HoleAt(const char* name, double y, const char* part, const char* only) {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"drill\"\npart = \"{}\"\nrule = [ {{ tape = {}, from = "
      "\"outer end\", toward = \"inboard\" }}, {{ line = \"bottom\" }} ]\ndrill = [8]\n{}\n",
      name, part, 400.0 - y, only);
}

// E is on the left side only: seen from the right, its mirror image is 20 mm off D.
TEST(CheckedPoints, AHoleOfTheLeftAloneCountsOnTheRight) {
  CheckedJob run =
      Of(kSharedTube + HoleAt("D", 80, "tube", "") + HoleAt("E", -100, "tube", "only = \"left\""));
  run.job.sides = {Side::left, Side::right};
  const SceneBuild build = BuildScene(run.job, Side::right);
  const Placing placing = PlacePoints(run.job, build.scene, Side::right);
  const Checking right = CheckPoints(run.job, build.scene, placing.points, Side::right);
  ASSERT_EQ(right.points.size(), 1u);
  EXPECT_NEAR(right.points[0].nearest_hole.value_or(0.0), 20.0, 1e-3);
  EXPECT_TRUE(Says(right.points[0].reasons, "from hole 'E of the other side'"))
      << All(right.points[0].reasons);
}

// A part that could not be built has no holes to keep off, whichever side they are on.
TEST(CheckedPoints, HolesOfAPartThatIsNotThereCountForNobody) {
  const std::string arm =
      With(With(kSharedTube, "part.tube", "part.arm"), "[0, -400, 300]", "[300, -400, 300]");
  CheckedJob run = Of(kSharedTube + With(arm, "[0, 400, 300]", "[300, 400, 300]") +
                      HoleAt("D", 80, "tube", "") + HoleAt("F", -110, "arm", "only = \"right\""));
  run.job.sides = {Side::left, Side::right};
  run.scene.parts.erase(run.scene.parts.begin() + 1);
  run.Check();
  ASSERT_EQ(run.checking.points.size(), 1u);
  EXPECT_NEAR(run.point().nearest_hole.value_or(0.0), 160.0, 1e-3) << "its own twin alone";
  EXPECT_EQ(run.point().verdict, Verdict::clear) << All(run.point().reasons);
}

// What may be nearer than all that was found is not known to be far.
TEST(CheckedPoints, AnEdgeThatNoTapeFindsLeavesThePointUnproven) {
  CheckedJob run = Of(std::string(kTube) +
                      "[[part.tube.fitting]]\nname = \"stud\"\nkind = \"stud\"\nstation = 300\n"
                      "face = \"top\"\ndiameter = 8\nlength = 10\n" +
                      kTest);
  EXPECT_EQ(run.point().verdict, Verdict::clear) << All(run.point().reasons);
  run.scene.parts[0].fittings[0].centre.v = std::nan("");
  run.Check();
  EXPECT_TRUE(Says(run.point().reasons, "the tape to 'stud' could not be found"))
      << All(run.point().reasons);
  EXPECT_EQ(run.point().verdict, Verdict::unproven);
  EXPECT_NEAR(run.point().edge_distance, 120.0, 1e-3);
  // Off the part no tape comes to an end of it either.
  CheckedJob off = Of(std::string(kTube) + kTest);
  off.placed[0].place.u = 1e7;
  off.Check();
  EXPECT_TRUE(Says(off.point().reasons, "the tape to 'outer end' could not be found"))
      << All(off.point().reasons);
  EXPECT_EQ(off.point().verdict, Verdict::unproven);
  EXPECT_EQ(off.point().edge_distance, 0.0);
}

TEST(CheckedPoints, AccessBesideAFittingThatLiesNowhereIsUnproven) {
  CheckedJob run = Of(std::string(kTube) +
                      "[[part.tube.fitting]]\nname = \"bracket\"\nkind = \"bracket\"\n"
                      "station = 300\nface = \"bottom\"\nsize = [10, 30]\n" +
                      kTest);
  EXPECT_TRUE(run.point().access_known) << All(run.point().reasons);
  run.scene.parts[0].fittings[0].centre.v = std::nan("");
  run.Check();
  EXPECT_TRUE(Says(run.point().reasons, "access could not be computed"))
      << All(run.point().reasons);
  EXPECT_FALSE(run.point().access_known);
  EXPECT_EQ(run.point().access, 0.0);
  EXPECT_EQ(run.point().verdict, Verdict::unproven);
}

// A pipe 60 m off is in no pose's reach, if the reach is known.
TEST(CheckedPoints, WhereADrillsReachIsNotKnownNothingIsLeftOut) {
  const CheckedJob run =
      Of(std::string(kTube) +
         "[[neighbour]]\nname = \"pipe\"\npath = [[0, 60000, 0], [0, 60000, 100]]\ndiameter = 8\n" +
         kHole);
  const auto around = Surroundings::Make(run.scene, run.job.marking);
  ASSERT_TRUE(around);
  const PlacedPoint& placed = run.placed[0];
  const auto keeps = [&](const PlacedPoint& at, const std::function<void(HoleSite&)>& spoil) {
    auto site = MakeSite(
        {run.job, run.scene, run.scene.parts[0], *around, run.job.points[0], placed, {}, {}});
    HoleSite spoilt{run.job,           run.scene, run.scene.parts[0], *around,
                    run.job.points[0], at,        site->axis,         site->poses};
    spoil(spoilt);
    for (const Obstacle& obstacle : ObstaclesOf(spoilt, 8.0).obstacles) {
      if (obstacle.body == "pipe") return true;
    }
    return false;
  };
  const double nan = std::nan("");
  EXPECT_FALSE(keeps(placed, [](HoleSite&) {}));
  EXPECT_TRUE(keeps(
      placed, [&](HoleSite& s) { s.axis = [nan](const Vec3&) { return Vec3(0.0, nan, 1.0); }; }));
  PlacedPoint nowhere = placed;
  nowhere.position.x() = nan;
  EXPECT_TRUE(keeps(nowhere, [](HoleSite&) {}));
  EXPECT_TRUE(keeps(placed, [](HoleSite& s) { s.poses[0][0].tilt = 61.0 * kDegree; }));
  EXPECT_TRUE(keeps(placed, [&](HoleSite& s) { s.poses[0][0].tilt = nan; }));
  EXPECT_TRUE(keeps(
      placed, [](HoleSite& s) { s.poses[0][0].place = std::numeric_limits<double>::infinity(); }));
  EXPECT_TRUE(keeps(
      placed, [](HoleSite& s) { s.poses[0][0].rise = std::numeric_limits<double>::infinity(); }));
}

}  // namespace
}  // namespace holeward
