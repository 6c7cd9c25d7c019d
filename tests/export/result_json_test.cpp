#include "export/result_json.h"

#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using testing_tools::FlatPiece;
using testing_tools::Input;

ResultHead Head() {
  return {"arm.toml", "An arm", "HW-0107", "C", "5d20e7aa", "Holeward 0.1.0", true};
}

PointOut SomePoint() {
  PointOut row;
  row.use = PointUse::drill;
  row.point.name = "D1";
  row.point.part = "arm";
  row.point.face = "rear";
  row.point.position = {1.5, -2.25, 3};
  Reading tape;
  tape.method = "tape";
  tape.from = "inner mount";
  tape.value = 61.5;
  Reading angle;
  angle.method = "protractor";
  angle.from = "bottom";
  angle.value = 40.0 * kDegree;
  angle.is_angle = true;
  row.point.readings = {tape, angle};
  row.point.zone.major = 2.5;
  row.point.ties = {{"P1", 33.0}};
  return row;
}

HoleOut SomeHole(Outcome outcome) {
  HoleOut row;
  row.check.point = "D1";
  row.check.outcome = outcome;
  row.check.free_depth = 40.5;
  row.check.first_contact = FirstContact{"far wall", {1, 2, 3}};
  row.check.stop = 9.5;
  row.check.stop_from = StopFrom::job;
  row.check.margin = 31.0;
  row.check.margin_worst = 24.25;
  row.check.verdict = Verdict::clear;
  return row;
}

/// The keys of an object in their order.
std::vector<std::string> Keys(const Json& json) {
  std::vector<std::string> keys;
  for (const auto& [key, value] : json.items()) keys.push_back(key);
  return keys;
}

TEST(ResultJson, BeginsAsEveryResultDoes) {
  const Json document = *LocateJson(Head(), {});
  EXPECT_EQ(document.at("holeward_result"), 1);
  EXPECT_EQ(document.at("command"), "locate");
  EXPECT_EQ(document.at("job"), "arm.toml");
  EXPECT_EQ(document.at("complete"), true);
  EXPECT_EQ(Keys(document).front(), "holeward_result");
}

TEST(ResultJson, LocateHasTheKeysOfTheReference) {
  const Json document = *LocateJson(Head(), {SomePoint()});
  const Json& point = document.at("points").at(0);
  EXPECT_EQ(Keys(point),
            (std::vector<std::string>{"name", "side", "part", "face", "use", "position_mm",
                                      "normal", "station_mm", "girth_mm", "readings", "zone",
                                      "conditioning", "reading_spread_mm", "ties"}));
  EXPECT_EQ(point.at("position_mm"), Json::array({1.5, -2.25, 3.0}));
  EXPECT_EQ(point.at("readings").at(0).at("value_mm"), 61.5);
  EXPECT_FALSE(point.at("readings").at(0).contains("value_deg"));
  EXPECT_EQ(point.at("readings").at(1).at("value_deg"), 40.0);
  EXPECT_EQ(Keys(point.at("zone")),
            (std::vector<std::string>{"major_mm", "minor_mm", "direction"}));
  EXPECT_EQ(point.at("ties").at(0).at("straight_mm"), 33.0);
}

TEST(ResultJson, CheckHasTheKeysOfTheReferenceAndNullOnlyWhereAllowed) {
  PointCheckOut point;
  point.check.point = "P1";
  point.check.nearest_hole = 44.0;
  const Json document = *CheckJson(Head(), {}, {SomeHole(Outcome::met), SomeHole(Outcome::nothing)},
                                   {point}, Verdict::unproven);
  EXPECT_EQ(document.at("verdict"), "unproven");
  const Json& met = document.at("holes").at(0);
  EXPECT_EQ(Keys(met),
            (std::vector<std::string>{
                "name", "side", "stage", "diameter_mm", "near_wall_mm", "breakthrough_mm",
                "outcome", "free_depth_mm", "first_contact", "stop_mm", "stop_from", "through",
                "margin_mm", "margin_worst_mm", "access_mm", "verdict", "reasons"}));
  EXPECT_EQ(met.at("first_contact").at("body"), "far wall");
  const std::set<std::string> nullable = {"free_depth_mm", "first_contact", "margin_mm",
                                          "margin_worst_mm"};
  for (const auto& [key, value] : document.at("holes").at(1).items()) {
    EXPECT_EQ(value.is_null(), nullable.count(key) == 1) << key;
  }
  for (const auto& [key, value] : met.items()) EXPECT_FALSE(value.is_null()) << key;
  EXPECT_EQ(Keys(document.at("points").at(0)),
            (std::vector<std::string>{"name", "side", "edge_distance_mm", "nearest_hole_mm",
                                      "seat_gap_mm", "access_mm", "verdict", "reasons"}));
  EXPECT_EQ(document.at("limits").at("clearance"), 5.0);
  EXPECT_EQ(document.at("marking").at("tilt"), 5.0);
  EXPECT_FALSE(met.contains("probability_contact"));
}

TEST(ResultJson, TellsHowEachErrorIsDrawn) {
  Basics basics;
  basics.marking.distribution.sheet = Distribution::normal;
  basics.marking.distribution.run_on = Distribution::triangular;
  const Json drawn =
      CheckJson(Head(), basics, {}, {}, Verdict::unproven)->at("marking").at("distribution");
  EXPECT_EQ(drawn.size(), 10U);
  EXPECT_EQ(drawn.at("template"), "normal");
  EXPECT_EQ(drawn.at("run_on"), "triangular");
  EXPECT_EQ(drawn.at("depth"), "rectangular");
  EXPECT_EQ(drawn.at("readings"), "rectangular");
}

TEST(ResultJson, TellsTheWorstPoseWhereThereIsOne) {
  HoleOut hole = SomeHole(Outcome::met);
  hole.check.worst_pose = AttainedPose{{1, 2, 3}, {0, 0, -1}, 34.29, 34.25, 34.29};
  Json json = CheckJson(Head(), {}, {hole}, {}, Verdict::clear)->at("holes").at(0);
  ASSERT_TRUE(json.contains("worst_pose"));
  EXPECT_EQ(
      Keys(json.at("worst_pose")),
      (std::vector<std::string>{"entry_mm", "direction", "depth_mm", "lower_mm", "upper_mm"}));
  EXPECT_EQ(json.at("worst_pose").at("entry_mm"), Json::array({1.0, 2.0, 3.0}));
  EXPECT_EQ(json.at("worst_pose").at("lower_mm"), 34.25);
  hole.check.worst_pose->upper = std::nan("");
  EXPECT_FALSE(CheckJson(Head(), {}, {hole}, {}, Verdict::clear));
}

TEST(ResultJson, TemplateHasTheKeysOfTheReference) {
  const SheetOut sheet{"arm rear", Side::left, "arm-rear-left.pdf",
                       *MakeTemplateSheet(Input({FlatPiece()}))};
  const Json document = *TemplateJson(Head(), {}, {sheet}, Verdict::clear);
  const Json& json = document.at("sheets").at(0);
  EXPECT_EQ(Keys(json),
            (std::vector<std::string>{"name", "side", "file", "pages", "marks", "misfits",
                                      "stretch_max", "stretch_rms", "wrap_error_mm"}));
  EXPECT_EQ(json.at("pages").at(0).dump(), R"({"number":1,"width_mm":210.0,"height_mm":297.0})");
  ASSERT_EQ(json.at("marks").size(), 3U);
  EXPECT_EQ(Keys(json.at("marks").at(0)),
            (std::vector<std::string>{"name", "page", "x_mm", "y_mm", "wrap_error_mm"}));
}

TEST(ResultJson, RefusesWhatIsNotANumberInsteadOfWritingNull) {
  PointOut point = SomePoint();
  point.point.normal.y() = std::nan("");
  const Result<Json> located = LocateJson(Head(), {point});
  ASSERT_FALSE(located);
  EXPECT_EQ(located.error().message, "point \"D1\": normal[1] is not a number");

  HoleOut hole = SomeHole(Outcome::met);
  hole.check.access = INFINITY;
  const Result<Json> checked = CheckJson(Head(), {}, {hole}, {}, Verdict::clear);
  ASSERT_FALSE(checked);
  EXPECT_EQ(checked.error().message, "hole \"D1\": access_mm is not a number");

  EXPECT_FALSE(JsonText({{"x", std::nan("")}}));
  EXPECT_EQ(*JsonText({{"x", 1.5}}), "{\n  \"x\": 1.5\n}\n");
}

TEST(ResultJson, IssueHoldsAllThree) {
  const SheetOut sheet{"arm rear", Side::left, "a.pdf", *MakeTemplateSheet(Input({FlatPiece()}))};
  const Json document =
      *IssueJson(*LocateJson(Head(), {SomePoint()}),
                 *CheckJson(Head(), {}, {SomeHole(Outcome::met)}, {}, Verdict::clear),
                 *TemplateJson(Head(), {}, {sheet}, Verdict::clear), {"a.pdf", "points.csv"});
  EXPECT_EQ(document.at("command"), "issue");
  for (const char* key : {"holes", "points", "placed", "sheets", "files", "verdict", "limits"}) {
    EXPECT_TRUE(document.contains(key)) << key;
  }
}

}  // namespace
}  // namespace holeward
