// A fitting that readings place may stand elsewhere by what they are off: so may all that is
// measured from it, and what keeps clear of it.
#include "geometry/fitting_spread.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "geometry/near_things.h"
#include "geometry/surface.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"
#include "models/surroundings.h"

namespace holeward {
namespace {

constexpr const char* kByStation = "station = 60";
constexpr const char* kByRule =
    "rule = [ { tape = 60, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" } ]";

// A straight tube 60 x 40, a bracket on top, hole H measured from it, P placed as the bracket is.
std::string JobText(const std::string& bracket, const std::string& more = "") {
  return "holeward = 1\n[marking]\ntape = 2\nrule = 2\nsquare = 2\nmiddle = 1.5\npunch = 0.5\n"
         "[part.arm]\nsection = \"box\"\nwall = 3\nwidth = 60\nheight = 40\ncorner = 6\n"
         "start = \"inner end\"\nfinish = \"outer end\"\n"
         "from = [0, 300, 250]\nto = [0, 600, 250]\n"
         "[[part.arm.fitting]]\nname = \"bracket\"\nkind = \"bracket\"\nface = \"top\"\n"
         "size = [20, 16]\nheight = 30\n" +
         bracket +
         "\n[[point]]\nname = \"H\"\nuse = \"drill\"\npart = \"arm\"\nface = \"top\"\ndrill = [4]\n"
         "rule = [ { tape = 50, from = \"bracket\", toward = \"outboard\" }, { middle = \"face\" } "
         "]\n[[point]]\nname = \"P\"\nuse = \"reference\"\npart = \"arm\"\nface = \"underside\"\n" +
         kByRule + "\n" + more;
}

struct Placed {
  Job job;
  Scene scene;
  Placing placing;

  [[nodiscard]] const Part& arm() const { return scene.parts.front(); }
  [[nodiscard]] const Fitting& bracket() const { return arm().fittings.front(); }
  [[nodiscard]] const Zone& ZoneOf(const std::string& point) const {
    return FindPlaced(placing.points, point)->zone;
  }
};

Placed Place(const std::string& text) {
  JobReading read = ReadJobText(text, "job.toml");
  EXPECT_TRUE(read.ok()) << (read.ok() ? "" : read.errors[0].Text("job.toml"));
  Placed out;
  out.job = std::move(read.job);
  SceneBuild build = BuildScene(out.job, Side::left);
  EXPECT_TRUE(build.ok()) << (build.errors.empty() ? "" : build.errors[0].message);
  out.scene = std::move(build.scene);
  out.placing = PlacePoints(out.job, out.scene, Side::left);
  EXPECT_TRUE(out.placing.errors.empty())
      << (out.placing.errors.empty() ? "" : out.placing.errors[0].message);
  return out;
}

TEST(FittingSpread, IsTheZoneOfAPointOfTheSameRuleWithoutItsPunch) {
  const Placed by_rule = Place(JobText(kByRule));
  ASSERT_TRUE(by_rule.bracket().spread.has_value());
  // Tape along within 2, middle across within 1.5: the corner of the box.
  EXPECT_GE(*by_rule.bracket().spread, std::hypot(2.0, 1.5) - 1e-9);
  EXPECT_NEAR(*by_rule.bracket().spread, by_rule.ZoneOf("P").radius - 0.5, 0.02);
  EXPECT_EQ(Place(JobText(kByStation)).bracket().spread, 0.0);
}

TEST(FittingSpread, WidensTheZoneOfAPointMeasuredFromIt) {
  const Placed by_station = Place(JobText(kByStation));
  const Placed by_rule = Place(JobText(kByRule));
  const Zone& sure = by_station.ZoneOf("H");
  const Zone& unsure = by_rule.ZoneOf("H");
  ASSERT_TRUE(sure.bounded);
  ASSERT_TRUE(unsure.bounded);
  EXPECT_EQ(sure.makeup.datum, 0.0);
  // Straight along a straight tube: a mm the bracket is off, the point is off.
  EXPECT_NEAR(unsure.radius - sure.radius, *by_rule.bracket().spread, 0.05);
  EXPECT_NEAR(unsure.makeup.datum, *by_rule.bracket().spread, 0.05);
  // The point that does not hang on it stays as it is.
  EXPECT_NEAR(by_rule.ZoneOf("P").radius, by_station.ZoneOf("P").radius, 1e-9);
}

TEST(FittingSpread, GrowsWhatADrillAndAToolKeepClearOf) {
  const auto grown = [](const Placed& placed) {
    const auto around = Surroundings::Make(placed.scene, placed.job.marking);
    EXPECT_TRUE(around.has_value());
    double least = 1e9;
    for (const Obstacle& o : around->ForDrill("arm").obstacles) {
      if (o.body != "bracket") continue;
      for (const BezierPatch& patch : o.patches) least = std::min(least, patch.grown);
    }
    return least;
  };
  const Placed by_rule = Place(JobText(kByRule));
  EXPECT_GE(grown(by_rule), *by_rule.bracket().spread);
  EXPECT_LT(grown(Place(JobText(kByStation))), 0.1);
}

TEST(FittingSpread, BringsAFittingNearerToAHole) {
  const auto nearest = [](const Placed& placed) {
    const PlacedPoint& h = *FindPlaced(placed.placing.points, "H");
    const TapeSolver tape(std::make_shared<SkinSurface>(placed.arm().skin));
    const NearThings near = NearThingsFrom(placed.arm(), tape, {h.place, 0.0, 0.0}, {});
    const auto found = std::find_if(near.things.begin(), near.things.end(),
                                    [](const NearThing& t) { return t.to == "bracket"; });
    EXPECT_NE(found, near.things.end());
    return *found;
  };
  const Placed by_rule = Place(JobText(kByRule));
  const NearThing thing = nearest(by_rule);
  EXPECT_NEAR(thing.nominal, 50.0, 1e-3);
  EXPECT_LE(thing.least, 50.0 - *by_rule.bracket().spread + 1e-3);
  EXPECT_TRUE(thing.proven);
  EXPECT_NEAR(nearest(Place(JobText(kByStation))).least, 50.0, 1e-3);
}

TEST(FittingSpread, ShiftsASheetThatIsLaidByTheFitting) {
  const auto sheet = [](const std::string& bracket, const std::string& align) {
    const Placed placed = Place(JobText(
        bracket,
        "[[template]]\nname = \"T\"\npart = \"arm\"\npoints = [\"H\"]\nalign = [" + align + "]\n"));
    return placed.ZoneOf("H").makeup.sheet;
  };
  const std::string by_both = "\"bracket\", \"inner end\"";
  const double spread = *Place(JobText(kByRule)).bracket().spread;
  EXPECT_GE(sheet(kByRule, by_both) - sheet(kByStation, by_both), spread - 0.01);
  EXPECT_NEAR(sheet(kByRule, "\"inner end\""), sheet(kByStation, "\"inner end\""), 1e-9);
}

TEST(FittingSpread, WithoutABoundLeavesWhatHangsOnItUnproven) {
  Placed placed = Place(JobText(kByRule));
  placed.scene.parts[0].fittings[0].spread.reset();
  EXPECT_FALSE(PlacePoints(placed.job, placed.scene, Side::left).points[0].zone.bounded);
  const auto around = Surroundings::Make(placed.scene, placed.job.marking);
  ASSERT_TRUE(around.has_value());
  EXPECT_TRUE(around->IsAssumed("bracket"));
}

TEST(FittingSpread, TurnsABodyWithABentSkin) {
  // A round bar of radius 30 by its turn: a stud 2 mm round its skin turns 2 / 30.
  Placed placed = Place(
      "holeward = 1\n[part.arm]\nsection = \"round\"\nwall = 3\ndiameter = 60\nstart = \"a\"\n"
      "finish = \"b\"\nfrom = [0, 300, 250]\nto = [0, 600, 250]\n"
      "[[part.arm.fitting]]\nname = \"stud\"\nkind = \"stud\"\nface = \"top\"\ndiameter = 8\n"
      "station = 150\nheight = 40\n");
  Fitting stud = placed.bracket();
  stud.spread = 2.0;
  const double turn = 2.0 * std::sin(0.5 * 2.0 / 30.0);
  const double moved = *MovedAtMost(*placed.arm().skin, stud, 40.0);
  EXPECT_GE(moved, 2.0 + turn * std::hypot(4.0, 40.0) - 1e-6);
  EXPECT_LE(moved, 2.0 + 1.25 * turn * std::hypot(4.0, 40.0));
}

}  // namespace
}  // namespace holeward
