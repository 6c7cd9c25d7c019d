#include "models/placing.h"

#include <chrono>
#include <cmath>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "models/scene.h"

namespace holeward {
namespace {

constexpr const char* kTube = R"(
holeward = 1
title = "tube"
[part.tube]
section = "round"
diameter = 60
wall = 3
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
[[part.tube.fitting]]
name = "bracket"
kind = "bracket"
station = 300
face = "top"
size = [40, 50]
height = 10
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

constexpr const char* kArm = R"(
holeward = 1
title = "arm"
[part.arm]
section = "box"
wall = 2.5
start = "inner end"
finish = "outer end"
stations = [
  { centre = [-110, 220, 310], width = 56, height = 48, corner = 8 },
  { centre = [-104, 350, 301], width = 60, height = 52, corner = 8 },
  { centre = [-115, 500, 286], width = 50, height = 44, corner = 8 },
]
[[part.arm.fitting]]
name = "pivot"
kind = "eye"
station = 0
diameter = 40
length = 70
[[part.arm.fitting]]
name = "spring plate"
kind = "plate"
face = "rear"
station = 190
size = [30, 20]
height = 4
)";

struct Placed {
  Job job;
  Placing placing;

  [[nodiscard]] const PlacedPoint& operator[](const std::string& name) const {
    for (const auto& p : placing.points) {
      if (p.name == name) return p;
    }
    throw std::runtime_error("not placed: " + name + " " + Errors());
  }
  [[nodiscard]] std::string Errors() const {
    std::string all;
    for (const auto& e : placing.errors) all += e.message + "\n";
    return all;
  }
};

Placed PlaceText(const std::string& text, Side side = Side::left) {
  Placed placed;
  auto reading = ReadJobText(text, "job.toml");
  for (const auto& e : reading.errors) throw std::runtime_error(e.Text("job.toml"));
  placed.job = std::move(reading.job);
  const SceneBuild build = BuildScene(placed.job, side);
  for (const auto& e : build.errors) throw std::runtime_error(e.Text("job.toml"));
  for (const auto& e : build.failures) throw std::runtime_error(e.Text("job.toml"));
  placed.placing = PlacePoints(placed.job, build.scene, side);
  return placed;
}

std::string Point(const std::string& name, const std::string& part, const std::string& rule,
                  const std::string& more = "") {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"reference\"\npart = \"{}\"\n{}\nrule = [ {} ]\n", name,
      part, more, rule);
}

std::string Drill(const std::string& name, const std::string& rule, const std::string& sizes) {
  return fmt::format(
      "[[point]]\nname = \"{}\"\nuse = \"drill\"\npart = \"tube\"\nrule = [ {} ]\ndrill = {}\n",
      name, rule, sizes);
}

Vec3 OnTube(double station, double angle_deg, double radius = 30.0) {
  const double a = angle_deg * kDegree;  // from the bottom toward the front
  return {radius * std::sin(a), 100.0 + station, 300.0 - radius * std::cos(a)};
}

// ---------------------------------------------------------------- every method from every datum

// The outline a person feels is the weld's toe.
TEST(Placing, FromAWeldedBracketIsFromOneLargerByTheLegOnEverySide) {
  const std::string bare = kTube;
  const auto replaced = [&](const std::string& from, const std::string& to) {
    std::string text = bare;
    text.replace(text.find(from), from.size(), to);
    return text;
  };
  const std::string points =
      Point("K", "tube",
            R"({ tape = 60, from = "bracket", toward = "inboard" }, { line = "bottom" })") +
      Point("L", "tube",
            R"({ tape = 30, from = "bracket", toward = "front" }, { in_line = "bracket" })");
  const Placed welded =
      PlaceText(replaced("size = [40, 50]", "size = [40, 50]\nweld = 5") + points);
  const Placed larger = PlaceText(replaced("size = [40, 50]", "size = [50, 60]") + points);
  const Placed plain = PlaceText(bare + points);
  for (const char* name : {"K", "L"}) {
    EXPECT_LT((welded[name].position - larger[name].position).norm(), 1e-9) << name;
    EXPECT_GT((welded[name].position - plain[name].position).norm(), 4.0) << name;
  }
}

TEST(Placing, ATubesDatumsByEveryMethod) {
  const double arc = 30.0 * kDegree * 30.0;  // 30 degrees of arc
  const auto p = PlaceText(
      std::string(kTube) +
      Point("end tape", "tube",
            R"({ tape = 80, from = "inner end", toward = "outboard" }, { line = "bottom" })") +
      Point("end rule", "tube",
            R"({ rule = 80, from = "outer end", toward = "inboard" }, { line = "front" })") +
      Point("end square", "tube",
            R"({ square = 80, from = "inner end", toward = "outer end" }, { line = "rear" })") +
      Point("bracket tape", "tube",
            R"({ tape = 25, from = "bracket", toward = "inboard" }, { line = "top" })") +
      Point("bracket rule", "tube",
            R"({ rule = 25, from = "bracket", toward = "outboard" }, { line = "top" })") +
      Point("bracket square", "tube",
            R"({ square = 25, from = "bracket", toward = "inner end" }, { line = "bottom" })") +
      Point("bracket around", "tube",
            fmt::format(
                R"({{ in_line = "bracket" }}, {{ tape = {}, from = "bracket", toward = "front" }})",
                arc)) +
      Point("peg along", "tube",
            R"({ tape = 30, from = "peg", toward = "outboard" }, { in_line = "peg" })") +
      Point("peg around", "tube",
            fmt::format(R"({{ tape = {}, from = "peg", toward = "down" }}, {{ in_line = "peg" }})",
                        arc)) +
      Point("hole rim", "tube",
            R"({ tape = 30, from = "drain", toward = "outboard" }, { line = "bottom" })") +
      Point(
          "hole centre", "tube",
          R"({ tape = 30, from = "drain", to = "centre", toward = "outboard" }, { line = "bottom" })") +
      Point(
          "line tape", "tube",
          fmt::format(
              R"({{ tape = 80, from = "inner end", toward = "outboard" }}, {{ tape = {}, from = "front", toward = "up" }})",
              arc)) +
      Point(
          "line rule", "tube",
          fmt::format(
              R"({{ tape = 90, from = "inner end", toward = "outboard" }}, {{ rule = {}, from = "bottom", toward = "rear" }})",
              60.0 * std::sin(15.0 * kDegree))) +
      Point(
          "line square", "tube",
          R"({ tape = 60, from = "inner end", toward = "outboard" }, { square = 30, from = "bottom", toward = "rear" })") +
      Point(
          "protractor", "tube",
          R"({ tape = 80, from = "inner end", toward = "outboard" }, { protractor = 50, from = "bottom", toward = "rear" })") +
      Point("mid", "tube",
            R"({ middle = ["inner end", "bracket"], fraction = 0.25 }, { line = "bottom" })") +
      Point("middle around", "tube", R"({ in_line = "peg" }, { middle = ["bottom", "front"] })") +
      Point("point tape", "tube",
            R"({ tape = 40, from = "end tape", toward = "outboard" }, { in_line = "end tape" })") +
      Point("point rule", "tube",
            R"({ rule = 40, from = "end tape", toward = "outboard" }, { line = "bottom" })") +
      Point("point square", "tube",
            R"({ square = 40, from = "end tape", toward = "outboard" }, { line = "bottom" })") +
      Point(
          "point around", "tube",
          fmt::format(
              R"({{ tape = {}, from = "end tape", toward = "front" }}, {{ in_line = "end tape" }})",
              arc)));
  ASSERT_TRUE(p.placing.errors.empty()) << p.Errors();
  ASSERT_EQ(p.placing.points.size(), 21u);
  auto at = [&](const std::string& name, const Vec3& expected) {
    EXPECT_LT((p[name].position - expected).norm(), 2e-6)
        << name << " " << p[name].position.transpose();
    for (const Reading& r : p[name].readings) {
      EXPECT_LT(std::abs(r.residual) * (r.is_angle ? 30.0 : 1.0), 1e-6) << name;
    }
    EXPECT_TRUE(p[name].zone.bounded) << name;
  };
  at("end tape", OnTube(80, 0));
  at("end rule", OnTube(320, 90));
  at("end square", OnTube(80, -90));
  at("bracket tape", OnTube(300 - 20 - 25, 180));
  at("bracket rule", OnTube(300 + 20 + 25, 180));
  at("bracket square", OnTube(300 - 20 - 25, 0));
  at("bracket around", OnTube(300, 180 - (25.0 / 30.0 / kDegree + 30.0)));
  at("peg along", OnTube(150, -90));
  at("peg around", OnTube(120, -60));
  at("hole rim", OnTube(236, 0));
  at("hole centre", OnTube(230, 0));
  at("line tape", OnTube(80, 120));
  at("line rule", OnTube(90, -30));
  at("protractor", OnTube(80, -50));
  at("mid", OnTube(0.25 * 280, 0));
  at("middle around", OnTube(120, 45));
  at("point tape", OnTube(120, 0));
  at("point rule", OnTube(120, 0));
  at("point square", OnTube(120, 0));
  at("point around", OnTube(80, 30));
  EXPECT_NEAR(p["protractor"].girth, -50.0 * kDegree * 30.0, 1e-6);
  EXPECT_NEAR(p["protractor"].station, 80.0, 1e-6);
  EXPECT_EQ(p["end square"].face, "rear");
  EXPECT_EQ(p["end tape"].ties.size(), 3u);
}

TEST(Placing, AnArmsDatumsByEveryMethod) {
  const std::string face = "face = \"rear\"";
  std::string text = kArm;
  std::vector<std::string> names;
  auto add = [&](const std::string& rule, const std::string& on = "face = \"rear\"") {
    names.push_back(fmt::format("p{}", names.size()));
    text += Point(names.back(), "arm", rule, on);
  };
  for (const char* method : {"tape", "rule", "square"}) {
    add(fmt::format(R"({{ {} = 60, from = "pivot", toward = "outboard" }}, {{ middle = "face" }})",
                    method));
    add(fmt::format(
        R"({{ {} = 60, from = "outer end", toward = "inboard" }}, {{ line = "middle" }})", method));
    add(fmt::format(
        R"({{ {} = 30, from = "spring plate", toward = "inboard" }}, {{ {} = 20, from = "bottom edge", toward = "up" }})",
        method, method));
    add(fmt::format(
        R"({{ {} = 35, from = "p0", toward = "outboard" }}, {{ {} = 20, from = "top edge", edge = "tangent", toward = "down" }})",
        method, method));
    add(fmt::format(
        R"({{ tape = 80, from = "pivot", toward = "outboard" }}, {{ {} = 9, from = "middle", toward = "up" }})",
        method));
    add(fmt::format(R"({{ {} = 12, from = "p0", toward = "down" }}, {{ in_line = "p0" }})",
                    method));
    add(fmt::format(
            R"({{ {} = 90, from = "inner end", toward = "outer end" }}, {{ {} = 25, from = "rear edge", edge = "sharp", toward = "front" }})",
            method, method),
        "face = \"underside\"");
  }
  add(R"({ middle = ["outer end", "spring plate"] }, { middle = "face" })", "face = \"underside\"");
  add(R"({ middle = ["bottom edge", "top edge"], fraction = 0.4 }, { in_line = "p0" })");
  add(R"({ tape = 60, from = "spring plate", toward = "inboard" }, { in_line = "spring plate" })");
  const auto p = PlaceText(text);
  ASSERT_TRUE(p.placing.errors.empty()) << p.Errors();
  ASSERT_EQ(p.placing.points.size(), names.size());
  for (const auto& point : p.placing.points) {
    for (const Reading& r : point.readings) EXPECT_LT(std::abs(r.residual), 1e-6) << point.name;
    EXPECT_TRUE(point.zone.bounded) << point.name;
    EXPECT_GT(point.zone.radius, 0.5) << point.name;
    EXPECT_GT(point.conditioning, 0.9) << point.name;
  }
  // On a face that bends little along the part the three methods agree to a millimetre.
  EXPECT_LT((p["p0"].position - p["p7"].position).norm(), 1.0);
  EXPECT_LT(p["p0"].reading_spread, 1.0);
  // Sharp corner or tangent line: the set-back of 8 mm lies between two honest readings.
  EXPECT_GT(p["p2"].reading_spread, 7.0);
  EXPECT_LT(p["p3"].reading_spread, 3.0);
}

// ---------------------------------------------------------------- spread

TEST(Placing, ReadingsOfARuleAreNominalPlacesOfTheirOwn) {
  const auto p = PlaceText(
      std::string(kTube) +
      Point(
          "A", "tube",
          R"({ tape = 80, from = "inner end", toward = "outboard" }, { tape = 20, from = "bottom", toward = "front" })") +
      Point(
          "B", "tube",
          R"({ tape = 80, from = "inner end", toward = "outboard" }, { protractor = 40, from = "bottom", toward = "front" })"));
  ASSERT_TRUE(p.placing.errors.empty()) << p.Errors();
  // Tape 20 of arc, rule 20 of chord, square 20 sideways, radius 30.
  const double tape = 20.0 / 30.0;
  const double square = std::asin(20.0 / 30.0);
  EXPECT_NEAR(p["A"].reading_spread, 60.0 * std::sin((square - tape) / 2.0), 1e-6);
  EXPECT_EQ(p["A"].nominals.front().how, "tape, tape");
  EXPECT_EQ(p["A"].nominals.size(), 3u);  // along the tube all three agree
  EXPECT_EQ(p["B"].reading_spread, 0.0);
}

TEST(Placing, APointReadFromAPointAddsItsZone) {
  const auto p = PlaceText(
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 80, from = "inner end", toward = "outboard" }, { line = "bottom" })") +
      Point("B", "tube", R"({ tape = 40, from = "A", toward = "outboard" }, { in_line = "A" })"));
  EXPECT_GT(p["B"].zone.radius, p["A"].zone.radius + std::hypot(1.0, 1.0));
  EXPECT_LT(p["B"].zone.radius, p["A"].zone.radius + std::hypot(1.0, 1.0) + 0.5 + 0.2);
}

TEST(Placing, ATemplatesPointIsJudgedOverTheSheetToo) {
  const std::string text =
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 80, from = "inner end", toward = "outboard" }, { line = "bottom" })");
  const auto off = PlaceText(text);
  const auto on = PlaceText(
      text + "[[template]]\nname = \"t\"\npart = \"tube\"\nalign = [\"inner end\", \"bottom\"]\n");
  // Placing the sheet 1 mm; a print within its window, 0.5 in 149.5, over 80 mm; and the joins.
  const double scale = 80.0 * 0.5 / 149.5;
  const double more = on["A"].zone.radius - off["A"].zone.radius;
  EXPECT_GE(more, 1.0 + scale - 1e-9);
  EXPECT_NEAR(std::remainder(more - 1.0 - scale, 0.3), 0.0, 1e-3);
  EXPECT_LE(more, 1.0 + scale + 4 * 0.3 + 1e-3);
}

TEST(Placing, ATemplatesPointFarFromItsAlignmentIsJudgedOverMoreOfThePrint) {
  double last = 0.0;
  for (const int tape : {20, 60, 100}) {
    auto p = PlaceText(
        std::string(kTube) +
        Point("A", "tube",
              fmt::format(R"({{ tape = {}, from = "inner end", toward = "outboard" }},
                             {{ line = "bottom" }})",
                          tape)) +
        "[[template]]\nname = \"t\"\npart = \"tube\"\nalign = [\"inner end\", \"bottom\"]\n");
    const double sheet = p["A"].zone.makeup.sheet;
    EXPECT_GE(sheet, last + (last > 0.0 ? 40.0 * 0.5 / 149.5 : 1.0));
    last = sheet;
  }
}

// ---------------------------------------------------------------- refusals

std::string ErrorOf(const std::string& text) {
  const auto p = PlaceText(text);
  EXPECT_EQ(p.placing.errors.size(), 1u);
  if (p.placing.errors.empty()) return {};
  EXPECT_GT(p.placing.errors.front().at.line, 1);
  return p.placing.errors.front().message;
}

#define EXPECT_SAYS(text, part) EXPECT_NE((text).find(part), std::string::npos) << (text)

TEST(Placing, SaysHowFarThePartReaches) {
  const auto e = ErrorOf(
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 430, from = "inner end", toward = "outboard" }, { line = "bottom" })"));
  EXPECT_SAYS(e, "from 0.0 mm to 400.0 mm (430.0 mm asked for), 30.0 mm beyond");
}

TEST(Placing, SaysWhatAPointLiesUnder) {
  const auto e = ErrorOf(
      std::string(kTube) +
      Point("A", "tube",
            R"({ in_line = "bracket" }, { protractor = 150, from = "bottom", toward = "front" })"));
  EXPECT_SAYS(e, "under the fitting \"bracket\"");
  const auto eye =
      ErrorOf(std::string(kArm) +
              Point("A", "arm",
                    R"({ tape = 8, from = "inner end", toward = "outboard" }, { middle = "face" })",
                    "face = \"rear\""));
  EXPECT_SAYS(eye, "pivot");
}

TEST(Placing, SaysByHowMuchAPointMissesItsFace) {
  const auto e = ErrorOf(
      std::string(kArm) +
      Point(
          "A", "arm",
          R"({ tape = 80, from = "pivot", toward = "outboard" }, { tape = 36, from = "bottom edge", edge = "tangent", toward = "up" })",
          "face = \"rear\""));
  EXPECT_SAYS(e, "off the flat of the rear");
}

TEST(Placing, ABoxWithSharpCornersPlacesAndRefuses) {
  std::string text = kArm;
  for (std::size_t at = text.find("corner = 8"); at != std::string::npos;
       at = text.find("corner = 8")) {
    text.replace(at, 10, "corner = 0");
  }
  const std::string face = "face = \"rear\"";
  const auto p = PlaceText(
      text +
      Point(
          "A", "arm",
          R"({ tape = 80, from = "pivot", toward = "outboard" }, { tape = 12, from = "bottom edge", toward = "up" })",
          face));
  ASSERT_TRUE(p.placing.errors.empty()) << p.Errors();
  EXPECT_LT(p["A"].reading_spread, 1.0);  // no set-back, so no second reading of the edge
  for (
      const char* rule :
      {R"({ tape = 80, from = "pivot", toward = "outboard" }, { tape = 70, from = "bottom edge", toward = "up" })",
       R"({ tape = 80, from = "pivot", toward = "outboard" }, { tape = 12, from = "bottom edge", toward = "down" })"}) {
    EXPECT_SAYS(ErrorOf(text + Point("A", "arm", rule, face)), "point \"A\"");
  }
}

TEST(Placing, RefusesADirectionThatIsAsMuchAlongAsAround) {
  std::string slanted = kTube;
  slanted.replace(slanted.find("[0, 500, 300]"), 13, "[380, 480, 300]");
  slanted.replace(slanted.find("diameter = 60"), 13, "diameter = 60\nlies = \"across\"");
  const auto e = ErrorOf(
      slanted +
      Point("A", "tube", R"({ tape = 30, from = "peg", toward = "outboard" }, { line = "top" })"));
  EXPECT_SAYS(e, "along");
  EXPECT_SAYS(e, "around");
}

TEST(Placing, ListsTheCandidatesOfARuleThatDoesNotDecide) {
  const auto e = ErrorOf(
      std::string(kTube) +
      Point(
          "A", "tube",
          R"({ tape = 60, from = "inner end", toward = "outboard" }, { middle = ["top", "bottom"] })"));
  EXPECT_SAYS(e, "2 places");
  EXPECT_SAYS(e, "station 60.0");
}

TEST(Placing, FindsAHoleOnTopOfAnother) {
  const std::string first =
      R"({ tape = 60, from = "inner end", toward = "outboard" }, { line = "bottom" })";
  const std::string second =
      R"({ tape = 68, from = "inner end", toward = "outboard" }, { line = "bottom" })";
  EXPECT_SAYS(
      ErrorOf(std::string(kTube) + Drill("A", first, "[3, 9]") + Drill("B", second, "[3, 9]")),
      "point \"A\"");
  const std::string beside =
      R"({ tape = 190, from = "inner end", toward = "outboard" }, { line = "bottom" })";
  EXPECT_SAYS(ErrorOf(std::string(kTube) + Drill("A", beside, "[3, 9]")), "hole \"drain\"");
}

TEST(Placing, WarnsOfAnIllConditionedRule) {
  // 100 mm from A and 99.5 mm further along: 10 mm aside, where both tapes run nearly the same way.
  const auto p = PlaceText(
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 60, from = "inner end", toward = "outboard" }, { line = "bottom" })") +
      Point(
          "B", "tube",
          R"({ tape = 100, from = "A", toward = "front" }, { tape = 159.5, from = "inner end", toward = "outboard" })"));
  ASSERT_TRUE(p.placing.errors.empty()) << p.Errors();
  EXPECT_NEAR(p["B"].conditioning, std::sqrt(100.0 * 100.0 - 99.5 * 99.5) / 100.0, 1e-6);
  ASSERT_FALSE(p.placing.warnings.empty());
  EXPECT_SAYS(p.placing.warnings.front().message, "nearly say the same thing");
  // Without a side there are two such places.
  const auto e = ErrorOf(
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 60, from = "inner end", toward = "outboard" }, { line = "bottom" })") +
      Point(
          "B", "tube",
          R"({ tape = 100, from = "A", toward = "outboard" }, { tape = 159.5, from = "inner end", toward = "outboard" })"));
  EXPECT_SAYS(e, "2 places");
}

TEST(Placing, WhatRestsOnAPointNotPlacedIsLeftOut) {
  const auto p = PlaceText(
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 430, from = "inner end", toward = "outboard" }, { line = "bottom" })") +
      Point("B", "tube", R"({ tape = 10, from = "A", toward = "outboard" }, { line = "bottom" })"));
  EXPECT_EQ(p.placing.errors.size(), 1u);
  EXPECT_TRUE(p.placing.points.empty());
}

// ---------------------------------------------------------------- laws

TEST(PlacingLaw, InchesPlaceWhereMillimetresDo) {
  auto text = [](bool inches) {
    const double k = inches ? 1.0 / 25.4 : 1.0;
    return fmt::format(
               "holeward = 1\ntitle = \"t\"\nunits = \"{}\"\n[part.tube]\nsection = "
               "\"round\"\ndiameter = {:.17g}\nwall = {:.17g}\n"
               "from = [0, {:.17g}, 0]\nto = [0, {:.17g}, {:.17g}]\nstart = \"inner end\"\nfinish "
               "= \"outer end\"\n",
               inches ? "in" : "mm", 60 * k, 3 * k, 100 * k, 500 * k, 40 * k) +
           Point(
               "A", "tube",
               fmt::format(
                   R"({{ tape = {:.17g}, from = "inner end", toward = "outboard" }}, {{ tape = {:.17g}, from = "bottom", toward = "front" }})",
                   80 * k, 20 * k));
  };
  const auto mm = PlaceText(text(false));
  const auto in = PlaceText(text(true));
  EXPECT_LT((mm["A"].position - in["A"].position).norm(), 1e-9);
  EXPECT_NEAR(mm["A"].zone.radius, in["A"].zone.radius, 1e-9);
}

TEST(PlacingLaw, TheMirrorImageOfAnArmPlacesTheMirrorImageOfEveryPoint) {
  const std::string points =
      Point("A", "arm",
            R"({ tape = 60, from = "pivot", toward = "outboard" }, { middle = "face" })",
            "face = \"rear\"") +
      Point(
          "B", "arm",
          R"({ tape = 30, from = "spring plate", toward = "inboard" }, { tape = 20, from = "bottom edge", toward = "up" })",
          "face = \"rear\"") +
      Point(
          "C", "arm",
          R"({ rule = 90, from = "inner end", toward = "outer end" }, { square = 25, from = "rear edge", toward = "front" })",
          "face = \"underside\"");
  std::string mirrored = kArm;
  for (const char* y : {"220", "350", "500"}) {
    mirrored.replace(mirrored.find(fmt::format(", {}, ", y)), 7, fmt::format(", -{}, ", y));
  }
  mirrored.replace(mirrored.find("[part.arm]"), 10,
                   "[vehicle]\ndescribed_side = \"right\"\n[part.arm]");
  const auto left = PlaceText(kArm + points);
  const auto right = PlaceText(mirrored + points, Side::right);
  ASSERT_EQ(left.placing.points.size(), 3u) << left.Errors();
  ASSERT_EQ(right.placing.points.size(), 3u) << right.Errors();
  for (const char* name : {"A", "B", "C"}) {
    EXPECT_LT((left[name].position - Mirrored(right[name].position)).norm(), 1e-9) << name;
    EXPECT_NEAR(left[name].zone.radius, right[name].zone.radius, 1e-6) << name;
    EXPECT_NEAR(left[name].girth, right[name].girth, 1e-8) << name;
  }
}

TEST(PlacingLaw, AMovedPartMovesItsPoints) {
  const std::string points =
      Point("A", "arm",
            R"({ tape = 60, from = "pivot", toward = "outboard" }, { middle = "face" })",
            "face = \"rear\"") +
      Point(
          "B", "arm",
          R"({ tape = 30, from = "spring plate", toward = "inboard" }, { rule = 20, from = "bottom edge", toward = "up" })",
          "face = \"rear\"");
  std::string moved = kArm;
  for (const auto& [from, to] :
       {std::pair{"-110, 220, 310", "-60, 320, 330"}, std::pair{"-104, 350, 301", "-54, 450, 321"},
        std::pair{"-115, 500, 286", "-65, 600, 306"}}) {
    moved.replace(moved.find(from), std::string(from).size(), to);
  }
  const auto here = PlaceText(kArm + points);
  const auto there = PlaceText(moved + points);
  for (const char* name : {"A", "B"}) {
    EXPECT_LT((there[name].position - here[name].position - Vec3(50, 100, 20)).norm(), 1e-8)
        << name;
  }
}

// ---------------------------------------------------------------- only, words

TEST(Placing, OnlyLimitsAPointToItsSide) {
  const std::string text =
      std::string(kTube) +
      Point("A", "tube",
            R"({ tape = 80, from = "inner end", toward = "outboard" }, { line = "bottom" })",
            "only = \"right\"");
  EXPECT_TRUE(PlaceText(text, Side::left).placing.points.empty());
  EXPECT_EQ(PlaceText(text, Side::right).placing.points.size(), 1u);
}

TEST(RuleInWords, KeepsEveryThousandthOfAnInch) {
  // Three digits in all would print 12.375 in as 12.4 in, 0.6 mm off.
  PointRow row;
  row.rule[0].method = Method::tape;
  row.rule[0].value = 12.375 * 25.4;
  row.rule[0].from = {"inner end"};
  row.rule[0].toward = "outboard";
  row.rule[1].method = Method::middle;
  row.rule[1].across_face = true;
  EXPECT_EQ(
      RuleInWords(row, true),
      "314.33 mm (12.375 in) by tape along the skin from inner end, toward outboard; half way "
      "across the face");
}

TEST(RuleInWords, SaysBothReadingsPlainly) {
  PointRow row;
  row.rule[0].method = Method::tape;
  row.rule[0].value = 95.0;
  row.rule[0].from = {"pivot"};
  row.rule[0].toward = "outboard";
  row.rule[1].method = Method::middle;
  row.rule[1].across_face = true;
  EXPECT_EQ(RuleInWords(row),
            "95 mm by tape along the skin from pivot, toward outboard; half way across the face");
}

}  // namespace
}  // namespace holeward
