// What to set at a hole, and what would do where no stop does: each in a straight box with flat
// walls and no errors but the one that is spoken of, where depths are closed forms.
//
// A drill of diameter d and point angle A through a wall t needs t + (d/2) cot(A/2) + 1 mm; behind
// a box H high it must keep 5 mm of H - t. A proposed stop is rounded up to half millimetres.
#include "models/hole_settings.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "tests/models/checked_job.h"

namespace holeward {
namespace {

using testing_tools::All;
using testing_tools::CheckedJob;
using testing_tools::kHole;
using testing_tools::kTube;
using testing_tools::Of;
using testing_tools::Says;
using testing_tools::With;

struct Box {
  double height = 60.0;
  std::string errors{};  ///< those that are not zero
  std::string drill = "[2]";
  std::string more{};  ///< of the point
  std::string tool{};
  std::string inner{};
  std::string rule =
      "{ square = 200, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" }";
};

CheckedJob Made(const Box& box) {
  std::string marking = "[marking]\n" + box.errors;
  for (const char* error : {"tape", "rule", "square", "middle", "line", "protractor", "punch",
                            "tilt", "depth", "wall", "outline", "inner_body"}) {
    if (box.errors.find(std::string(error) + " =") == std::string::npos) {
      marking += std::string(error) + " = 0\n";
    }
  }
  return Of(fmt::format(R"({}
[tool.drill]
projection = 90
collar = {{ diameter = 3, length = 0.5 }}
{}
[part.box]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
stations = [
  {{ centre = [0, 200, 300], width = 70, height = {}, corner = 3 }},
  {{ centre = [0, 600, 300], width = 70, height = {}, corner = 3 }},
]
{}
[[point]]
name = "P"
use = "drill"
part = "box"
face = "top"
rule = [ {} ]
drill = {}
{}
)",
                        marking, box.tool, box.height, box.height, box.inner, box.rule, box.drill,
                        box.more));
}

/// A bar along the box whose middle lies `below` the top (mm).
std::string BarBelow(double below, double diameter, const std::string& reach) {
  return fmt::format(
      "[[part.box.inner]]\nname = \"bar\"\ndiameter = {}\noffset = [0, 0, {}]\nreach = {}\n",
      diameter, 30.0 - below, reach);
}

/// What is said of a stage of a checked job.
class Asked {
 public:
  explicit Asked(const CheckedJob& run, std::size_t stage = 0)
      : run_(run),
        around_(Surroundings::Make(run.scene, run.job.marking)),
        as_is_{JudgedBy(run.job), run.job.points.at(0), run.placed.at(0), stage} {}

  HoleVariant& as_is() { return as_is_; }
  bool steady = true;  ///< surroundings with half of an error can be made

  [[nodiscard]] std::optional<StopRange> Stops() const {
    return StopsOf(run_.hole(as_is_.stage), run_.job, around_->diagonal());
  }
  [[nodiscard]] std::vector<std::string> Advice() const { return Advice(Stops()); }
  [[nodiscard]] std::vector<std::string> Advice(const std::optional<StopRange>& stops) const {
    return Ask<std::vector<std::string>>([&](const auto& what) { return AdviceOn(what, stops); });
  }
  [[nodiscard]] std::optional<double> Lean() const {
    return Ask<std::optional<double>>([](const auto& what) { return LeanOf(what); });
  }

 private:
  template <class T>
  [[nodiscard]] T Ask(const std::function<T(const SettingsOfWhat&)>& ask) const {
    std::optional<SteadySurroundings> half;
    const std::function<const SteadySurroundings*()> halved = [&] {
      auto made = SteadySurroundings::Make(run_.scene, run_.job.marking, 0.5);
      if (made && steady) half = std::move(*made);
      return half ? &*half : nullptr;
    };
    return ask({as_is_, run_.job, run_.scene, run_.scene.parts.at(0), *around_, halved,
                run_.hole(as_is_.stage), Side::left});
  }

  const CheckedJob& run_;
  Result<Surroundings> around_;
  HoleVariant as_is_;
};

std::vector<std::string> AdviceFor(const Box& box) {
  const CheckedJob run = Made(box);
  return Asked(run).Advice();
}

bool Holds(const std::vector<std::string>& advice, const std::string& sentence) {
  return std::find(advice.begin(), advice.end(), sentence) != advice.end();
}

// ---- Stops

HoleCheck Depths(std::optional<double> needed, std::optional<double> free) {
  HoleCheck check;
  check.stop_needed = needed;
  check.free_depth_worst = free;
  return check;
}

TEST(HoleSettings, StopsAreRoundedInward) {
  Job job;
  job.limits.clearance = 5.0;
  job.marking.depth = {0.3, 0.5};
  EXPECT_FALSE(StopsOf(Depths({}, 40.0), job, 400.0));
  const auto stops = StopsOf(Depths(10.01, 20.07), job, 400.0);
  ASSERT_TRUE(stops);
  EXPECT_NEAR(stops->least, 10.1, 1e-9);
  EXPECT_NEAR(stops->greatest, 14.5, 1e-9);  // 20.07 - 5 - 0.5
  EXPECT_TRUE(stops->any());
  // What is a tenth already stays one.
  const auto even = StopsOf(Depths(10.1, 20.1), job, 400.0);
  EXPECT_NEAR(even->least, 10.1, 1e-9);
  EXPECT_NEAR(even->greatest, 14.6, 1e-9);
  EXPECT_FALSE(StopsOf(Depths(14.7, 20.1), job, 400.0)->any());
  // Nothing met: as far as was looked, and no farther.
  EXPECT_NEAR(StopsOf(Depths(10.0, {}), job, 100.0)->greatest, 94.5, 1e-9);
  EXPECT_NEAR(StopsOf(Depths(10.0, 200.0), job, 100.0)->greatest, 94.5, 1e-9);
}

TEST(HoleSettings, AStopIsKeptChangedOrProposed) {
  const Box box{.height = 40.0};  // 4.6009 to 32
  const CheckedJob run = Made(box);
  const Asked asked(run);
  const std::string range = "4.7 to 32.0 mm goes through and keeps the limit in every case";
  ASSERT_TRUE(asked.Stops());
  EXPECT_NEAR(asked.Stops()->least, 4.7, 1e-9);
  EXPECT_NEAR(asked.Stops()->greatest, 32.0, 0.1 + 1e-9);  // the depth's bound may lie 0.04 below
  const StopRange stops{4.7, 32.0};
  const auto said = [&](double stop) {
    CheckedJob set = run;
    set.checking.holes[0].stop = stop;
    return Asked(set).Advice(stops);
  };
  for (const double stop : {4.66, 4.7, 20.0, 32.0}) {
    EXPECT_TRUE(Holds(said(stop), fmt::format("Depth stop: {}; {:.1f} mm is set.", range, stop)))
        << All(said(stop));
  }
  for (const double stop : {4.64, 32.01}) {
    EXPECT_TRUE(
        Holds(said(stop), fmt::format("Change the depth stop: {}; {:.1f} mm is set.", range, stop)))
        << All(said(stop));
  }
  CheckedJob without = run;
  without.checking.holes[0].stop.reset();
  const auto advice = Asked(without).Advice(stops);
  EXPECT_TRUE(Holds(advice, "Use a depth stop: " + range + ".")) << All(advice);
  EXPECT_FALSE(Says(advice, "spacer"));
  // Depths that were not computed say nothing of stops.
  EXPECT_FALSE(Says(Asked(run).Advice({}), "keeps the limit"));
  EXPECT_FALSE(Says(Asked(run).Advice({}), "would do"));
}

// Each stage has a projection of its own, the last one's holds for the rest.
TEST(HoleSettings, ASpacerIsWhatShowsLessTheStop) {
  CheckedJob run = Made({.height = 40.0, .drill = "[2, 3, 4]", .more = "stop = 12"});
  run.job.drill.projection = {30.0, 12.0};
  const auto said = [&](std::size_t stage) { return Asked(run, stage).Advice(); };
  EXPECT_TRUE(Says(said(0), "A spacer tube in place of the collar: 18.0 mm long (30.0 mm of drill"))
      << All(said(0));
  for (const std::size_t stage : {1U, 2U}) {
    EXPECT_TRUE(
        Holds(said(stage), "The drill shows only 12.0 mm from the chuck: too short for this stop."))
        << All(said(stage));
  }
}

TEST(HoleSettings, AStartMoreThanFifteenDegreesOffNeedsAGuide) {
  for (const int lean : {14, 16}) {
    const CheckedJob run =
        Made({.more = fmt::format("axis = {{ toward = \"outboard\", lean = {} }}", lean)});
    const Asked asked(run);
    ASSERT_TRUE(asked.Lean());
    EXPECT_NEAR(*asked.Lean(), lean * kDegree, 1e-9);
    EXPECT_EQ(
        Holds(asked.Advice(), "It starts 16° off the skin's normal: a drill guide is needed."),
        lean == 16)
        << All(asked.Advice());
  }
  // An axis that leads away from the part leans by nothing that could be guided.
  const CheckedJob away = Made({.more = "axis = \"up\""});
  EXPECT_FALSE(Asked(away).Lean());
  EXPECT_FALSE(Says(Asked(away).Advice(), "guide"));
}

// ---- Where no stop would do

const char* const kNothing =
    "Neither a smaller drill, nor another axis, nor a place within 40 mm along the rule, nor half "
    "of "
    "any one error would do.";

TEST(HoleSettings, WhereNothingWouldDoThatIsSaid) {
  for (const char* tool : {"", "kind = \"step\"\nsteps = [ [4, 6] ]\n"}) {
    CheckedJob run = Made({.drill = "[8]", .tool = tool});
    run.job.limits.clearance = 1000.0;
    run.Check();
    const auto advice = Asked(run).Advice();
    EXPECT_TRUE(Says(advice, "No stop will do: to go through in every case it must be set at "));
    EXPECT_TRUE(Says(advice, "mm or more, to keep 1000.0 mm clear at -")) << All(advice);
    EXPECT_EQ(advice.back(), kNothing) << All(advice);
    EXPECT_FALSE(Says(advice, "it would do.")) << All(advice);
  }
}

// 14.4 high the stop may be 6.4 at most: Ø8 needs 6.403, Ø7 6.103 and so 6.5, Ø6.5 5.953.
TEST(HoleSettings, TheGreatestOfTheSmallerDrillsIsNamed) {
  const auto advice = AdviceFor({.height = 14.4, .drill = "[8]"});
  EXPECT_TRUE(Holds(advice, "A smaller drill would do: Ø6.5.")) << All(advice);
  EXPECT_FALSE(Holds(advice, kNothing));
  // One of the common sizes that is as thick is no smaller one.
  const auto same = AdviceFor({.height = 12.9, .drill = "[2]"});
  EXPECT_FALSE(Says(same, "A smaller drill")) << All(same);
}

// Ø8 behind a step of Ø4, 6 mm long: 3 + 6 + 2 cot 59° + 1 = 11.2 against 10 at most.
TEST(HoleSettings, ATwistDrillIsShorterThanAStepDrill) {
  const Box step{.height = 18.0, .drill = "[8]", .tool = "kind = \"step\"\nsteps = [ [4, 6] ]\n"};
  const auto advice = AdviceFor(step);
  EXPECT_TRUE(Holds(advice, "A twist drill in place of the step drill would do.")) << All(advice);
  EXPECT_FALSE(Says(advice, "blunter")) << All(advice);
}

// Ø8 at 130° needs 5.865, at 135° 5.657, at 140° 5.456.
TEST(HoleSettings, TheLeastBlunterPointThatWouldDoIsNamed) {
  const auto blunter = AdviceFor({.height = 14.4, .drill = "[8]"});
  EXPECT_TRUE(Holds(blunter, "A blunter point would do: 130°.")) << All(blunter);
  const auto bluntest = AdviceFor({.height = 13.6, .drill = "[8]", .tool = "point_angle = 135\n"});
  EXPECT_TRUE(Holds(bluntest, "A blunter point would do: 140°.")) << All(bluntest);
  // None is blunter than the bluntest.
  const auto none = AdviceFor({.height = 13.4, .drill = "[8]", .tool = "point_angle = 140\n"});
  EXPECT_FALSE(Says(none, "blunter")) << All(none);
}

// A bar of Ø3 whose middle lies c = 11 mm under the mark: a drill of Ø2, its cone continued by the
// 1 mm of air beside it, that leans by b meets it at c cos b + c sin b cot 59° - 1.5 / sin 59°, if
// it does. At 10° that is 10.23 mm for a stop of 5.5, at 15° it is 10.58.
TEST(HoleSettings, ALeanPastABarIsNamedWithItsDirection) {
  const auto advice = AdviceFor({.inner = BarBelow(11.0, 3.0, "[0, 400]")});
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  EXPECT_TRUE(Holds(advice, "Drilled leaning 15° toward front it would do.")) << All(advice);
}

// Leaning by 20° Ø2 needs 3 / cos 20° + 1.601 + (1 + 1.5) tan 20° = 5.70 mm, of 10.1 / cos 20° - 5;
// square 4.60 of 5.1.
TEST(HoleSettings, SquareToTheSkinIsLookedAtFirstWhereTheAxisLeans) {
  const auto advice =
      AdviceFor({.height = 13.1, .more = "axis = { toward = \"outboard\", lean = 20 }"});
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  EXPECT_TRUE(Holds(advice, "Drilled square to the skin it would do.")) << All(advice);
  EXPECT_FALSE(Says(advice, "Drilled leaning")) << All(advice);
}

// Along the bar neither this lean nor none gets past it: what does is looked for all the same.
TEST(HoleSettings, WhereSquareToTheSkinWouldNotDoALeanIsLookedFor) {
  const auto advice = AdviceFor({.more = "axis = { toward = \"outboard\", lean = 5 }",
                                 .inner = BarBelow(11.0, 3.0, "[0, 400]")});
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  EXPECT_FALSE(Says(advice, "square to the skin it would do")) << All(advice);
  EXPECT_TRUE(Holds(advice, "Drilled leaning 15° toward front it would do.")) << All(advice);
}

// ---- Another place

std::string Place(const char* what, const std::string& to, const std::string& from) {
  return fmt::format(
      "The nearest place on the rule at which it would do: {} {} instead of {}; check its edges "
      "and "
      "seat too.",
      what, to, from);
}

// The bar's top is 9.5 mm deep, and met e mm beside its end at 9.5 + e cot 59°: with a stop of 5
// the hole must lie 0.83 mm off it at least.
TEST(HoleSettings, TheNearestPlaceBesideWhatIsInTheWayIsNamed) {
  for (const char* method : {"square", "tape", "rule"}) {
    Box box;
    if (std::string(method) == "rule") {
      box.rule =
          "{ rule = 200, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" }";
    } else {
      box.rule = With(box.rule, "square", method);
    }
    box.inner = BarBelow(11.0, 3.0, "[150, 204.5]");
    const auto beyond = AdviceFor(box);
    EXPECT_TRUE(Holds(beyond, Place("reading", "207 mm", "200 mm"))) << method << All(beyond);
    box.inner = BarBelow(11.0, 3.0, "[195.5, 250]");
    const auto before = AdviceFor(box);
    EXPECT_TRUE(Holds(before, Place("reading", "193 mm", "200 mm"))) << method << All(before);
  }
  // Neither reading may be moved by more than 40 mm, nor to nothing or less.
  const auto far = AdviceFor({.inner = BarBelow(11.0, 3.0, "[100, 300]")});
  EXPECT_FALSE(Says(far, "nearest place")) << All(far);
  Box near{.inner = BarBelow(11.0, 3.0, "[0, 100]")};
  near.rule = With(near.rule, "200", "30");
  EXPECT_FALSE(Says(AdviceFor(near), "nearest place")) << All(AdviceFor(near));
}

// The end of the box is 10 mm on: what lies beyond it is no place, and the bar is under all before.
TEST(HoleSettings, WhereTheRuleLeavesThePartNoPlaceIsNamed) {
  Box box{.inner = BarBelow(11.0, 3.0, "[0, 400]")};
  box.rule = With(box.rule, "200", "390");
  const auto advice = AdviceFor(box);
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  EXPECT_FALSE(Says(advice, "nearest place")) << All(advice);
}

// The second reading may be the one: x mm across from a bar along the whole face it is met at
// 11 + x cot 59° - 1.5 / sin 59° mm, which is 9.85 at 1 mm and 10.45 at 2 mm.
TEST(HoleSettings, EitherReadingMayBeMoved) {
  Box box{.inner = BarBelow(11.0, 3.0, "[0, 400]")};
  box.rule =
      "{ square = 200, from = \"inner end\", toward = \"outboard\" }, { square = 35, from = \"rear "
      "edge\", toward = \"front\", edge = \"sharp\" }";
  const auto advice = AdviceFor(box);
  EXPECT_TRUE(Holds(advice, Place("reading", "37 mm", "35 mm"))) << All(advice);
}

// A tube whose hole of Ø2 comes down on a thin rod beside its axis: so many degrees round it
// passes.
TEST(HoleSettings, AProtractorIsMovedByDegrees) {
  CheckedJob run = Of(R"(
[marking]
tape = 0
protractor = 0
punch = 0
tilt = 0
depth = 0
wall = 0
outline = 0
inner_body = 0
[tool.drill]
collar = { diameter = 3, length = 0.5 }
)" + std::string(kTube) +
                      "[[part.tube.inner]]\nname = \"rod\"\ndiameter = 2.4\npath = [[-9.5, 100, "
                      "281.5], [-9.5, 500, 281.5]]\n" +
                      With(With(kHole, "{ line = \"bottom\" }",
                                "{ protractor = 27.2, from = \"bottom\", toward = \"rear\" }"),
                           "[8]", "[2]"));
  run.job.limits.clearance = 10.0;
  run.Check();
  const Asked asked(run);
  const auto advice = asked.Advice();
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  // The rod's middle lies 20.8 mm from the tube's axis, at 27.2°: to pass it by 1 mm, 1 mm and
  // its radius of 1.2 aside, are asin(3.2 / 20.8) = 8.9°, to pass by less is to meet it too early.
  EXPECT_TRUE(Holds(advice, Place("protractor", "37.2 °", "27.2 °"))) << All(advice);
  // Whatever it is read at, it is never less than nothing.
  Asked low(run);
  low.as_is().row.rule[1].value = 0.5 * kDegree;
  EXPECT_FALSE(Says(low.Advice(), "protractor -")) << All(low.Advice());
  // A point that the job does not have is not moved.
  Asked ghost(run);
  ghost.as_is().row.name = "ghost";
  EXPECT_FALSE(Says(ghost.Advice(), "nearest place")) << All(ghost.Advice());
}

// ---- A steadier hand

/// The one error half of which would do; empty if that is not what is said.
std::string HalfOf(const Box& box, bool steady = true) {
  const CheckedJob run = Made(box);
  Asked asked(run);
  asked.steady = steady;
  const auto advice = asked.Advice();
  EXPECT_TRUE(Says(advice, "No stop will do")) << All(advice);
  const std::string begins = "Half the error would do, of any one of: ";
  for (const std::string& sentence : advice) {
    if (sentence.rfind(begins, 0) == 0) return sentence.substr(begins.size());
  }
  return "";
}

TEST(HoleSettings, TheOneErrorHalfOfWhichWouldDoIsNamed) {
  // The bar begins 2.2 mm off: the mark may lie 0.2 mm beside it, or 1.2.
  EXPECT_EQ(HalfOf({.errors = "square = 2\n", .inner = BarBelow(11.0, 3.0, "[202.2, 250]")}),
            "reading the rule.");
  // Leaning by 20° 5.70 mm are needed, by 10° 5.09, of 5.6.
  EXPECT_EQ(HalfOf({.height = 13.6, .errors = "tilt = 20\n"}), "tilt (a drill guide).");
  // 4.60 and the depth's error, of 6.5 less the error.
  EXPECT_EQ(HalfOf({.height = 14.5, .errors = "depth = 1\n"}), "the depth setting.");
  // A wall thicker by the error is so much longer to pass and so much nearer behind.
  EXPECT_EQ(HalfOf({.height = 14.5, .errors = "wall = 1\n"}), "the wall thickness (measure it).");
  // A section smaller by the error: the flat under the mark stays, the one behind is nearer.
  EXPECT_EQ(HalfOf({.height = 13.6, .errors = "outline = 1\n"}), "the outside size (measure it).");
  // 12.1 - 1.5 - 1 - 5 = 4.6 of 4.7 wanted.
  EXPECT_EQ(HalfOf({.errors = "inner_body = 1\n", .inner = BarBelow(12.1, 3.0, "[0, 400]")}),
            "where the inner body lies (measure it).");
}

TEST(HoleSettings, WithoutSteadierSurroundingsThoseErrorsAreNotSpokenOf) {
  EXPECT_EQ(HalfOf({.height = 14.5, .errors = "wall = 1\n"}, false), "");
  EXPECT_EQ(HalfOf({.height = 14.5, .errors = "depth = 1\n"}, false), "the depth setting.");
}

// ---- A template's print counts for the place too

// Alone on its template the mark would do 7 mm on, beside the bar's end; a sheet that must reach a
// mark at the far end as well may have more joins between, and be off by more.
TEST(HoleSettings, APlaceIsNamedOnlyIfItWouldDoAmongAllPointsOfItsTemplate) {
  const std::string sheet = "[[template]]\nname = \"T\"\npart = \"box\"\nalign = [\"inner end\"]\n";
  const std::string far =
      "[[point]]\nname = \"far\"\nuse = \"test\"\npart = \"box\"\nface = \"top\"\nrule = [ { "
      "square = 380, from = \"inner end\", toward = \"outboard\" }, { middle = \"face\" } ]\n";
  const auto at = [](const char* reading, std::string more, std::string inner = "") {
    Box box{.more = std::move(more), .inner = std::move(inner)};
    box.rule = With(box.rule, "200", reading);
    return box;
  };
  const double alone = Made(at("167", sheet)).placed.at(0).zone.radius;
  const double together = Made(at("167", sheet + far)).placed.at(0).zone.radius;
  ASSERT_GT(together, alone + 0.2);
  const double end = 167.0 - 0.833 - 0.5 * (alone + together);
  const std::string bar = BarBelow(11.0, 3.0, fmt::format("[100, {}]", end));
  const std::string place = Place("reading", "167 mm", "160 mm");
  const auto one = AdviceFor(at("160", sheet, bar));
  EXPECT_TRUE(Holds(one, place)) << All(one);
  const auto both = AdviceFor(at("160", sheet + far, bar));
  EXPECT_FALSE(Holds(both, place)) << All(both);
  EXPECT_TRUE(Says(both, "The nearest place")) << All(both);
}

}  // namespace
}  // namespace holeward
