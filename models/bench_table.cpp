#include "models/bench_table.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <optional>

#include <fmt/format.h>

#include "geometry/vec.h"
#include "models/csv_records.h"
#include "models/error_order.h"
#include "models/text_hash.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

const std::vector<std::string> kColumns = {"part",  "reading", "instrument", "unit",
                                           "value", "made",    "within",     "gap"};
const std::vector<std::string> kUnits = {"mm", "in", "kg"};
constexpr int kMostSamples = 50;

// "value" is 1, "value 2" is 2; nothing of another word.
std::optional<int> SampleOf(const std::string& column) {
  if (column == "value") return 1;
  if (!column.starts_with("value ")) return std::nullopt;
  int sample = 0;
  const char* end = column.data() + column.size();
  const auto [stop, error] = std::from_chars(column.data() + 6, end, sample);
  const bool good = error == std::errc{} && stop == end && sample > 1 && sample <= kMostSamples;
  return good ? std::optional(sample) : std::nullopt;
}

class Reader {
 public:
  BenchTable Read(std::string_view text) {
    comma_ = CsvComma(text);
    const auto records =
        RecordsOfTable(text, comma_, "part,reading,instrument,unit,value", &table_.errors);
    if (records.empty()) return std::move(table_);
    ReadHead(records.front());
    if (!table_.errors.empty()) return std::move(table_);
    for (std::size_t i = 1; i < records.size(); ++i) ReadRecord(records[i]);
    return std::move(table_);
  }

 private:
  void Wrong(Location at, std::string message) {
    table_.errors.push_back({at, std::move(message)});
  }

  void ReadHead(const CsvRecord& head) {
    for (const CsvCell& field : head) {
      const bool known =
          std::find(kColumns.begin(), kColumns.end(), field.text) != kColumns.end() ||
          SampleOf(field.text);
      if (!known) {
        const std::string meant = Meant(field.text, kColumns);
        Wrong(field.at, fmt::format("unknown column {}{} Allowed: {}, and of further samples value "
                                    "2 to value {}",
                                    Quoted(field.text), meant.empty() ? "." : meant,
                                    Listed(kColumns), kMostSamples));
      }
      if (std::find(columns_.begin(), columns_.end(), field.text) != columns_.end()) {
        Wrong(field.at, fmt::format("the column {} stands twice", Quoted(field.text)));
      }
      columns_.push_back(field.text);
    }
    const bool wrap = Has("made") && Has("gap");
    for (const char* needed : {"part", "reading", "value"}) {
      const bool may_lack = wrap && std::string_view(needed) == "value";
      if (!Has(needed) && !may_lack && table_.errors.empty()) {
        Wrong(head.front().at, fmt::format("the column \"{}\" is missing", needed));
      }
    }
  }

  [[nodiscard]] bool Has(std::string_view column) const {
    return std::find(columns_.begin(), columns_.end(), column) != columns_.end();
  }

  [[nodiscard]] CsvCell Of(const CsvRecord& record, std::string_view column) const {
    const auto at = std::find(columns_.begin(), columns_.end(), column) - columns_.begin();
    return at < std::ssize(record) ? record[static_cast<std::size_t>(at)] : CsvCell{"", {}};
  }

  void ReadRecord(const CsvRecord& record) {
    if (record.size() != columns_.size()) {
      return Wrong(record.front().at, fmt::format("found {} fields where the head has {}",
                                                  record.size(), columns_.size()));
    }
    BenchTableReading reading;
    reading.part = Of(record, "part").text;
    reading.name = Of(record, "reading").text;
    reading.instrument = Of(record, "instrument").text;
    reading.at = Of(record, Has("value") ? "value" : "gap").at;
    const CsvCell unit = Of(record, "unit");
    if (!unit.text.empty() && std::find(kUnits.begin(), kUnits.end(), unit.text) == kUnits.end()) {
      return Wrong(unit.at, fmt::format("the unit must be one of {}; found {}", Listed(kUnits),
                                        Quoted(unit.text)));
    }
    reading.weight = unit.text == "kg";
    Values(record, unit.text == "in" ? kInch : 1.0, &reading);
    Gap(record, unit.text == "in" ? kInch : 1.0, &reading);
    if (reading.values.empty()) return;
    const bool twice = std::any_of(
        table_.readings.begin(), table_.readings.end(),
        [&](const auto& r) { return r.part == reading.part && r.name == reading.name; });
    if (twice) {
      return Wrong(Of(record, "reading").at,
                   fmt::format("reading {} of part {} is given twice", Quoted(reading.name),
                               Quoted(reading.part)));
    }
    table_.readings.push_back(std::move(reading));
  }

  void Values(const CsvRecord& record, double unit, BenchTableReading* reading) {
    for (std::size_t i = 0; i < record.size(); ++i) {
      const auto sample = SampleOf(columns_[i]);
      if (!sample || record[i].text.empty()) continue;
      const auto value = Number(record[i].text);
      if (!value) {
        Wrong(record[i].at, fmt::format("the value of reading {} must be a number; found {}",
                                        Quoted(reading->name), Quoted(record[i].text)));
        continue;
      }
      reading->values.push_back(*value * unit);
    }
  }

  // Of a proof wrap: the wrap's own length and the gap beside it.
  void Gap(const CsvRecord& record, double unit, BenchTableReading* reading) {
    const CsvCell gap = Of(record, "gap");
    const CsvCell made = Of(record, "made");
    if (gap.text.empty()) return;
    const auto wide = Number(gap.text);
    const auto length = Number(made.text);
    if (wide && length) {
      reading->values.push_back((*length + *wide) * unit);
      return;
    }
    const CsvCell& wrong = wide ? made : gap;
    Wrong(wrong.at,
          fmt::format("the {} of reading {} must be a number; found {}",
                      wide ? "length made" : "gap", Quoted(reading->name), Quoted(wrong.text)));
  }

  [[nodiscard]] std::optional<double> Number(std::string text) const {
    if (comma_ == ';') std::replace(text.begin(), text.end(), ',', '.');
    double value = 0.0;
    const char* end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, value);
    const bool good = error == std::errc{} && stop == end && std::isfinite(value);
    return good && std::abs(value) <= 1e6 ? std::optional(value) : std::nullopt;
  }

  BenchTable table_;
  std::vector<std::string> columns_;
  char comma_ = ',';
};

}  // namespace

BenchTable ReadBenchTableText(std::string_view text) {
  BenchTable table = Reader().Read(text);
  SortByPlace(&table.errors);
  return table;
}

BenchTable ReadBenchTableFile(const std::string& path) {
  std::error_code code;
  const bool file = std::filesystem::is_regular_file(path, code);
  const TableBytes table = file ? ReadTable(path) : TableBytes{};
  if (table.state == TableBytes::State::read) {
    BenchTable made = ReadBenchTableText(table.bytes);
    made.bytes_hash = Sha256(table.bytes);
    return made;
  }
  BenchTable wrong;
  wrong.unreadable = table.state == TableBytes::State::unreadable;
  wrong.errors.push_back({{1, 1},
                          wrong.unreadable ? "the table of readings cannot be read"
                                           : "the table of readings is larger than 16 MiB"});
  return wrong;
}

}  // namespace holeward
