// The proof wrap, and fittings that stand where readings place them.
#include "models/proof_wrap.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/bench_reading.h"
#include "models/bench_table_fit.h"
#include "models/scene.h"

namespace holeward {
namespace {

// A level tube 60 x 40 of 180 mm, read to spare, with a bracket on top.
std::string Job(const std::string& bracket) {
  std::string rows;
  std::string girths;
  for (int i = 0; i < 3; ++i) {
    rows += fmt::format(
        "  {{ distance = {}, top = 70, underside = 30, front = 130, rear = 70, width = 60, height "
        "= 40 }},\n",
        90 * i);
    girths += fmt::format("{{ girth = 189.7, row = {} }}, ", i + 1);
  }
  return "holeward = 1\n[part.arm]\nsection = \"box\"\nwall = 3\nstart = \"inner end\"\n"
         "finish = \"outer end\"\n[part.arm.bench]\ncorner = 6\nrows = [\n" +
         rows + "]\nspare = [ " + girths +
         "{ wall = 3, row = 2 } ]\n"
         "[[part.arm.fitting]]\nname = \"bracket\"\nkind = \"bracket\"\nface = \"top\"\n"
         "size = [20, 16]\nheight = 30\n" +
         bracket + "\n";
}

JobWithBenches Read(const std::string& text) {
  JobWithBenches read = ReadBenchJobText(text, "job.toml");
  EXPECT_TRUE(read.reading.ok()) << read.reading.errors[0].Text("job.toml");
  return read;
}

const ProofGap* FindGap(const ProofWrap& wrap, const std::string& reading) {
  for (const ProofGap& gap : wrap.gaps) {
    if (gap.reading == reading) return &gap;
  }
  return nullptr;
}

TEST(ProofWrap, ShowsEndsEdgesAndFittingsOfEveryFaceAndTheGapsToExpect) {
  const JobWithBenches read = Read(Job("station = 60"));
  const SceneBuild build = BuildScene(read.reading.job, Side::left);
  ASSERT_TRUE(build.ok()) << build.errors[0].message;
  const auto wrap =
      MakeProofWrap({&read.reading.job, &build.scene.parts[0], read.benches[0].fit.get(), 1.0});
  ASSERT_TRUE(wrap.has_value()) << wrap.error().message;
  ASSERT_EQ(wrap->pieces.size(), 4u);
  for (const DevelopedPiece& piece : wrap->pieces) {
    std::string words;
    for (const FlatLine& line : piece.lines) words += line.words.English() + "|";
    EXPECT_NE(words.find("inner end"), std::string::npos) << words;
    EXPECT_NE(words.find("outer end; gap within ±"), std::string::npos) << words;
    if (piece.name == "top") {
      EXPECT_NE(words.find("bracket"), std::string::npos) << words;
    }
    for (const FlatMark& mark : piece.marks) EXPECT_TRUE(mark.diameters.empty());
  }
  const ProofGap* length = FindGap(*wrap, "tape 1 top to 3 top, wrap");
  ASSERT_NE(length, nullptr);
  EXPECT_NEAR(length->made, 180.0, 0.01);
  // Three standard deviations of the distance between two rows by rule: more than one alone, less
  // than both together without anything else.
  EXPECT_GT(length->expected, 0.8);
  EXPECT_LT(length->expected, 1.5);
  EXPECT_NEAR(FindGap(*wrap, "2 width, wrap")->made, 60.0, 0.02);
}

TEST(ProofWrap, AGapThatAPersonFindsIsAReading) {
  const JobWithBenches read = Read(Job("station = 60"));
  const SceneBuild build = BuildScene(read.reading.job, Side::left);
  const auto wrap =
      MakeProofWrap({&read.reading.job, &build.scene.parts[0], read.benches[0].fit.get(), 1.0});
  ASSERT_TRUE(wrap.has_value());
  std::string csv = ProofWrapCsv({*wrap});
  const std::string name = "\"tape 1 top to 3 top, wrap\",tape,mm,";
  const std::size_t line = csv.find(name);
  ASSERT_NE(line, std::string::npos) << csv;
  csv.insert(csv.find("\r\n", line), "0.8");
  const TableFits fits = FitTable(read.reading.job, read.benches, ReadBenchTableText(csv));
  ASSERT_TRUE(fits.errors.empty()) << fits.errors[0].message;
  const BenchFit& fit = *fits.parts.at(0).bench.fit;
  const BenchReading& last = fit.sheet.readings.back();
  EXPECT_EQ(last.name, "tape 1 top to 3 top, wrap");
  EXPECT_NEAR(last.value, 180.8, 0.01);
  // The part is longer than the rows said, by a share of the gap.
  const double length = fit.stations[2].centre.y() - fit.stations[0].centre.y();
  EXPECT_GT(length, 180.1);
  EXPECT_LT(length, 180.7);
}

TEST(FittingsByReadings, StandWhereAPointOfTheirRuleWould) {
  const auto placed = [&](const std::string& where) {
    const JobWithBenches read = Read(Job(where));
    const SceneBuild build = BuildScene(read.reading.job, Side::left);
    EXPECT_TRUE(build.ok()) << (build.errors.empty() ? "" : build.errors[0].message);
    return build.ok() ? build.scene.parts[0].fittings.at(0) : Fitting{};
  };
  const Fitting by_station = placed("station = 60\naside = 4");
  // The top is flat from front 124 to rear 76: its middle 24 mm from either tangent line.
  const std::string rule =
      "rule = [ { tape = 60, from = \"inner end\", toward = \"outboard\" }, { square = TO, from = "
      "\"front edge\", toward = \"rear\", edge = \"tangent\" } ]";
  const auto with = [&](double to) {
    std::string text = rule;
    return text.replace(text.find("TO"), 2, fmt::format("{}", to));
  };
  const Fitting one = placed(with(20));
  const Fitting other = placed(with(28));
  EXPECT_NEAR(one.station, 60.0, 1e-3);
  EXPECT_NEAR(std::min(std::abs(one.centre.v - by_station.centre.v),
                       std::abs(other.centre.v - by_station.centre.v)),
              0.0, 1e-3);
  EXPECT_GT(std::abs(one.centre.v - other.centre.v), 0.05);
  EXPECT_NEAR(one.footprint.u_from, by_station.footprint.u_from, 1e-4);
}

TEST(FittingsByReadings, RefuseAStationBesideTheRule) {
  const auto error = [&](const std::string& where) {
    const auto read = ReadBenchJobText(Job(where), "job.toml");
    return read.reading.errors.empty() ? "" : read.reading.errors[0].message;
  };
  EXPECT_NE(error("station = 60\nrule = [ { tape = 60, from = \"inner end\", toward = \"outboard\" "
                  "}, { middle = \"face\" } ]")
                .find("cannot stand beside \"rule\""),
            std::string::npos);
  EXPECT_NE(error("rule = [ { tape = 60, from = \"inner ent\", toward = \"outboard\" }, { middle = "
                  "\"face\" } ]")
                .find("\"inner ent\""),
            std::string::npos);
  EXPECT_NE(error("").find("\"station\" or \"rule\""), std::string::npos);
}

}  // namespace
}  // namespace holeward
