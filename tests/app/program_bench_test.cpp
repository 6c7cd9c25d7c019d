// `form` and `fit` as a person at the bench runs them: the form, the proof wrap, and the tables
// that come back filled in.
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "tests/app/program_runs.h"

namespace holeward {
namespace {

using namespace testing_tools;

// A level tube 60 x 40 x 3 with corners of 6, rows 90 mm apart.
constexpr double kGirth = 200.0 - (8.0 - 2.0 * std::numbers::pi) * 6.0;

const char* const kArm = R"([part.arm]
section = "box"
wall = 3
start = "inner end"
finish = "outer end"
)";

const char* const kStations = R"(stations = [
  { centre = [-50, 300, 280], width = 60, height = 40, corner = 6 },
  { centre = [-50, 390, 280], width = 60, height = 40, corner = 6 },
  { centre = [-50, 480, 280], width = 60, height = 40, corner = 6 } ]
)";

// The rear face 70 mm off the straightedge, the underside 30 mm off the bench.
const char* const kBench = R"([part.arm.bench]
corner = 6
rows = [ { distance = 0, top = 70, underside = 30, front = 130, rear = 70, width = 60, height = 40 },
         { distance = 90, top = 70, underside = 30, front = 130, rear = 70, width = 60, height = 40 },
         { distance = 180, top = 70, underside = 30, front = 130, rear = 70, width = 60, height = 40 } ]
spare = [ { girth = 189.7, row = 1 }, { girth = 189.7, row = 2 }, { girth = 189.7, row = 3 },
          { wall = 3, row = 2 } ]
)";

std::string Drawn() { return std::string(kHead) + kArm + kStations; }
std::string Measured() { return std::string(kHead) + kArm + kBench; }

/// What a reading of the form is on that tube; nothing for one that is not taken.
std::optional<double> OfTheTube(const std::string& name) {
  const std::vector<std::pair<const char*, double>> words = {
      {"top", 70.0},    {"underside", 30.0}, {"front", 130.0}, {"rear", 70.0},  {"width", 60.0},
      {"height", 40.0}, {"girth", kGirth},   {"wall", 3.0},    {"corner", 6.0},
  };
  if (name.find("diagonal") != std::string::npos) return std::nullopt;
  if (name.find("distance") != std::string::npos) return 90.0 * (name.front() - '1');
  for (const auto& [word, value] : words) {
    if (name.find(word) != std::string::npos) return value;
  }
  return std::nullopt;
}

/// A printed table of readings, each line given its value at the end.
std::string Filled(const std::string& blank,
                   const std::function<std::optional<double>(const std::string&)>& value) {
  std::istringstream lines(blank);
  std::string filled;
  int taken = 0;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    filled += line;
    const std::size_t name = line.find(",\"");
    if (name != std::string::npos) {
      const auto read = value(line.substr(name + 2, line.find('"', name + 2) - name - 2));
      if (read) filled += fmt::format("{:.2f}", *read);
      taken += read ? 1 : 0;
    }
    filled += "\r\n";
  }
  EXPECT_GT(taken, 0) << blank;
  return filled;
}

double SizeOf(const Json& part, const std::string& name) {
  for (const Json& size : part.at("sizes")) {
    if (size.at("name") == name) return size.at("value_mm").get<double>();
  }
  ADD_FAILURE() << "no size " << name;
  return 0.0;
}

class ProgramBench : public ProgramRuns {
 protected:
  /// The form of the drawn tube, filled in with what it measures but for `changed`.
  std::string FilledForm(const std::map<std::string, double>& changed = {}) const {
    Write(Drawn(), "drawn.toml");
    const Said form = Program("form drawn.toml --to form");
    EXPECT_EQ(form.status, 0) << form.err;
    return Filled(Text(folder_ / "form/measuring-form.csv"),
                  [&](const std::string& name) -> std::optional<double> {
                    const auto found = changed.find(name);
                    return found == changed.end() ? OfTheTube(name) : found->second;
                  });
  }
};

// ---- The form

TEST_F(ProgramBench, AFilledInFormGivesThePartBackAndSaysHowAJobTakesIt) {
  fs::create_directory(folder_ / "jobs");
  Write(Drawn(), "jobs/arm.toml");
  const Said form = Program("form jobs/arm.toml --to form");
  EXPECT_EQ(form.status, 0) << form.err;
  EXPECT_EQ(form.out, "form/measuring-form.pdf\nform/measuring-form.csv\n");
  const std::string page = PdfText("form/measuring-form.pdf");
  for (const char* words : {"Measure arm", "T-1", "CAUTION"}) {
    EXPECT_NE(page.find(words), std::string::npos) << words;
  }
  Write(Filled(Text(folder_ / "form/measuring-form.csv"), OfTheTube), "jobs/filled.csv");
  const Said fit = Program("fit jobs/arm.toml jobs/filled.csv");
  EXPECT_EQ(fit.status, 0) << fit.out << fit.err;
  EXPECT_NE(fit.out.find("No reading stands out"), std::string::npos) << fit.out;
  // What it says to use, used: the lines stand in the job as they are printed.
  const std::size_t use = fit.out.find("  [part.arm.bench]\n");
  ASSERT_NE(use, std::string::npos) << fit.out;
  Write(std::string(kHead) + kArm + fit.out.substr(use), "jobs/measured.toml");
  const Json document = Document("fit jobs/measured.toml", 0);
  const Json& part = document.at("parts").at(0);
  for (const char* row : {"1", "2", "3"}) {
    EXPECT_NEAR(SizeOf(part, std::string("width of row ") + row), 60.0, 0.01);
    EXPECT_NEAR(SizeOf(part, std::string("height of row ") + row), 40.0, 0.01);
  }
  EXPECT_NEAR(SizeOf(part, "distance of row 3") - SizeOf(part, "distance of row 1"), 180.0, 0.01);
}

TEST_F(ProgramBench, AFormIsMadeOfThePartsThatHaveOneAndTheOthersAreNamed) {
  const std::string outline =
      "[part.rail]\nsection = \"outline\"\nwall = 3\nstart = \"rear end\"\nfinish = \"front end\"\n"
      "outline = [[20, 30], [-20, 30], [-20, -30], [20, -30]]\ncorner = 5\n"
      "stations = [[0, 800, 300], [300, 800, 300]]\n";
  const std::string said = "part 'rail' is given by outlines: there is no measuring form for it";
  Write(Drawn() + outline);
  const Said some = Program("form job.toml --to form");
  EXPECT_EQ(some.status, 0) << some.err;
  EXPECT_NE(some.err.find(said), std::string::npos) << some.err;
  const auto files = Files("form");
  ASSERT_EQ(files.size(), 2U);
  EXPECT_EQ(files.at("measuring-form.csv").find("rail"), std::string::npos);
  EXPECT_NE(files.at("measuring-form.csv").find("\"arm\",\"3 height\""), std::string::npos);
  Refuses("form job.toml --part rail --to none", 2, said);
  Refuses("form job.toml --part arms --to none", 2,
          "the job has no part asked for that a measuring form can be made of");
  Refuses("form job.toml --part arms --wrap --to none", 2,
          "the job has no part asked for that a proof wrap can be made of");
  Refuses("form missing.toml --to none", 4, "missing.toml:1:1: ");
  Write("in the way", "taken");
  Refuses("form job.toml --wrap --to taken", 4, "taken");
}

// ---- The proof wrap

TEST_F(ProgramBench, AProofWrapHasTheLengthsOfThePartAndTakesTheGapsThatAreFound) {
  Write(Measured());
  const Said wrap = Program("form job.toml --wrap --to wrap");
  EXPECT_EQ(wrap.status, 0) << wrap.err;
  EXPECT_EQ(wrap.out, "wrap/proof-wrap-arm.pdf\nwrap/proof-wrap.csv\n");
  const std::string page = PdfText("wrap/proof-wrap-arm.pdf");
  for (const char* words : {"NOT RELEASED", "Nothing is drilled by it", "outer end", "LEFT"}) {
    EXPECT_NE(page.find(words), std::string::npos) << words;
  }
  const std::string csv = Text(folder_ / "wrap/proof-wrap.csv");
  for (const char* row : {"\"tape 1 top to 3 top, wrap\",tape,mm,180.0",
                          "\"2 width, wrap\",tape,mm,", "\"3 height, wrap\",tape,mm,"}) {
    EXPECT_NE(csv.find(row), std::string::npos) << row << '\n' << csv;
  }
  const auto readings = [](const Json& fit) { return fit.at("parts").at(0).at("readings").size(); };
  const std::size_t own = readings(Document("fit job.toml", 0));
  // It fits without a gap: ten lengths more that agree.
  Write(Filled(csv, [](const std::string&) { return 0.0; }), "gaps.csv");
  EXPECT_EQ(readings(Document("fit job.toml gaps.csv", 0)), own + 10);
  // A gap far beyond what was to be expected stands out by its name.
  Write(Filled(csv, [](const std::string& name) { return name == "2 width, wrap" ? 4.0 : 0.0; }),
        "gaps.csv");
  const Json suspects = Document("fit job.toml gaps.csv", 3).at("parts").at(0).at("suspects");
  ASSERT_EQ(suspects.size(), 1U);
  EXPECT_EQ(suspects.at(0).at("reading"), "2 width, wrap");
  EXPECT_NEAR(suspects.at(0).at("probable").get<double>(), 60.0, 0.5);
}

TEST_F(ProgramBench, AProofWrapOfDrawnPartsIsAFileEachAndShowsWhatTheJobAllows) {
  const std::string second =
      With(With(kTube, "[part.tube]", "[part.\"Tube\"]"), "[0, 100, 300]", "[200, 100, 300]");
  Write(std::string(kHead) + kTube + With(second, "[0, 500, 300]", "[200, 500, 300]") +
        "[marking]\noutline = 1.5\n" + kHole +
        "[[template]]\nname = \"wrap\"\npart = \"tube\"\n"
        "align = [\"inner end\"]\npaper = \"A3\"\n");
  const Said wrap = Program("form job.toml --wrap");
  EXPECT_EQ(wrap.status, 0) << wrap.err;
  const auto files = Files("job");
  ASSERT_EQ(files.size(), 3U);
  // No part is measured on a bench: no gap of it is a reading.
  EXPECT_EQ(files.at("proof-wrap.csv"), "part,reading,instrument,unit,made,within,gap\r\n");
  for (const char* name : {"proof-wrap-tube.pdf", "proof-wrap-tube-2.pdf"}) {
    EXPECT_EQ(files.count(name), 1U) << name;
    EXPECT_NE(PdfText(std::string("job/") + name).find("gap within ±1.5 mm"), std::string::npos);
  }
}

TEST_F(ProgramBench, AProofWrapThatCannotBeLaidFlatIsRefusedWithHowFarItIsOff) {
  Write(With(std::string(kHead) + kTube, "from = [0, 100, 300]\nto = [0, 500, 300]",
             "stations = [[0, 100, 300], [0, 180, 300], [60, 240, 300]]"));
  Refuses("form job.toml --wrap --to wrap", 2, "no proof wrap of part 'tube'");
  const std::string overlap = With(With(kTube, "[part.tube]", "[part.other]"), "60.3", "50");
  Write(std::string(kHead) + kTube + overlap);
  Refuses("form job.toml --wrap --to wrap", 2, "job.toml:");
}

// ---- Fits

TEST_F(ProgramBench, ASampleOfTheOtherSideThatDiffersIsUnprovenInWordsAndInTheDocument) {
  Write(Measured());
  Write(FilledForm(), "same.csv");
  const Said same = Program("fit job.toml same.csv --other-side");
  EXPECT_EQ(same.status, 0) << same.out << same.err;
  EXPECT_NE(same.out.find("Part arm: none of 15 sizes differs from the mirror image"),
            std::string::npos)
      << same.out;
  EXPECT_EQ(same.out.find("To use them"), std::string::npos);
  const Json alike = Document("fit job.toml same.csv --other-side", 0);
  EXPECT_EQ(alike.at("parts").at(0).at("other_side").at("compared"), 15);
  EXPECT_TRUE(alike.at("parts").at(0).at("other_side").at("differences").empty());

  // Wider by 4 mm at its middle, all readings of it agreeing.
  Write(FilledForm(
            {{"2 front", 132.0}, {"2 rear", 68.0}, {"2 width", 64.0}, {"2 girth", kGirth + 8.0}}),
        "wide.csv");
  const Said wide = Program("fit job.toml wide.csv --other-side");
  EXPECT_EQ(wide.status, 3) << wide.out << wide.err;
  EXPECT_NE(wide.out.find("Part arm: differs from the mirror image"), std::string::npos);
  EXPECT_NE(wide.out.find("width of row 2         60.00        64.00"), std::string::npos)
      << wide.out;
  const Json document = Document("fit job.toml wide.csv --other-side", 3);
  const Json& differences = document.at("parts").at(0).at("other_side").at("differences");
  ASSERT_EQ(differences.size(), 1U);
  EXPECT_EQ(differences.at(0).at("what"), "width of row 2");
  EXPECT_NEAR(differences.at(0).at("mirror_image_mm").get<double>(), 60.0, 0.1);
  EXPECT_NEAR(differences.at(0).at("this_sample_mm").get<double>(), 64.0, 0.1);
  EXPECT_LT(differences.at(0).at("explained_mm").get<double>(), 4.0);
  // The same table as one of this side's sample is no comparison.
  EXPECT_FALSE(Document("fit job.toml wide.csv", 0).at("parts").at(0).contains("other_side"));
}

TEST_F(ProgramBench, ATableThatCannotBeFittedIsToldWithItsPlace) {
  Write(Measured());
  const std::string filled = FilledForm();
  Write(filled, "filled.csv");
  Refuses("fit drawn.toml filled.csv --other-side", 2,
          "filled.csv:2:34: part 'arm' has no bench readings in the job ([part.arm.bench]) with "
          "which a sample of the other side could be compared");
  Refuses("fit job.toml missing.csv", 4, "missing.csv:1:1: ");
  Refuses("fit missing.toml filled.csv", 4, "missing.toml:1:1: ");
  Refuses("fit drawn.toml", 2, "no part of the job asked for has bench readings");
  Refuses("fit job.toml filled.csv --part arms", 2,
          "filled.csv has no reading filled in of a part asked for");
  Refuses("fit job.toml form/measuring-form.csv", 2,
          "form/measuring-form.csv has no reading filled in of a part asked for");
  Write(With(filled, "\"1 top\"", "\"1 tip\""), "wrong.csv");
  Refuses("fit job.toml wrong.csv", 2, "wrong.csv:3:29: \"1 tip\" is no reading of part 'arm'");
  Write(With(Measured(), "wall = 3", "wall = \"3\""), "wrong.toml");
  Refuses("fit wrong.toml", 2,
          "wrong.toml:12:8: \"wall\" in [part.arm] must be a length greater than 0; found \"3\"");
}

// Two samples differ by 1 mm in every width: half a square millimetre, of which the caliper
// explains its own.
TEST_F(ProgramBench, WhatSamplesDifferByCountsForEveryHoleAndIsSaid) {
  Write(Measured());
  Write(
      "part,reading,value,value 2\narm,1 width,59.5,60.5\narm,2 width,59.5,60.5\n"
      "arm,3 width,59.5,60.5\n",
      "samples.csv");
  const Json part = Document("fit job.toml samples.csv", 0).at("parts").at(0);
  double sigma = 0.0;
  for (const Json& reading : part.at("readings")) {
    if (reading.at("name") != "1 width") continue;
    EXPECT_EQ(reading.at("samples"), 2);
    EXPECT_NEAR(reading.at("value").get<double>(), 60.0, 1e-9);
    sigma = reading.at("sigma").get<double>();
  }
  ASSERT_GT(sigma, 0.0);
  const double spread = std::sqrt(0.5 - sigma * sigma);
  EXPECT_NEAR(part.at("part_spread_mm").get<double>(), spread, 1e-6);
  EXPECT_GE(part.at("outline_mm").at("plus").get<double>(), 3.0 * spread - 0.01);
  const Said words = Program("fit job.toml samples.csv");
  EXPECT_NE(words.out.find(fmt::format("spread of {:.2f} mm from sample to sample", spread)),
            std::string::npos)
      << words.out;
}

// Calipers have read all but the height of row 2; the worst hole is the one over the bar.
TEST_F(ProgramBench, TheReadingWorthTakingIsThatOfTheWorstHoleAndItsMarginThatOfTheCheck) {
  std::string rows = kBench;
  const std::size_t second = rows.find("distance = 90");
  rows.erase(rows.find(", height = 40", second), std::string(", height = 40").size());
  for (const char* girth : {"{ girth = 189.7, row = 1 }, ", ", { girth = 189.7, row = 3 }"}) {
    rows = With(rows, girth, "");
  }
  Write(std::string(kHead) + kArm + rows +
        "[[part.arm.inner]]\nname = \"bar\"\ndiameter = 6\n"
        "[[point]]\nname = \"D\"\nuse = \"drill\"\npart = \"arm\"\nface = \"top\"\n"
        "rule = [ { rule = 60, from = \"inner end\", toward = \"outboard\" }, "
        "{ middle = \"face\" } ]\ndrill = [3.5]\nafter = \"plug\"\n");
  const Json worst = Document("fit job.toml", 0).at("worst_hole");
  EXPECT_EQ(worst.at("point"), "D");
  EXPECT_EQ(worst.at("next_reading").at("what"), "2 height with the caliper");
  const double gain = worst.at("next_reading").at("gain_mm").get<double>();
  EXPECT_GT(gain, 0.1);
  const Said words = Program("fit job.toml");
  EXPECT_EQ(words.status, 0);
  std::string one_line = words.out;
  for (std::size_t at = 0; (at = one_line.find("\n  ", at)) != std::string::npos;) {
    one_line.replace(at, 3, " ");
  }
  EXPECT_NE(
      one_line.find(fmt::format("Next reading worth taking: 2 height with the caliper of part "
                                "arm, which would add {:.2f} mm.",
                                gain)),
      std::string::npos)
      << words.out;
  const Json hole = Document("check job.toml", 0).at("holes").at(0);
  EXPECT_NEAR(hole.at("margin_worst_mm").get<double>(), worst.at("margin_worst_mm").get<double>(),
              1e-6);
}

// Rows read once each by steel rule: nothing checks them.
TEST_F(ProgramBench, AFitSaysWhichHolesRestOnReadingsThatNothingChecks) {
  std::string bare = kBench;
  for (std::size_t at = 0; (at = bare.find(", width = 60, height = 40")) != std::string::npos;) {
    bare.erase(at, std::string(", width = 60, height = 40").size());
  }
  bare.erase(bare.find("spare"));
  Write(std::string(kHead) + kArm + bare);
  const Said run = Program("fit job.toml");
  EXPECT_EQ(run.status, 3) << run.out << run.err;
  for (const char* words :
       {"Part arm: 17 readings, 0 more than its sizes need",
        "Unproven: a hole between the stations 0 and 90 rests on the bench readings \"1 front\"",
        "Unproven: a hole between the stations 0 and 180 rests on the bench reading \"wall\"",
        "Note: nothing checks 17 of the 17 readings",
        "Most would be known better by: wall, reading 2 with the wall gauge"}) {
    EXPECT_NE(run.out.find(words), std::string::npos) << words << '\n' << run.out;
  }
  // A width is the difference of two readings, front and rear.
  const Json part = Document("fit job.toml", 3).at("parts").at(0);
  double sigma = 0.0;
  for (const Json& reading : part.at("readings")) {
    if (reading.at("name") == "2 front") sigma = reading.at("sigma").get<double>();
  }
  for (const Json& size : part.at("sizes")) {
    if (size.at("name") != "width of row 2") continue;
    EXPECT_NEAR(size.at("sigma_mm").get<double>(), std::sqrt(2.0) * sigma, 1e-3);
  }
  ASSERT_GT(sigma, 0.0);
}

}  // namespace
}  // namespace holeward
