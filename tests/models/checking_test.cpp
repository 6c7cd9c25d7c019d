#include "models/checking.h"

#include <cmath>
#include <stop_token>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::All;
using testing_tools::CheckedJob;
using testing_tools::kHead;
using testing_tools::kHole;
using testing_tools::kRail;
using testing_tools::kTest;
using testing_tools::kTube;
using testing_tools::Of;
using testing_tools::Says;
using testing_tools::With;

// R - sqrt(ri² - a²) + a cot(A/2) and 2R - t of a 60.3 x 5 tube, Ø8, 118°.
TEST(Checking, ARoundTubeGivesItsClosedForms) {
  const CheckedJob run = Of(std::string(kTube) + kHole);
  ASSERT_EQ(run.checking.holes.size(), 1u);
  const HoleCheck& hole = run.hole();
  EXPECT_EQ(hole.outcome, Outcome::met) << All(hole.reasons);
  EXPECT_NEAR(hole.near_wall, 5.0, 1e-3);
  EXPECT_NEAR(hole.breakthrough, 7.7236, 2e-3);
  ASSERT_TRUE(hole.free_depth && hole.first_contact && hole.margin && hole.margin_worst &&
              hole.stop);
  EXPECT_NEAR(*hole.free_depth, 55.3, 2e-3);
  EXPECT_EQ(hole.first_contact->body, "far wall");
  EXPECT_NEAR((hole.first_contact->position - Vec3(0, 300, 325.15)).norm(), 0.0, 0.1);
  EXPECT_NEAR(*hole.margin, *hole.free_depth - *hole.stop, 1e-9);
  EXPECT_LT(*hole.margin_worst, *hole.margin);
  EXPECT_GT(*hole.margin_worst, *hole.margin - 4.0);
  EXPECT_EQ(hole.verdict, Verdict::clear) << All(hole.reasons);
  EXPECT_EQ(run.checking.verdict, Verdict::clear) << All(run.point().reasons);
}

TEST(Checking, TheProposedStopGoesThroughAndIsRoundedToHalfMillimetres) {
  const CheckedJob run = Of(std::string(kTube) + kHole);
  const HoleCheck& hole = run.hole();
  EXPECT_EQ(hole.stop_from, StopFrom::proposed);
  EXPECT_NEAR(std::remainder(*hole.stop, 0.5), 0.0, 1e-12);
  // Beyond the worst break-through: 1 to pass, 0.5 of setting, and a Ø16 collar leaning by 5°.
  const double needed = hole.breakthrough_worst + 1.0 + 0.5 + 8.0 * std::tan(5 * kDegree);
  EXPECT_GE(*hole.stop, needed);
  EXPECT_LT(*hole.stop, needed + 0.5);
  EXPECT_TRUE(hole.through);
  EXPECT_GT(hole.breakthrough_worst, hole.breakthrough);
}

TEST(Checking, AStopTooShallowToPassIsAtBestTight) {
  const CheckedJob run =
      Of(std::string(kTube) + With(kHole, "drill = [8]", "drill = [8]\nstop = 8.0"));
  EXPECT_EQ(run.hole().stop_from, StopFrom::job);
  EXPECT_DOUBLE_EQ(*run.hole().stop, 8.0);
  EXPECT_FALSE(run.hole().through);
  EXPECT_EQ(run.hole().verdict, Verdict::tight) << All(run.hole().reasons);
}

TEST(Checking, WithoutAStopTheRunOnCounts) {
  const CheckedJob run =
      Of(std::string(kTube) + With(kHole, "drill = [8]", "drill = [8]\nstop = \"none\""));
  const HoleCheck& hole = run.hole();
  EXPECT_EQ(hole.stop_from, StopFrom::none);
  EXPECT_FALSE(hole.stop);
  EXPECT_TRUE(hole.through);
  EXPECT_NEAR(*hole.margin, *hole.free_depth - hole.breakthrough - 12.0, 1e-9);
  EXPECT_LE(*hole.margin_worst, *hole.free_depth - hole.breakthrough_worst - 12.0);
}

TEST(Checking, StagesAreJudgedOneByOne) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "[8]", "[4, 10]\nstop = [8.5, 11.5]"));
  ASSERT_EQ(run.checking.holes.size(), 2u);
  EXPECT_EQ(run.hole(0).stage, 1);
  EXPECT_EQ(run.hole(1).stage, 2);
  EXPECT_DOUBLE_EQ(*run.hole(0).stop, 8.5);
  EXPECT_DOUBLE_EQ(*run.hole(1).stop, 11.5);
  EXPECT_LT(run.hole(0).breakthrough, run.hole(1).breakthrough);
  EXPECT_EQ(run.checking.points.size(), 1u);
}

// The worst margin is that of a pose which a hand may give the drill, to 0.05 mm.
TEST(Checking, TheWorstPoseAttainsTheWorstMargin) {
  for (const char* inner : {"", R"(
[[part.tube.inner]]
name = "bar"
diameter = 16
offset = [6, 0, 6]
reach = [0, 400]
)"}) {
    const CheckedJob run = Of(std::string(kTube) + inner + kHole);
    const HoleCheck& hole = run.hole();
    ASSERT_TRUE(hole.worst_pose && hole.free_depth_worst && hole.margin_worst);
    const AttainedPose& pose = *hole.worst_pose;
    EXPECT_EQ(pose.lower, *hole.free_depth_worst);
    EXPECT_EQ(pose.depth, pose.upper);
    EXPECT_LE(pose.lower, pose.upper);
    EXPECT_LE(pose.upper - pose.lower, 0.05);
    EXPECT_NEAR(*hole.margin_worst, pose.lower - *hole.stop - run.job.marking.depth.plus, 1e-9);
    // Within the zone, on the skin, within the tilt of its normal there.
    const PlacedPoint& placed = run.placed.at(0);
    EXPECT_LE((pose.entry - placed.position).norm(), placed.zone.radius + 1e-6);
    const Vec3 off(0.0, 0.0, 300.0);
    const Vec3 across = Vec3(pose.entry.x(), 0.0, pose.entry.z()) - off;
    EXPECT_NEAR(across.norm(), 30.15, 1e-6);
    EXPECT_LE(std::acos(std::min(1.0, -across.normalized().dot(pose.direction))),
              run.job.marking.tilt_rad.Greatest() + 1e-6);
    EXPECT_LT(pose.upper, *hole.free_depth);
  }
}

const char* const kBar = R"(
[[part.tube.inner]]
name = "bar"
diameter = 24
offset = [0, 0, -5]
reach = [0, 400]
)";

TEST(Checking, ABarInsideIsMetFirst) {
  const CheckedJob run = Of(std::string(kTube) + kBar + kHole);
  EXPECT_EQ(run.hole().first_contact->body, "bar");
  EXPECT_NEAR(*run.hole().free_depth, 30.15 - 5 - 12, 2e-3);
  // 13.15 - stop (7.9 worst + 1 + 0.5 + 0.7) - 2 displaced ... leaves almost nothing.
  EXPECT_NE(run.hole().verdict, Verdict::clear);
}

TEST(Checking, ABarThatMayBeReachedIsContact) {
  const CheckedJob run = Of(std::string(kTube) + kBar + With(kHole, "[8]", "[8]\nstop = \"none\""));
  EXPECT_EQ(run.hole().verdict, Verdict::contact);
  EXPECT_EQ(run.checking.verdict, Verdict::contact);
}

TEST(Checking, ABarTouchingTheWallIsContact) {
  const CheckedJob run =
      Of(std::string(kTube) + With(kBar, "[0, 0, -5]", "[0, 0, -13.14]") + kHole);
  EXPECT_EQ(run.hole().verdict, Verdict::contact) << All(run.hole().reasons);
}

// A lap within reach: that much more near wall to pass, and the far wall that much nearer; beyond
// the drill's reach nothing changes. The nominal figures are those of the single wall.
TEST(Checking, ALapOfDoubleWallIsCountedWhereADrillMayPassIt) {
  const auto lap = [](const char* reach, const char* basis) {
    return fmt::format(
        "[[part.tube.lap]]\nname = \"end lap\"\nwall = 3\nreach = {}\nbasis = \"{}\"\n", reach,
        basis);
  };
  const std::string hole = With(kHole, "drill = [8]", "drill = [8]\nstop = 14");
  const CheckedJob bare = Of(std::string(kTube) + hole);
  const CheckedJob in = Of(std::string(kTube) + lap("[190, 260]", "measured") + hole);
  const CheckedJob off = Of(std::string(kTube) + lap("[0, 150]", "measured") + hole);
  // R - sqrt(ri² - a²) grows by 3.045 with the wall; the bound may lie a little above.
  const double deeper = in.hole().breakthrough_worst - bare.hole().breakthrough_worst;
  EXPECT_GE(deeper, 3.045 - 1e-3);
  EXPECT_LE(deeper, 3.2);
  EXPECT_NEAR(*bare.hole().free_depth_worst - *in.hole().free_depth_worst, 3.0, 0.05);
  EXPECT_NEAR(*bare.hole().margin_worst - *in.hole().margin_worst, 3.0, 0.05);
  EXPECT_DOUBLE_EQ(*in.hole().free_depth, *bare.hole().free_depth);
  EXPECT_TRUE(Says(in.hole().reasons, "'end lap', 3 mm"));
  EXPECT_DOUBLE_EQ(*off.hole().margin_worst, *bare.hole().margin_worst);
  EXPECT_FALSE(Says(off.hole().reasons, "end lap"));
  const CheckedJob assumed = Of(std::string(kTube) + lap("[190, 260]", "assumed") + hole);
  EXPECT_EQ(assumed.hole().verdict, Verdict::unproven);
  // The hole's own place 10 mm short of it: marking and lean may still bring the drill there.
  const CheckedJob beside = Of(std::string(kTube) + lap("[210, 260]", "measured") + hole);
  EXPECT_TRUE(Says(beside.hole().reasons, "end lap"));
}

// A shared part is one piece of metal: seen in the mirror, a lap at its left end lies at the far
// end.
TEST(Checking, ALapOfASharedPartStaysWhereItIsOnBothSides) {
  const std::string tube =
      "[part.tube]\nsection = \"round\"\ndiameter = 60.3\nwall = 5\nshared = true\n"
      "from = [0, 400, 300]\nto = [0, -400, 300]\nstart = \"left end\"\nfinish = \"right end\"\n";
  const std::string hole =
      "[[point]]\nname = \"D\"\nuse = \"drill\"\npart = \"tube\"\ndrill = [8]\nrule = [ { tape = "
      "100, from = \"left end\", toward = \"inboard\" }, { line = \"bottom\" } ]\n";
  const auto says = [&](const std::string& reach, Side side) {
    const JobReading reading = ReadJobText(
        kHead + tube + "[[part.tube.lap]]\nname = \"end lap\"\nwall = 3\n" + reach + "\n" + hole,
        "check.toml");
    for (const JobError& error : reading.errors) ADD_FAILURE() << error.Text("check.toml");
    const SceneBuild build = BuildScene(reading.job, side);
    const Placing placing = PlacePoints(reading.job, build.scene, side);
    const Checking checking = CheckPoints(reading.job, build.scene, placing.points, side);
    EXPECT_EQ(checking.holes.size(), 1U);
    return !checking.holes.empty() && Says(checking.holes[0].reasons, "end lap");
  };
  EXPECT_TRUE(says("reach = [0, 150]", Side::left));
  EXPECT_FALSE(says("reach = [0, 150]", Side::right));
  EXPECT_FALSE(says("reach = [650, 800]", Side::left));
  EXPECT_TRUE(says("reach = [650, 800]", Side::right));
  EXPECT_TRUE(says("", Side::left));
  EXPECT_TRUE(says("", Side::right));
}

TEST(Checking, NothingThatIsOnlyAssumedIsProven) {
  for (const std::string& text :
       {std::string(kTube) + "basis = \"assumed\"\n" + kHole,
        std::string(kTube) + With(kBar, "name", "basis = \"assumed\"\nname") + kHole}) {
    const CheckedJob run = Of(text);
    EXPECT_NE(run.hole().verdict, Verdict::clear);
    EXPECT_TRUE(Says(run.hole().reasons, "assumed")) << All(run.hole().reasons);
  }
}

// ---- What cannot be proven is never clear

TEST(Checking, AZoneWithoutBoundIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.placed[0].zone.bounded = false;
  for (NominalPlace& nominal : run.placed[0].nominals) nominal.zone.bounded = false;
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_FALSE(run.hole().margin || run.hole().margin_worst || run.hole().free_depth);
  EXPECT_FALSE(run.hole().reasons.empty());
}

TEST(Checking, ANanPlaceIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.placed[0].position.z() = std::nan("");
  run.placed[0].place.u = std::nan("");
  for (NominalPlace& nominal : run.placed[0].nominals) nominal.place.u = std::nan("");
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_NE(run.point().verdict, Verdict::clear);
  EXPECT_FALSE(std::isnan(run.hole().access) || std::isnan(run.point().edge_distance));
}

TEST(Checking, APartWithoutASolidIsUnproven) {
  CheckedJob run = Of(std::string(kTube) + kHole);
  run.scene.parts[0].solid.reset();
  run.Check();
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_EQ(run.point().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.hole().reasons, "no solid"));
}

TEST(Checking, WithoutHolesAndTestPointsNothingIsProven) {
  CheckedJob run =
      Of(std::string(kTube) + With(With(kHole, "drill\"", "reference\""), "drill = [8]", ""));
  EXPECT_TRUE(run.checking.holes.empty());
  EXPECT_EQ(run.checking.verdict, Verdict::unproven);
}

TEST(Checking, AHoleOffAnOpenEndIsUnproven) {
  const CheckedJob run = Of(std::string(kTube) + With(kHole, "tape = 200", "tape = 3"));
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_NE(run.point().verdict, Verdict::clear);
  EXPECT_NEAR(run.point().edge_distance, 3.0, 1e-3);
}

const char* const kBox = R"(
[part.arm]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-100, 200, 300], width = 60, height = 50, corner = 6 },
  { centre = [-100, 500, 300], width = 60, height = 50, corner = 6 },
]
)";

std::string BoxHole(double from_edge) {
  return R"(
[[point]]
name = "D"
use = "drill"
part = "arm"
face = "rear"
rule = [ { tape = 150, from = "inner end", toward = "outboard" },
         { square = )" +
         std::to_string(from_edge) +
         R"(, from = "bottom edge", toward = "up", edge = "sharp" } ]
drill = [8]
)";
}

TEST(Checking, AHoleInTheMiddleOfABoxIsClear) {
  const CheckedJob run = Of(std::string(kBox) + BoxHole(25));
  EXPECT_NEAR(run.hole().near_wall, 3.0, 1e-3);
  EXPECT_NEAR(run.hole().breakthrough, 3.0 + 2.4034, 2e-3);
  EXPECT_NEAR(*run.hole().free_depth, 57.0, 2e-3);
  EXPECT_EQ(run.hole().verdict, Verdict::clear) << All(run.hole().reasons);
  EXPECT_NEAR(run.point().edge_distance, 25.0, 0.01);
  EXPECT_EQ(run.checking.verdict, Verdict::clear) << All(run.point().reasons);
}

TEST(Checking, AHoleIntoTheCornerOfABoxIsUnproven) {
  const CheckedJob run =
      Of("[marking]\ntape = 0\nsquare = 0\npunch = 0\n" + std::string(kBox) + BoxHole(7));
  EXPECT_EQ(run.hole().outcome, Outcome::not_computed);
  EXPECT_EQ(run.hole().verdict, Verdict::unproven);
  EXPECT_TRUE(Says(run.hole().reasons, "corner")) << All(run.hole().reasons);
  EXPECT_EQ(run.point().verdict, Verdict::tight) << All(run.point().reasons);  // 7 of 16
}

TEST(Checking, TheWebOfAChannelMeetsNothing) {
  const CheckedJob run = Of(kRail + std::string(R"(
[[point]]
name = "D"
use = "drill"
part = "rail"
face = "top"
rule = [ { tape = 300, from = "rear end", toward = "front" }, { middle = "face" } ]
drill = [6]
)"));
  EXPECT_EQ(run.hole().outcome, Outcome::nothing) << All(run.hole().reasons);
  EXPECT_FALSE(run.hole().margin || run.hole().free_depth || run.hole().first_contact);
  EXPECT_NEAR(run.hole().near_wall, 4.0, 1e-3);
  EXPECT_EQ(run.hole().verdict, Verdict::clear) << All(run.hole().reasons);
}

// ---- Test points

TEST(Checking, ATestPointHasItsSeatEdgeAndAccess) {
  const CheckedJob run = Of(std::string(kTube) + kTest);
  ASSERT_EQ(run.checking.points.size(), 1u);
  const PointCheck& point = run.point();
  EXPECT_TRUE(point.test);
  EXPECT_NEAR(point.seat_gap, 30.15 - std::sqrt(30.15 * 30.15 - 16.0), 1e-5);
  EXPECT_NEAR(point.edge_distance, 120.0, 1e-3);
  EXPECT_EQ(point.nearest_edge, "inner end");
  EXPECT_FALSE(point.nearest_hole);
  EXPECT_TRUE(std::isfinite(point.access));
  EXPECT_EQ(point.verdict, Verdict::clear) << All(point.reasons);
  EXPECT_EQ(run.checking.verdict, Verdict::clear);
}

TEST(Checking, ARockingFootIsTight) {
  const CheckedJob run = Of("[limits]\nseat_gap = 0.1\n" + std::string(kTube) + kTest);
  EXPECT_EQ(run.point().verdict, Verdict::tight) << All(run.point().reasons);
  EXPECT_TRUE(Says(run.point().reasons, "rocks"));
}

TEST(Checking, ANeighbourInTheWayIsNegativeAccess) {
  const CheckedJob run = Of(std::string(kTube) + R"(
[[neighbour]]
name = "pipe"
path = [[10, 50, 200], [10, 550, 200]]
diameter = 6
)" + kTest + kHole);
  for (const PointCheck& point : run.checking.points) {
    EXPECT_LT(point.access, 0.0) << point.point;
    EXPECT_EQ(point.verdict, Verdict::tight) << All(point.reasons);
    EXPECT_TRUE(point.access_known);
  }
  EXPECT_LT(run.hole().access, 0.0);
  EXPECT_EQ(run.hole().verdict, Verdict::tight);
}

TEST(Checking, ABracketOfUnstatedHeightInTheWayIsUnproven) {
  const std::string bracket = R"(
[[part.tube.fitting]]
name = "bracket"
kind = "bracket"
station = 135
face = "bottom"
size = [10, 30]
)";
  const CheckedJob open = Of(std::string(kTube) + bracket + kTest);
  EXPECT_FALSE(open.point().access_known);
  EXPECT_EQ(open.point().verdict, Verdict::unproven) << All(open.point().reasons);
  const CheckedJob known = Of(std::string(kTube) + bracket + "height = 12\n" + kTest);
  EXPECT_TRUE(known.point().access_known);
  EXPECT_LT(known.point().access, 0.0);
  EXPECT_EQ(known.point().verdict, Verdict::tight) << All(known.point().reasons);
}

TEST(Checking, HolesTooCloseAreTight) {
  const std::string second = With(With(kHole, "\"D\"", "\"D2\""), "tape = 200", "tape = 220");
  const CheckedJob run = Of(std::string(kTube) + kHole + second);
  EXPECT_NEAR(*run.point(0).nearest_hole, 20.0, 1e-3);
  EXPECT_EQ(run.point(0).verdict, Verdict::tight);
  EXPECT_EQ(run.point(1).verdict, Verdict::tight);
  EXPECT_TRUE(Says(run.point(0).reasons, "'D2'")) << All(run.point(0).reasons);
}

TEST(Checking, OnASharedPartTheOtherSidesHolesCountForSpacing) {
  CheckedJob run = Of(With(With(std::string(kTube), "section", "shared = true\nsection"),
                           "from = [0, 100, 300]\nto = [0, 500, 300]",
                           "from = [0, -400, 300]\nto = [0, 400, 300]") +
                      With(kHole, "tape = 200, from = \"inner end\", toward = \"outboard\"",
                           "tape = 390, from = \"outer end\", toward = \"inboard\""));
  EXPECT_FALSE(run.point().nearest_hole);  // one side only
  run.job.sides = {Side::left, Side::right};
  run.Check();
  ASSERT_TRUE(run.point().nearest_hole);
  EXPECT_NEAR(*run.point().nearest_hole, 2.0 * std::abs(run.placed[0].position.y()), 1e-6);
}

// ---- Laws

TEST(Checking, MoreErrorNeverGivesMoreMargin) {
  double before = 1e9;
  for (const char* marking : {"tilt = 0\ntape = 0\nline = 0\npunch = 0", "tilt = 2", "tilt = 5",
                              "tilt = 5\nwall = 0.6\noutline = 2"}) {
    const CheckedJob run = Of("[marking]\n" + std::string(marking) + "\n" + kTube + kBar +
                              With(kHole, "[8]", "[3]\nstop = 8.5"));
    ASSERT_TRUE(run.hole().margin_worst) << marking << All(run.hole().reasons);
    EXPECT_LT(*run.hole().margin_worst, before + 0.02) << marking;
    before = *run.hole().margin_worst;
  }
}

TEST(Checking, TheOverallVerdictIsTheWorst) {
  HoleCheck hole;
  PointCheck point;
  point.test = true;
  hole.verdict = Verdict::clear;
  point.verdict = Verdict::clear;
  EXPECT_EQ(OverallVerdict({hole}, {point}), Verdict::clear);
  EXPECT_EQ(OverallVerdict({}, {}), Verdict::unproven);
  point.verdict = Verdict::tight;
  EXPECT_EQ(OverallVerdict({hole}, {point}), Verdict::tight);
  point.verdict = Verdict::unproven;
  EXPECT_EQ(OverallVerdict({hole}, {point}), Verdict::unproven);
  hole.verdict = Verdict::contact;
  EXPECT_EQ(OverallVerdict({hole}, {point}), Verdict::contact);
}

// What was found before it was asked to stop is kept; no hole after that is begun or called clear.
TEST(Checking, AskedToStopLeavesWhatItHasNotFoundUnproven) {
  const CheckedJob whole = Of(std::string(kTube) + kHole + kTest);
  ASSERT_EQ(whole.checking.holes.size(), 1U);
  ASSERT_EQ(whole.checking.points.size(), 2U);
  std::stop_source source;
  CheckMemo memo;
  CheckRun run{&memo, source.get_token()};
  const std::vector<PlacedPoint> drilled(whole.placed.begin(), whole.placed.begin() + 1);
  EXPECT_EQ(CheckPoints(whole.job, whole.scene, drilled, Side::left, run).holes[0].verdict,
            whole.hole().verdict);
  source.request_stop();
  const Checking left = CheckPoints(whole.job, whole.scene, whole.placed, Side::left, run);
  EXPECT_EQ(left.verdict, Verdict::unproven);
  ASSERT_EQ(left.points.size(), 2U);
  EXPECT_EQ(left.holes[0].verdict, whole.hole().verdict);
  EXPECT_EQ(left.points[1].verdict, Verdict::unproven);
  EXPECT_TRUE(Says(left.points[1].reasons, "stopped")) << All(left.points[1].reasons);
  CheckMemo nothing;
  run.memo = &nothing;
  const Checking none = CheckPoints(whole.job, whole.scene, whole.placed, Side::left, run);
  EXPECT_EQ(none.holes.at(0).verdict, Verdict::unproven);
  EXPECT_TRUE(Says(none.holes[0].reasons, "stopped")) << All(none.holes[0].reasons);
  EXPECT_TRUE(nothing.points.empty());
}

}  // namespace
}  // namespace holeward
