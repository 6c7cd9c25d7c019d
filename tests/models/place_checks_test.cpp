// What keeps a rule from placing a point, in words; and what a placing takes over from the last
// one.
#include "models/place_checks.h"

#include <cmath>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/placing.h"
#include "models/scene.h"
#include "tests/models/job_texts.h"

namespace holeward {
namespace {

constexpr const char* kTube = R"(
holeward = 1
[part.tube]
section = "round"
diameter = 60
wall = 3
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
[[part.tube.fitting]]
name = "peg"
kind = "stud"
station = 120
face = "rear"
diameter = 10
length = 20
[[part.tube.fitting]]
name = "drain"
kind = "hole"
station = 200
face = "bottom"
diameter = 12
)";

constexpr const char* kBox = R"(
holeward = 1
[part.box]
section = "box"
wall = 3
width = 60
height = 60
corner = 8
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
)";

constexpr const char* kRail = R"(
holeward = 1
[part.rail]
section = "channel"
open = "inboard"
wall = 4
ends = ["open", "open"]
start = "front end"
finish = "rear end"
between = "straight"
stations = [
  { centre = [400, 600, 300], width = 60, height = 100, corner = 8 },
  { centre = [0, 600, 300], width = 60, height = 100, corner = 8 },
]
[[part.rail.fitting]]
name = "hanger"
kind = "bracket"
face = "outboard"
station = 200
size = [60, 50]
height = 40
)";

std::string Point(const std::string& name, const std::string& part, const std::string& rule,
                  const std::string& more = "") {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"reference\"\npart = \"{}\"\n{}\nrule = [ {} ]\n", name,
      part, more, rule);
}

std::string Drill(const std::string& name, const std::string& rule) {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"drill\"\npart = \"tube\"\nrule = [ {} ]\ndrill = [8]\n",
      name, rule);
}

std::string AtBottom(double along) {
  return fmt::format(
      R"({{ tape = {}, from = "inner end", toward = "outboard" }}, {{ line = "bottom" }})", along);
}

struct Placed {
  Job job;
  SceneBuild build;
  Placing placing;

  [[nodiscard]] const Part& part() const { return build.scene.parts.front(); }
  /// The only error, or nothing.
  [[nodiscard]] std::string Error() const {
    if (placing.errors.empty()) return {};
    EXPECT_EQ(placing.errors.size(), 1u);
    return placing.errors.front().message;
  }
};

Placed Place(const std::string& text, PlacingMemo* memo = nullptr) {
  Placed placed;
  placed.job = test::Good(text);
  placed.build = BuildScene(placed.job, Side::left);
  EXPECT_TRUE(placed.build.ok());
  placed.placing = PlacePoints(placed.job, placed.build.scene, Side::left, memo);
  return placed;
}

#define EXPECT_SAYS(text, part) EXPECT_NE((text).find(part), std::string::npos) << (text)

// ---------------------------------------------------------------- what is in the way

// No tape can be laid to a place that is no number: the straight distance is taken, which is
// shorter.
TEST(PlaceChecks, WhereNoTapeSettlesTheStraightDistanceCounts) {
  const Placed placed = Place(kTube + Point("A", "tube", AtBottom(50.0)));
  const Placer placer(placed.part().skin);
  PlacedPoint point = placed.placing.points.at(0);
  const auto why = [&](double aside) {
    const SkinPlace peg = placed.part().fittings.at(0).centre;
    point.place = {std::nan(""), peg.v};
    point.position = placer.skin().At(peg).position + Vec3(0.0, aside, 0.0);
    return WhyOccupied({placed.part(), placer, placed.job, {}}, placed.job.points.at(0), point);
  };
  ASSERT_TRUE(why(4.9));
  EXPECT_SAYS(*why(4.9), "it lies under the fitting \"peg\"");
  EXPECT_FALSE(why(5.1));
}

TEST(PlaceChecks, NothingIsPlacedUnderAStudOrInAHoleAndAllBesideThem) {
  const auto on_rear = [](double along) {
    return Point(
        "A", "tube",
        fmt::format(
            R"({{ tape = {}, from = "inner end", toward = "outboard" }}, {{ line = "rear" }})",
            along));
  };
  for (const double along : {120.0, 123.0, 115.5}) {
    EXPECT_SAYS(Place(kTube + on_rear(along)).Error(), "it lies under the fitting \"peg\"");
  }
  for (const double along : {114.5, 125.5}) EXPECT_EQ(Place(kTube + on_rear(along)).Error(), "");
  EXPECT_SAYS(Place(kTube + Point("A", "tube", AtBottom(205.0))).Error(),
              "it lies in the hole \"drain\"");
  EXPECT_EQ(Place(kTube + Point("A", "tube", AtBottom(207.0))).Error(), "");
}

TEST(PlaceChecks, NothingIsPlacedUnderABracketOfAChannelAndAllBesideIt) {
  const auto at = [](double along, double up) {
    return Point("A", "rail",
                 fmt::format(R"({{ tape = {}, from = "front end", toward = "rear" }},
                                {{ tape = {}, from = "bottom edge", toward = "up" }})",
                             along, up),
                 "face = \"outboard\"");
  };
  // The bracket covers 170 to 230 along and 25 to 75 of 100 up.
  for (const auto& [along, up] : {std::pair{200.0, 50.0}, {171.0, 26.0}, {229.0, 74.0}}) {
    EXPECT_SAYS(Place(kRail + at(along, up)).Error(), "under the fitting \"hanger\"");
  }
  for (const auto& [along, up] : {std::pair{169.0, 50.0}, {231.0, 50.0}, {200.0, 24.0}}) {
    EXPECT_EQ(Place(kRail + at(along, up)).Error(), "");
  }
}

// ---------------------------------------------------------------- why there is no place

Solution OffBy(double off, bool right_side = true) {
  Solution s;
  s.place = {100.0, 4.5};
  s.off_face = off;
  s.right_side = right_side;
  return s;
}

TEST(WhyNone, TellsOfThePlaceThatMissesItsFaceByLeast) {
  const Placed placed = Place(kBox);
  const Placer placer(placed.part().skin);
  Rule rule;
  rule.flat = 4;
  for (const auto& offs : {std::array{5.0, 3.0, 4.0}, std::array{3.0, 4.0, 5.0}}) {
    const std::vector<Solution> found{OffBy(1.0, false), OffBy(0.0, false), OffBy(offs[0]),
                                      OffBy(offs[1]), OffBy(offs[2])};
    EXPECT_SAYS(WhyNone(placer, placed.part(), rule, found),
                "it lands 3.0 mm off the flat of the top");
  }
}

TEST(WhyNone, SaysThatTwoReadingsOfOneThingLeaveItOpen) {
  const std::string why =
      Place(kTube + Point("A", "tube",
                          R"({ tape = 70, from = "inner end", toward = "outboard" },
                             { square = 70, from = "inner end", toward = "outboard" })"))
          .Error();
  EXPECT_SAYS(why, "its two measures say the same thing");
}

TEST(WhyNone, SaysHowFarAStraightRuleAndASquareReach) {
  // From one end to the line on top: 400 along, at most 60 across.
  EXPECT_SAYS(
      Place(kTube + Point("A", "tube",
                          R"({ rule = 430, from = "inner end", toward = "outboard" },
                                     { line = "top" })"))
          .Error(),
      "rule from \"inner end\" reaches from 0.0 mm to 400.0 mm (430.0 mm asked for), 30.0 mm "
      "beyond");
  EXPECT_SAYS(Place(kTube + Point("A", "tube",
                                  R"({ tape = 80, from = "inner end", toward = "outboard" },
                                     { square = 31, from = "bottom", toward = "front" })"))
                  .Error(),
              "to 30.0 mm (31.0 mm asked for), 1.0 mm beyond");
}

TEST(WhyNone, TellsAnAngleInDegreesAndThatItIsNotWhatIsOutOfReach) {
  const std::string why =
      Place(kTube + Point("A", "tube",
                          R"({ tape = 430, from = "inner end", toward = "outboard" },
                             { protractor = 40, from = "bottom", toward = "front" })"))
          .Error();
  EXPECT_SAYS(why, "tape from \"inner end\" reaches from 0.0 mm to 400.0 mm");
  EXPECT_EQ(why.find("protractor"), std::string::npos) << why;
}

// Ten degrees from the bottom is 80 degrees from the place at the front: a chord of 38.6 mm at
// least.
TEST(WhyNone, TellsOfTheLengthThatIsOutOfReachRatherThanOfTheAngle) {
  const std::string why = Place(kTube +
                                Point("K", "tube",
                                      R"({ tape = 80, from = "inner end", toward = "outboard" },
                             { line = "front" })") +
                                Point("A", "tube",
                                      R"({ rule = 20, from = "K", toward = "down" },
                     { protractor = 10, from = "bottom", toward = "front" })"))
                              .Error();
  EXPECT_SAYS(why, "rule from \"K\" reaches from 38.6 mm to");
  EXPECT_SAYS(why, "(20.0 mm asked for), 18.6 mm beyond");
  EXPECT_EQ(why.find("protractor"), std::string::npos) << why;
}

TEST(WhySeveral, TellsPlacesSideBySideFromPlacesApart) {
  const Placed placed = Place(kBox);
  const Skin& skin = *placed.part().skin;
  std::vector<Solution> candidates(2);
  for (Solution& s : candidates) s.place = {100.0, 4.5};
  candidates[0].position = Vec3(0, 200, 330);
  candidates[1].position = Vec3(0, 200.9, 330);
  EXPECT_SAYS(WhySeveral(skin, candidates), "nearly say the same thing at station 100.0");
  candidates[1].position.y() = 201.1;
  EXPECT_SAYS(WhySeveral(skin, candidates), "its rule has 2 places");
}

// ---------------------------------------------------------------- fittings placed by a rule

std::string StudByRule(const std::string& line, const std::string& rule) {
  return fmt::format(
      "[[part.tube.fitting]]\nname = \"clip\"\nkind = \"stud\"\nface = \"{}\"\ndiameter = "
      "8\nlength = 20\nrule = [ {} ]\n",
      line, rule);
}

TEST(FittingRule, OnARoundPartItsLineDecidesBetweenTwoPlaces) {
  for (const char* line : {"front", "rear"}) {
    const Placed placed =
        Place(kTube + StudByRule(line, R"({ tape = 300, from = "inner end", toward = "outboard" },
                                     { middle = ["top", "bottom"] })"));
    const Fitting& clip = placed.part().fittings.back();
    const double x = std::string(line) == "front" ? 30.0 : -30.0;
    EXPECT_LT((placed.part().skin->At(clip.centre).position - Vec3(x, 400, 300)).norm(), 1e-6);
  }
}

TEST(FittingRule, OnARoundPartALineItIsNotNearestToIsTold) {
  const Job job = test::Good(kTube + StudByRule("top", AtBottom(300.0)));
  const SceneBuild build = BuildScene(job, Side::left);
  ASSERT_EQ(build.errors.size(), 1u);
  EXPECT_SAYS(build.errors.front().message,
              "it lands nearest to the bottom line (station 300.0, at (0.0, 400.0, 270.0)), not to "
              "the one it is to sit on");
}

// ---------------------------------------------------------------- what the job lacks

TEST(Placing, AFaceOrAPartThatIsNotThereIsAnError) {
  Placed placed = Place(kBox + Point("A", "box",
                                     R"({ tape = 70, from = "inner end", toward = "outboard" },
                                        { middle = "face" })",
                                     "face = \"top\""));
  ASSERT_EQ(placed.placing.points.size(), 1u);
  placed.job.points[0].face = "fore";
  const auto no_face = PlacePoints(placed.job, placed.build.scene, Side::left);
  ASSERT_EQ(no_face.errors.size(), 1u);
  EXPECT_SAYS(no_face.errors[0].message, "part \"box\" has no fore face");
  const auto no_part = PlacePoints(placed.job, Scene{}, Side::left);
  ASSERT_EQ(no_part.errors.size(), 1u);
  EXPECT_SAYS(no_part.errors[0].message, "there is no part \"box\"");
  EXPECT_TRUE(no_part.points.empty());
}

TEST(Placing, OnASheetLaidByAFittingOfWhichNobodyKnowsWhereItStandsNothingIsBounded) {
  Placed placed = Place(kTube + Point("A", "tube", AtBottom(80.0)) +
                        "[[template]]\nname = \"t\"\npart = \"tube\"\nalign = [\"peg\", "
                        "\"bottom\"]\n");
  ASSERT_TRUE(placed.placing.points[0].zone.bounded);
  placed.build.scene.parts[0].fittings[0].spread.reset();
  const auto unsure = PlacePoints(placed.job, placed.build.scene, Side::left);
  ASSERT_EQ(unsure.points.size(), 1u);
  EXPECT_FALSE(unsure.points[0].zone.bounded);
  ASSERT_EQ(unsure.warnings.size(), 1u);
  EXPECT_SAYS(unsure.warnings[0].message, "its marking zone cannot be bounded");
}

// ---------------------------------------------------------------- other readings of a rule

// Eight from the sharp corner of an edge of corner radius 8 is on its tangent line, where a tape
// from that line has no length to follow: the other reading is looked for anew.
TEST(Placing, AnEdgeReadFromItsTangentLineIsFoundFromAPlaceOnThatLine) {
  for (const double radius : {20.4, 21.0, 21.4}) {
    const Placed placed =
        Place(kBox +
              Point("K", "box",
                    R"({ tape = 20, from = "inner end", toward = "outboard" },
                 { square = 8, from = "bottom edge", edge = "sharp", toward = "up" })",
                    "face = \"rear\"") +
              Point("A", "box",
                    fmt::format(R"({{ tape = {}, from = "K", toward = "outboard" }},
                             {{ square = 8, from = "bottom edge", toward = "up" }})",
                                radius),
                    "face = \"rear\""));
    ASSERT_EQ(placed.placing.points.size(), 2u) << placed.Error();
    const PlacedPoint& a = placed.placing.points[1];
    EXPECT_LT((a.position - Vec3(-30, 120 + radius, 278)).norm(), 1e-6);
    // The farthest honest reading: 8 up from the tangent line, on the same circle.
    const double along = std::sqrt(radius * radius - 64.0);
    EXPECT_NEAR(a.reading_spread, std::hypot(radius - along, 8.0), 1e-6);
    EXPECT_SAYS(a.nominals.front().how, "no place if read by: tape, tape;");
  }
}

// On a part that rises away from an end the circle has a second place with the edge read from its
// tangent line, which with the edge itself would lie beyond that end.
TEST(Placing, OfSeveralPlacesOfAnotherReadingTheNearestCounts) {
  struct Case {
    const char* end;
    const char* away;
    double rise;
  };
  for (const Case& c : {Case{"inner end", "outboard", 10.0 * kDegree},
                        Case{"outer end", "inboard", -10.0 * kDegree}}) {
    std::string box = kBox;
    const std::string level = "to = [0, 500, 300]";
    box.replace(box.find(level), level.size(),
                fmt::format("to = [0, {}, {}]", 100.0 + 400.0 * std::cos(c.rise),
                            300.0 + 400.0 * std::sin(c.rise)));
    for (const double radius : {20.4, 21.0, 21.4}) {
      const Placed placed = Place(box +
                                  Point("K", "box",
                                        fmt::format(R"({{ tape = 20, from = "{}", toward = "{}" }},
                     {{ square = 8, from = "bottom edge", edge = "sharp", toward = "up" }})",
                                                    c.end, c.away),
                                        "face = \"rear\"") +
                                  Point("A", "box",
                                        fmt::format(R"({{ tape = {}, from = "K", toward = "up" }},
                               {{ square = 8, from = "bottom edge", toward = "up" }})",
                                                    radius),
                                        "face = \"rear\""));
      ASSERT_EQ(placed.placing.points.size(), 2u) << placed.Error();
      const PlacedPoint& a = placed.placing.points[1];
      EXPECT_NEAR(a.station, c.rise > 0.0 ? 20.0 + radius : 380.0 - radius, 1e-6);
      const double along = std::sqrt(radius * radius - 64.0);
      EXPECT_NEAR(a.reading_spread, std::hypot(radius - along, 8.0), 1e-6);
    }
  }
}

// By square 29.8 of a radius of 30 nearly touches the side: half a millimetre more has no place.
TEST(Placing, AReadingThatNearlyTouchesLeavesThePointUnproven) {
  const Placed placed =
      Place(kTube + Point("A", "tube",
                          R"({ tape = 80, from = "inner end", toward = "outboard" },
                       { tape = 29.8, from = "bottom", toward = "front" })"));
  ASSERT_EQ(placed.placing.points.size(), 1u) << placed.Error();
  const PlacedPoint& a = placed.placing.points[0];
  EXPECT_TRUE(a.zone.bounded);
  EXPECT_FALSE(MarkSpread(a).has_value());
  bool told = false;
  for (const JobError& warning : placed.placing.warnings) {
    told = told || warning.message.find("(read by tape, square)") != std::string::npos;
  }
  EXPECT_TRUE(told);
}

// ---------------------------------------------------------------- what is kept

void ExpectSame(const Placing& kept, const Placing& fresh) {
  EXPECT_EQ(kept.points, fresh.points);
  ASSERT_EQ(kept.errors.size(), fresh.errors.size());
  for (std::size_t i = 0; i < kept.errors.size(); ++i) {
    EXPECT_EQ(kept.errors[i].message, fresh.errors[i].message);
  }
}

TEST(PlacingMemo, GivesWhatAFreshPlacingGivesWhateverChanges) {
  PlacingMemo memo;
  const std::string a = Drill("A", AtBottom(80.0));
  const std::string b = Drill("B", AtBottom(100.0));
  const std::string on_b =
      Point("C", "tube", R"({ tape = 40, from = "B", toward = "outboard" }, { line = "bottom" })");
  const std::string second_tube =
      "[part.other]\nsection = \"round\"\ndiameter = 60\nwall = 3\n"
      "from = [200, 100, 300]\nto = [200, 500, 300]\n"
      "start = \"inner end\"\nfinish = \"outer end\"\n";
  const std::string a_there =
      "[[point]]\nname = \"A\"\nuse = \"drill\"\npart = \"other\"\nrule = [ " + AtBottom(80.0) +
      " ]\ndrill = [8]\n";
  int errors = 0;
  // Both; A moved on top of B, which has not changed; A gone; A back; A on another part; both
  // again.
  for (const std::string& points : {a + b, Drill("A", AtBottom(97.0)) + b, b, a + b, a_there + b,
                                    a + b + on_b, a + Drill("B", AtBottom(103.0)) + on_b, a}) {
    const Placed kept = Place(kTube + second_tube + points, &memo);
    const Placed fresh = Place(kTube + second_tube + points);
    ExpectSame(kept.placing, fresh.placing);
    errors += static_cast<int>(kept.placing.errors.size());
  }
  EXPECT_EQ(errors, 1);
}

}  // namespace
}  // namespace holeward
