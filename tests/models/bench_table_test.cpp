// A filled-in measuring form read back.
#include "models/bench_table.h"

#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/bench.h"
#include "models/bench_form.h"
#include "models/bench_other_side.h"
#include "models/bench_reading.h"
#include "models/bench_table_fit.h"

namespace holeward {
namespace {

std::string JobWith(const std::string& shape) {
  return "holeward = 1\n[part.arm]\nsection = \"box\"\nwall = 3\nstart = \"inner end\"\n"
         "finish = \"outer end\"\n" +
         shape;
}

constexpr const char* kStations =
    "stations = [ { centre = [-50, 300, 280], width = 60, height = 40, corner = 6 },\n"
    "  { centre = [-50, 390, 280], width = 60, height = 40, corner = 6 },\n"
    "  { centre = [-50, 480, 280], width = 60, height = 40, corner = 6 } ]\n";

constexpr const char* kRows =
    "[part.arm.bench]\ncorner = 6\n"
    "rows = [ { distance = 0, top = 70, underside = 30, front = 130, rear = 70 },\n"
    "         { distance = 90, top = 70, underside = 30, front = 130, rear = 70 },\n"
    "         { distance = 180, top = 70, underside = 30, front = 130, rear = 70 } ]\n";

// What a reading of the form is on a level tube 60 x 40, 100 mm off the straightedge, 50 mm up,
// rows 90 mm apart; nothing for a diagonal or tape.
std::optional<double> OfTheTube(const std::string& name) {
  const double row = name.front() >= '1' && name.front() <= '9' ? name.front() - '1' : 0;
  const auto says = [&](const char* word) { return name.find(word) != std::string::npos; };
  if (says("diagonal") || says("tape")) return std::nullopt;
  if (says("distance")) return 90.0 * row;
  if (says("top")) return 70.0;
  if (says("underside")) return 30.0;
  if (says("front")) return 130.0;
  if (says("rear")) return 70.0;
  if (says("width")) return 60.0;
  if (says("height")) return 40.0;
  if (says("girth")) return 200.0 - (8.0 - 2.0 * 3.14159265358979) * 6.0;
  if (says("wall")) return 3.0;
  return says("corner") ? std::optional(6.0) : std::nullopt;
}

std::string Filled(const MeasuringForm& form) {
  std::string csv = "part,reading,instrument,unit,value\r\n";
  const auto add = [&](const std::string& name, const std::string& instrument) {
    const auto value = OfTheTube(name);
    csv += fmt::format("\"{}\",\"{}\",{},mm,{}\r\n", form.part, name, instrument,
                       value ? fmt::format("{:.3f}", *value) : "");
  };
  for (std::size_t row = 0; row < form.rows.size(); ++row) {
    for (const FormColumn& column : form.columns) {
      add(fmt::format("{} {}", row + 1, column.word), column.instrument);
    }
  }
  for (const auto* readings : {&form.once, &form.spares}) {
    for (const BenchReading& r : *readings) add(r.name, r.instrument);
  }
  return csv;
}

std::string FirstError(const std::string& csv) {
  const BenchTable table = ReadBenchTableText(csv);
  if (!table.errors.empty()) return table.errors.front().Text("t.csv");
  const auto read = ReadBenchJobText(JobWith(kRows), "job.toml");
  const TableFits fits = FitTable(read.reading.job, read.benches, table);
  return fits.errors.empty() ? "" : fits.errors.front().Text("t.csv");
}

TEST(BenchTable, AFilledInFormOfAPartGivenByStationsGivesThemBack) {
  const auto read = ReadBenchJobText(JobWith(kStations), "job.toml");
  ASSERT_TRUE(read.reading.ok()) << read.reading.errors[0].Text("job.toml");
  const PartRow& part = read.reading.job.parts.front();
  const auto form = FormOf(part, Side::left);
  ASSERT_TRUE(form.has_value());
  const TableFits fits = FitTable(read.reading.job, {}, ReadBenchTableText(Filled(*form)));
  ASSERT_TRUE(fits.errors.empty()) << fits.errors[0].message;
  ASSERT_EQ(fits.parts.size(), 1u);
  EXPECT_TRUE(fits.parts[0].described_otherwise);
  const BenchFit& fit = *fits.parts[0].bench.fit;
  ASSERT_EQ(fit.stations.size(), 3u);
  for (const StationRow& s : fit.stations) {
    EXPECT_NEAR(s.width, 60.0, 1e-3);
    EXPECT_NEAR(s.height, 40.0, 1e-3);
  }
  EXPECT_TRUE(fit.found.suspects.empty());
  // Every reading has the name it has on the form.
  for (const BenchReading& r : fit.sheet.readings) {
    EXPECT_NE(Filled(*form).find("\"" + r.name + "\""), std::string::npos) << r.name;
  }
  EXPECT_TRUE(fit.unchecked.empty()) << fit.unchecked[0].why;
}

TEST(BenchTable, AReadingTakenAgainTakesThePlaceOfTheFirst) {
  std::string rows = kRows;
  rows.replace(rows.find("front = 130"), 11, "front = 135, width = 60");
  const auto read = ReadBenchJobText(JobWith(rows), "job.toml");
  ASSERT_TRUE(read.reading.ok());
  EXPECT_FALSE(read.benches[0].fit->doubts.empty());
  const std::string csv = "part,reading,value,value 2\narm,1 front,130,130.2\narm,1 girth,189.7,\n";
  const TableFits fits = FitTable(read.reading.job, read.benches, ReadBenchTableText(csv));
  ASSERT_TRUE(fits.errors.empty()) << fits.errors[0].message;
  const BenchFit& fit = *fits.parts[0].bench.fit;
  EXPECT_FALSE(fits.parts[0].described_otherwise);
  EXPECT_TRUE(fit.doubts.empty());
  EXPECT_EQ(fit.sheet.readings.size(), read.benches[0].fit->sheet.readings.size() + 1);
  for (const BenchReading& r : fit.sheet.readings) {
    if (r.name != "1 front") continue;
    EXPECT_EQ(r.samples, 2);
    EXPECT_NEAR(r.value, 130.1, 1e-9);
  }
}

TEST(BenchTable, TheOtherSidesSampleIsToldWhereItIsNotTheMirrorImage) {
  const auto read = ReadBenchJobText(JobWith(kRows), "job.toml");
  const auto form = FormOf(read.reading.job.parts.front(), Side::left, &read.benches[0].fit->sheet);
  ASSERT_TRUE(form.has_value());
  const auto compared = [&](const std::string& csv) {
    const TableFits fits = FitTable(read.reading.job, read.benches, ReadBenchTableText(csv), true);
    EXPECT_TRUE(fits.errors.empty()) << fits.errors[0].message;
    return Compare(*read.benches[0].fit, *fits.parts.at(0).bench.fit);
  };
  std::string csv = Filled(*form);
  EXPECT_TRUE(compared(csv).differences.empty());
  EXPECT_GE(compared(csv).compared, 13);
  // As it lay farther from the straightedge: the same part.
  const auto with = [&](std::initializer_list<std::pair<const char*, const char*>> changes) {
    std::string changed = csv;
    for (const auto& [name, value] : changes) {
      const std::size_t at = changed.find(fmt::format("\"{}\"", name));
      const std::size_t from = changed.find(",mm,", at) + 4;
      changed.replace(from, changed.find('\r', from) - from, value);
    }
    return changed;
  };
  const auto moved = compared(with({{"1 front", "135"},
                                    {"1 rear", "75"},
                                    {"2 front", "133"},
                                    {"2 rear", "73"},
                                    {"3 front", "131"},
                                    {"3 rear", "71"}}));
  EXPECT_TRUE(moved.differences.empty()) << moved.differences[0].what;
  const auto wide = compared(
      with({{"2 front", "132"}, {"2 rear", "68"}, {"2 width", "64"}, {"2 girth", "197.7"}}));
  ASSERT_EQ(wide.differences.size(), 1u);
  EXPECT_EQ(wide.differences[0].what, "width of row 2");
  EXPECT_NEAR(wide.differences[0].second - wide.differences[0].first, 4.0, 0.1);
}

TEST(BenchTable, ASizeThatIsOnlyAssumedLeavesTheHolesBesideItUnproven) {
  std::string rows = kRows;
  rows += "spare = [ { wall = 3, row = 2 }";
  for (int row = 1; row <= 3; ++row) {
    rows += fmt::format(", {{ width = 60, row = {} }}", row);
    rows += fmt::format(", {{ height = 40, row = {}{} }}", row,
                        row == 1 ? ", instrument = \"assumed\", error = 0.05" : "");
  }
  const auto read = ReadBenchJobText(JobWith(rows + " ]\n"), "job.toml");
  ASSERT_TRUE(read.reading.ok()) << read.reading.errors[0].Text("job.toml");
  const auto& unproven = read.reading.job.parts[0].unproven;
  ASSERT_EQ(unproven.size(), 1u);
  EXPECT_NE(unproven[0].why.find("1 height (assumed)"), std::string::npos) << unproven[0].why;
}

TEST(BenchTable, SemicolonsInchesAndDecimalCommasAreReadAsOfficesWriteThem) {
  const BenchTable table = ReadBenchTableText(
      "part;reading;unit;value\r\narm;2 width;mm;60,5\r\narm;3 width;in;2,5\r\narm;1 top;;\r\n");
  ASSERT_TRUE(table.errors.empty()) << table.errors[0].message;
  ASSERT_EQ(table.readings.size(), 2u);
  EXPECT_DOUBLE_EQ(table.readings[0].values[0], 60.5);
  EXPECT_DOUBLE_EQ(table.readings[1].values[0], 63.5);
}

TEST(BenchTable, SaysWhatIsWrongAndWhere) {
  const std::string head = "part,reading,instrument,unit,value\n";
  EXPECT_EQ(FirstError("part,reading,valu\n").substr(0, 66),
            "t.csv:1:14: unknown column \"valu\"; did you mean \"value\"? Allowed: ");
  EXPECT_EQ(FirstError(head + "arm,1 top,,mm,12x\n"),
            "t.csv:2:15: the value of reading \"1 top\" must be a number; found \"12x\"");
  EXPECT_EQ(FirstError(head + "arm,1 top,,ell,12\n"),
            "t.csv:2:12: the unit must be one of mm, in, kg; found \"ell\"");
  EXPECT_EQ(FirstError(head + "arm,1 top,,mm,70\narm,1 top,,mm,71\n"),
            "t.csv:3:5: reading \"1 top\" of part \"arm\" is given twice");
  EXPECT_EQ(FirstError(head + "arn,1 top,,mm,70\n"),
            "t.csv:2:15: the job has no part \"arn\"; did you mean \"arm\"? Its parts: arm");
  EXPECT_NE(FirstError(head + "arm,4 top,,mm,70\n").find("its rows are 1 to 3"), std::string::npos);
  EXPECT_EQ(FirstError(head + "arm,1 girth,caliber,mm,190\n"),
            "t.csv:2:24: the instrument of reading \"1 girth\" must be caliper, steel rule, tape, "
            "class I tape, class III tape, height gauge, radius gauge, wall gauge, scale, drawing "
            "or assumed; found \"caliber\"");
  EXPECT_EQ(FirstError(head + "arm,1 width,,mm,-3\n"),
            "t.csv:2:17: reading \"1 width\" must be more than 0; found -3");
  EXPECT_EQ(FirstError(head + "arm,weight,,mm,3\n"),
            "t.csv:2:16: reading \"weight\" is a weight; its unit must be kg");
  EXPECT_NE(FirstError(head + "arm,1 top,,mm,20\n").find("Were the two swapped?"),
            std::string::npos);
  EXPECT_NE(FirstError(head + "arm,2 distance,,mm,200\n").find("Were the two swapped?"),
            std::string::npos);
  EXPECT_EQ(FirstError(""),
            "t.csv:1:1: the table is empty; it begins with "
            "part,reading,instrument,unit,value");
}

TEST(BenchTable, TheJobTakesItsReadingsFromAFileBesideItAndItsHashChangesWithThem) {
  namespace fs = std::filesystem;
  const fs::path folder = fs::temp_directory_path() / "holeward-bench-table";
  fs::remove_all(folder);
  fs::create_directories(folder);
  const auto write = [&](const char* name, const std::string& text) {
    std::ofstream(folder / name, std::ios::binary) << text;
  };
  const auto stations = ReadBenchJobText(JobWith(kStations), "job.toml");
  const auto form = FormOf(stations.reading.job.parts.front(), Side::left);
  ASSERT_TRUE(form.has_value());
  const std::string filled = Filled(*form);
  write("form.csv", filled);
  write("job.toml", JobWith("[part.arm.bench]\nreadings = \"form.csv\"\n"));
  const auto read = ReadBenchJobFile((folder / "job.toml").string());
  ASSERT_TRUE(read.reading.ok()) << read.reading.errors[0].Text("job.toml");
  EXPECT_NEAR(read.reading.job.parts[0].stations[1].width, 60.0, 1e-3);
  std::string other = filled;
  other.replace(other.find("60.000"), 6, "60.010");
  write("form.csv", other);
  const auto again = ReadBenchJobFile((folder / "job.toml").string());
  EXPECT_NE(read.reading.job.content_hash, again.reading.job.content_hash);
  write("form.csv", "part,reading,value\narm,1 top,x\n");
  const auto wrong = ReadBenchJobFile((folder / "job.toml").string());
  ASSERT_FALSE(wrong.reading.errors.empty());
  EXPECT_EQ(wrong.reading.errors[0].Text("job.toml"),
            "job.toml:8:12: \"readings\" in [part.arm.bench]: form.csv:2:11: the value of reading "
            "\"1 top\" must be a number; found \"x\"");
  fs::remove_all(folder);
}

TEST(BenchTable, AHoleOverAReadingThatNothingChecksIsUnproven) {
  const auto bare = ReadBenchJobText(JobWith(kRows), "job.toml");
  ASSERT_TRUE(bare.reading.ok());
  const auto& unproven = bare.reading.job.parts[0].unproven;
  ASSERT_FALSE(unproven.empty());
  EXPECT_EQ(unproven[0].why,
            "the bench readings \"1 front\", \"1 rear\", \"1 top\" and \"1 underside\", which "
            "nothing checks");
  EXPECT_EQ(unproven[0].from, 0.0);
  EXPECT_NEAR(unproven[0].to, 90.0, 1e-6);
  // A girth of every row and the wall again check all sizes but not how they are shared out.
  std::string checked = kRows;
  for (int row = 0; row < 3; ++row) {
    const std::size_t at = checked.find("rear = 70 }");
    checked.replace(at, 11, "rear = 70, width = 60, height = 40 }");
  }
  checked += "spare = [ { wall = 3, row = 2 } ]\n";
  EXPECT_TRUE(ReadBenchJobText(JobWith(checked), "job.toml").reading.job.parts[0].unproven.empty());
}

}  // namespace
}  // namespace holeward
