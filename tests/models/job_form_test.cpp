// The form of each table shows what stands in the text and puts answers back, all else kept.
#include "models/job_form.h"

#include <algorithm>
#include <fstream>
#include <iterator>
#include <set>
#include <string>

#include <nlohmann/json.hpp>

#include <gtest/gtest.h>

#include "models/job_reader.h"

namespace holeward {
namespace {

std::string Demo() {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml");
  return {std::istreambuf_iterator<char>(file), {}};
}

Job JobOf(const std::string& text) {
  const JobReading reading = ReadJobText(text, "van.toml");
  EXPECT_TRUE(reading.ok()) << (reading.errors.empty() ? "" : reading.errors.front().message);
  return reading.job;
}

TomlPath PathOf(const std::string& text, const std::string& title) {
  for (const JobTable& table : TablesOf(text)) {
    if (table.title == title) return table.path;
  }
  ADD_FAILURE() << "no table " << title;
  return {};
}

FormField FieldOf(const std::string& text, const std::string& title, const std::string& label) {
  for (const FormField& field : FormOf(text, PathOf(text, title), JobOf(text))) {
    if (field.label == label) return field;
  }
  ADD_FAILURE() << "no field " << label << " in " << title;
  return {};
}

TEST(JobForm, ListsEveryTableOfTheJob) {
  const auto tables = TablesOf(Demo());
  // Eight of the job itself, two parts with five sections, five fittings and a body, a neighbour,
  // ten points, four templates, two steps, four decisions, words and two releases.
  EXPECT_EQ(tables.size(), 8U + 2U + 5U + 6U + 1U + 10U + 4U + 2U + 4U + 3U);
}

TEST(JobForm, EveryAnswerGivenAgainLeavesTheTextAsItIs) {
  const std::string text = Demo();
  const Job job = JobOf(text);
  std::size_t seen = 0;
  for (const JobTable& table : TablesOf(text)) {
    for (const FormField& field : FormOf(text, table.path, job)) {
      if (field.method || field.shown.empty()) continue;
      const auto again = Answered(text, field, field.shown);
      ASSERT_TRUE(again) << table.title << " " << field.label << ": " << again.error().message;
      EXPECT_TRUE(*again == text) << table.title << " " << field.label;
      ++seen;
    }
  }
  EXPECT_GT(seen, 150U);
}

// Against the schema, which a test of its own holds against the reader.
TEST(JobForm, HasEveryKeyOfItsTable) {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/docs/schema/job.schema.json");
  const auto schema = nlohmann::json::parse(file);
  const std::string text = Demo();
  // What has lines of its own in a form, or a table of its own.
  const std::set<std::string> apart = {"rule", "stations", "fitting", "inner",
                                       "lap",  "bench",    "datum"};
  const std::pair<const char*, const char*> kinds[] = {{"point", "point A3"},
                                                       {"fitting", "fitting spring plate"},
                                                       {"inner", "inner torsion bar"},
                                                       {"part", "part arm"},
                                                       {"template", "template arm outboard"}};
  std::size_t seen = 0;
  for (const auto& [kind, title] : kinds) {
    std::set<std::string> labels;
    for (const FormField& field : FormOf(text, PathOf(text, title), JobOf(text))) {
      labels.insert(field.label);
    }
    for (const auto& [key, value] : schema["$defs"][kind]["properties"].items()) {
      const bool named_flats = std::string(kind) == "part" && key == "face";
      if (apart.count(key) != 0 || named_flats) continue;
      EXPECT_EQ(labels.count(key), 1U) << kind << " " << key;
      ++seen;
    }
  }
  EXPECT_GT(seen, 50U);
}

// Tables of a solid part, which the demonstration has none of.
TEST(JobForm, DatumsAndFacesOfASolidHaveForms) {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/docs/schema/job.schema.json");
  const auto schema = nlohmann::json::parse(file);
  const std::string text = R"([part.arm]
section = "solid"
[[part.arm.datum]]
name = "pivot"
axis = [1, 2, 3]
[[part.arm.face]]
name = "slope"
)";
  for (const auto& [kind, list, name] :
       {std::array{"datum", "datum", "pivot"}, std::array{"face_name", "face", "slope"}}) {
    std::set<std::string> labels;
    for (const FormField& field :
         FormOf(text, PathOf(text, std::string(list) + " " + name), Job{})) {
      labels.insert(field.label);
    }
    std::set<std::string> keys;
    for (const auto& [key, value] : schema["$defs"][kind]["properties"].items()) keys.insert(key);
    EXPECT_EQ(labels, keys) << kind;
  }
}

TEST(JobForm, AnAnswerChangesItsValueAloneAndNothingTakesItOut) {
  const std::string text = Demo();
  const FormField stop = FieldOf(text, "point A4", "stop");
  EXPECT_EQ(stop.shown, "7.0, 9.5");
  const auto set = Answered(text, stop, "[6.5, 9.0]");
  ASSERT_TRUE(set);
  std::string expected = text;
  expected.replace(expected.find("[7.0, 9.5]"), 10, "[6.5, 9.0]");
  EXPECT_TRUE(*set == expected);
  const auto gone = Answered(text, stop, "");
  ASSERT_TRUE(gone);
  EXPECT_EQ(JobOf(*gone).points[3].stop.kind, StopRow::Kind::proposed);
  const FormField aside = FieldOf(text, "fitting spring plate", "aside");
  const auto moved = Answered(text, aside, "2.5");
  ASSERT_TRUE(moved);
  EXPECT_DOUBLE_EQ(JobOf(*moved).parts[0].fittings[2].aside, 2.5);
}

TEST(JobForm, AMeasureByAnotherMethodKeepsWhatStillHasASense) {
  const std::string text = Demo();
  const auto ruled = Answered(text, FieldOf(text, "point A1", "rule 1: method"), "rule");
  ASSERT_TRUE(ruled);
  const MeasureRow measure = JobOf(*ruled).points[0].rule[0];
  EXPECT_EQ(measure.method, Method::rule);
  EXPECT_DOUBLE_EQ(measure.value, 84.0);
  EXPECT_EQ(measure.from, std::vector<std::string>{"pivot eye"});
  EXPECT_EQ(measure.toward, "rear");
}

TEST(JobForm, OffersTheDatumsFacesAndPartsOfTheJob) {
  const std::string text = Demo();
  const auto has = [&](const char* label, const char* word) {
    const auto choices = FieldOf(text, "point A3", label).choices;
    return std::find(choices.begin(), choices.end(), word) != choices.end();
  };
  EXPECT_TRUE(has("rule 1: from", "front end"));
  EXPECT_TRUE(has("rule 1: from", "damper bracket"));
  EXPECT_TRUE(has("rule 1: from", "A2"));
  EXPECT_FALSE(has("rule 1: from", "A4")) << "a later point";
  EXPECT_TRUE(has("face", "inboard"));
  EXPECT_TRUE(has("part", "tube"));
}

// A value that is wrong for a moment must not change the form it is written in.
TEST(JobForm, OffersTheSameOfAPointThatIsWrongForNow) {
  const std::string text = Demo();
  const TomlPath a3 = PathOf(text, "point A3");
  Job without = JobOf(text);
  without.points.erase(without.points.begin() + 2);
  const auto whole = FormOf(text, a3, JobOf(text));
  const auto form = FormOf(text, a3, without);
  ASSERT_EQ(form.size(), whole.size());
  for (std::size_t i = 0; i < form.size(); ++i) {
    EXPECT_EQ(form[i].label, whole[i].label);
    EXPECT_EQ(form[i].choices, whole[i].choices) << form[i].label;
  }
}

TEST(JobForm, WhatIsAddedReadsWithoutAnError) {
  for (const NewThing thing : {NewThing::point, NewThing::part, NewThing::bench_part,
                               NewThing::station, NewThing::fitting, NewThing::inner, NewThing::lap,
                               NewThing::neighbour, NewThing::template_sheet, NewThing::step}) {
    const std::string text = Demo();
    const auto added = WithNew(text, thing, PathOf(text, "part arm"), JobOf(text));
    ASSERT_TRUE(added) << added.error().message;
    const JobReading reading = ReadJobText(added->text, "van.toml");
    EXPECT_TRUE(reading.ok()) << (reading.errors.empty() ? "" : reading.errors.front().message);
    EXPECT_FALSE(FormOf(added->text, added->path, reading.job).empty());
  }
}

TEST(JobForm, AWholeJobCanBeMadeFromAnEmptyOne) {
  std::string text = "holeward = 1\n";
  const auto part = WithNew(text, NewThing::part, {}, Job{});
  ASSERT_TRUE(part) << part.error().message;
  const auto point = WithNew(part->text, NewThing::point, part->path, JobOf(part->text));
  ASSERT_TRUE(point) << point.error().message;
  const Job job = JobOf(point->text);
  EXPECT_EQ(job.parts.size(), 1U);
  EXPECT_EQ(job.points.size(), 1U);
  EXPECT_FALSE(WithNew(text, NewThing::fitting, {}, Job{})) << "there is no part to put it on";
}

TEST(JobForm, WordsNeedNoQuotesAndListsNoBrackets) {
  const std::string text = Demo();
  const auto given = [&](const char* table, const char* label, const char* answer) {
    const FormField field = FieldOf(text, table, label);
    const auto set = Answered(text, field, answer);
    EXPECT_TRUE(set) << label << ": " << (set ? "" : set.error().message);
    return set ? JobOf(*set) : Job{};
  };
  EXPECT_EQ(given("point A4", "stop", "6.5, 9.0").points[3].stop.depth,
            (std::vector<double>{6.5, 9.0}));
  EXPECT_EQ(given("point A4", "stop", "none").points[3].stop.kind, StopRow::Kind::none);
  EXPECT_EQ(given("template tube wrap", "paper", "A4 or Letter").templates[3].paper.name,
            "A4 or Letter");
  EXPECT_EQ(given("template tube wrap", "align", "left end, bottom").templates[3].align,
            (std::vector<std::string>{"left end", "bottom"}));
  EXPECT_EQ(given("vehicle", "sides", "left").sides, std::vector<Side>{Side::left});
  for (const char* bad : {"84 mm", "[1, 2", "{ a = 1", "\"A4"}) {
    EXPECT_FALSE(Answered(text, FieldOf(text, "point A4", "stop"), bad)) << bad;
  }
}

TEST(JobForm, TheLastAnswerOfATableInBracesTakesItOut) {
  const std::string text = "holeward = 1\n\n[[step]]\ntitle = \"A\"\n";
  const auto field = [](const std::string& in, const char* label) {
    for (const FormField& one : FormOf(in, {std::string("step"), std::size_t{0}}, Job{})) {
      if (one.label == label) return one;
    }
    ADD_FAILURE() << label;
    return FormField{};
  };
  const auto set = Answered(text, field(text, "caution: hazard"), "It falls.");
  ASSERT_TRUE(set);
  EXPECT_EQ(*set, text + "caution = { hazard = \"It falls.\" }\n");
  EXPECT_EQ(*Answered(*set, field(*set, "caution: hazard"), ""), text);
  const auto lines = Answered(text, field(text, "text"), "One.\n\n Two. \n");
  ASSERT_TRUE(lines);
  EXPECT_EQ(*lines, text + "text  = [\"One.\", \"Two.\"]\n");
  EXPECT_EQ(field(*lines, "text").shown, "One.\nTwo.");
}

TEST(JobForm, ADecisionComesBeforeTheOneThatTakesWhatIsLeft) {
  const std::string text = Demo();
  const auto added = WithNew(text, NewThing::decision, {}, JobOf(text));
  ASSERT_TRUE(added) << added.error().message;
  EXPECT_EQ(added->path, (TomlPath{std::string("decision"), std::size_t{3}}));
  EXPECT_LT(added->text.find("any test fails"), added->text.find("\"otherwise\""));
}

TEST(JobForm, WhatIsAddedToAJobInInchesIsInInches) {
  std::string text = "holeward = 1\nunits = \"in\"\n";
  for (const NewThing thing : {NewThing::part, NewThing::fitting, NewThing::inner, NewThing::lap,
                               NewThing::neighbour, NewThing::point, NewThing::template_sheet}) {
    const auto added = WithNew(text, thing, {}, text.size() < 40 ? Job{} : JobOf(text));
    ASSERT_TRUE(added) << added.error().message;
    text = added->text;
  }
  const Job job = JobOf(text);
  EXPECT_EQ(job.parts.front().name, "part1");
  EXPECT_NEAR(job.parts.front().stations.front().width, 50.0, 1.0);
  EXPECT_NEAR(job.points.front().rule[0].value, 30.0, 1.0);
  EXPECT_NEAR(job.neighbours.front().path[1].x(), -300.0, 1.0);
}

TEST(JobForm, ACopyHasANameOfItsOwn) {
  const std::string text = Demo();
  const auto copy = WithCopy(text, PathOf(text, "point A3"));
  ASSERT_TRUE(copy);
  const Job job = JobOf(copy->text);
  ASSERT_EQ(job.points.size(), 11U);
  EXPECT_EQ(job.points[3].name, "A6");
  EXPECT_EQ(job.points[3].drill, job.points[2].drill);
}

}  // namespace
}  // namespace holeward
