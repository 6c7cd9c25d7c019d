// Values of several pieces and names of the job: what a form shows of them and takes for them.
#include <algorithm>
#include <fstream>
#include <iterator>
#include <string>

#include <gtest/gtest.h>

#include "models/job_form.h"
#include "models/job_reader.h"

namespace holeward {
namespace {

using Pieces = std::vector<std::string>;

std::string Demo() {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml");
  return {std::istreambuf_iterator<char>(file), {}};
}

Job JobOf(const std::string& text) {
  const JobReading reading = ReadJobText(text, "van.toml");
  EXPECT_TRUE(reading.ok()) << (reading.errors.empty() ? "" : reading.errors.front().message);
  return reading.job;
}

FormField FieldOf(const std::string& text, const std::string& title, const std::string& label) {
  for (const JobTable& table : TablesOf(text)) {
    if (table.title != title) continue;
    for (const FormField& field : FormOf(text, table.path, ReadJobText(text, "van.toml").job)) {
      if (field.label == label) return field;
    }
  }
  ADD_FAILURE() << "no field " << label << " in " << title;
  return {};
}

std::string Given(const std::string& text, const FormField& field, const std::string& answer) {
  const auto set = Answered(text, field, answer);
  EXPECT_TRUE(set) << field.label << ": " << (set ? "" : set.error().message);
  return set ? *set : "";
}

TEST(JobFormPieces, APlaceIsThreeNumbersAndCountsOnceAllAreThere) {
  const std::string text = Demo();
  const FormField centre = FieldOf(text, "section 2", "centre");
  EXPECT_EQ(PiecesIn(centre), (Pieces{"-152", "512", "256"}));
  EXPECT_EQ(AnswerOf(centre, {"-152", "512", "258.5"}), "-152, 512, 258.5");
  EXPECT_EQ(AnswerOf(centre, {"-152", "", "258.5"}), std::nullopt);
  EXPECT_EQ(AnswerOf(centre, {"", "", ""}), "");
  const std::string changed = Given(text, centre, "-152, 512, 258.5");
  EXPECT_DOUBLE_EQ(JobOf(changed).parts[0].stations[1].centre.z(), 258.5);
}

TEST(JobFormPieces, AnErrorIsOneNumberOrOneEachWay) {
  const std::string text = Demo();
  FormField tilt = FieldOf(text, "marking", "tilt");
  EXPECT_EQ(PiecesIn(tilt), (Pieces{"4.0", "", ""}));
  // Typed one way, the other stays what it was; typed for both ways, neither stands apart.
  EXPECT_EQ(PiecesAfter(tilt, {"4.0", "3", ""}, 1), (Pieces{"", "3", "4.0"}));
  EXPECT_EQ(PiecesAfter(tilt, {"5", "3", "4.0"}, 0), (Pieces{"5", "", ""}));
  EXPECT_EQ(AnswerOf(tilt, {"", "3", ""}), std::nullopt);
  const auto both = AnswerOf(tilt, {"", "3", "4"});
  ASSERT_TRUE(both);
  const std::string changed = Given(text, tilt, *both);
  EXPECT_DOUBLE_EQ(JobOf(changed).marking.tilt_rad.minus, 3.0 * kPi / 180.0);
  EXPECT_DOUBLE_EQ(JobOf(changed).marking.tilt_rad.plus, 4.0 * kPi / 180.0);
  tilt = FieldOf(changed, "marking", "tilt");
  EXPECT_EQ(PiecesIn(tilt), (Pieces{"", "3", "4"}));
}

// However its author wrote a value, looking at it and leaving it changes no byte.
TEST(JobFormPieces, WhatIsLeftAsItStandsKeepsItsLayout) {
  const std::string text =
      "holeward = 1\n[marking]\nwall = {minus=0.60,plus = 0.2}\n"
      "[part.bar]\nfrom = [ 0,500,  250 ]\nsize = [1, 2]\n[part.bar.inner]\n";
  for (const char* label : {"wall"}) {
    const FormField field = FieldOf(text, "marking", label);
    EXPECT_EQ(Given(text, field, *AnswerOf(field, PiecesIn(field))), text);
  }
  const FormField from = FieldOf(text, "part bar", "from");
  EXPECT_EQ(PiecesIn(from), (Pieces{"0", "500", "250"}));
  EXPECT_EQ(Given(text, from, *AnswerOf(from, PiecesIn(from))), text);
  // Two numbers where three belong are shown as two, the third to be filled in.
  EXPECT_EQ(PiecesIn(FieldOf(text, "part bar", "size")), (Pieces{"1", "2", ""}));
}

TEST(JobFormPieces, PlacesOfAPathStandOneALine) {
  const std::string text = Demo();
  const FormField path = FieldOf(text, "neighbour brake hose", "path");
  EXPECT_EQ(path.shown, "-58, 438, 332\n-190, 446, 318\n-335, 458, 300");
  EXPECT_EQ(Given(text, path, path.shown), text);
  const Job job = JobOf(Given(text, path, "-58, 438, 332\n\n[-190, 446, 320]\n"));
  ASSERT_EQ(job.neighbours[0].path.size(), 2U);
  EXPECT_DOUBLE_EQ(job.neighbours[0].path[1].z(), 320.0);
}

TEST(JobFormPieces, ASectionThatIsAPlaceAloneTakesASizeOfItsOwn) {
  const std::string text =
      "holeward = 1\n[part.bar]\nstations = [\n  [0, 500, 250],\n  [-300, 500, 250],\n]\n";
  const FormField centre = FieldOf(text, "section 2", "centre");
  EXPECT_EQ(PiecesIn(centre), (Pieces{"-300", "500", "250"}));
  EXPECT_NE(Given(text, centre, "-310, 500, 250").find("[-310, 500, 250]"), std::string::npos);
  EXPECT_NE(Given(text, FieldOf(text, "section 2", "width"), "44")
                .find("{ centre = [-300, 500, 250], width = 44 }"),
            std::string::npos);
}

TEST(JobFormPieces, AFittingIsPlacedByMeasuresOrByItsStation) {
  const std::string text = Demo();
  const std::string title = "fitting damper bracket";
  const FormField method = FieldOf(text, title, "rule 1: method");
  EXPECT_EQ(method.shown, "");
  std::string changed = Given(text, method, "tape");
  changed = Given(changed, FieldOf(changed, title, "rule 1: from"), "front end");
  changed = Given(changed, FieldOf(changed, title, "rule 2: method"), "line");
  const FormField from = FieldOf(changed, title, "rule 1: from");
  EXPECT_EQ(from.shown, "front end");
  EXPECT_NE(std::find(from.choices.begin(), from.choices.end(), "rear end"), from.choices.end());
  EXPECT_EQ(FieldOf(changed, title, "rule 2: line").shown, "middle");
  // Taken out one after the other, the rule is gone with the last.
  changed = Given(changed, FieldOf(changed, title, "rule 2: method"), "");
  changed = Given(changed, FieldOf(changed, title, "rule 1: method"), "");
  EXPECT_EQ(changed, text);
}

TEST(JobFormPieces, NamesOfTheJobAreOffered) {
  const std::string text = Demo();
  EXPECT_EQ(FieldOf(text, "template tube wrap", "part").choices, (Pieces{"arm", "tube"}));
  const Pieces points = FieldOf(text, "template tube wrap", "points").choices;
  EXPECT_NE(std::find(points.begin(), points.end(), "T3"), points.end());
  EXPECT_EQ(std::find(points.begin(), points.end(), "A3"), points.end()) << "of another part";
  const Pieces align = FieldOf(text, "template tube wrap", "align").choices;
  EXPECT_NE(std::find(align.begin(), align.end(), "left end"), align.end());
  const Pieces faces = FieldOf(text, "fitting damper bracket", "face").choices;
  EXPECT_NE(std::find(faces.begin(), faces.end(), "top"), faces.end());
}

}  // namespace
}  // namespace holeward
