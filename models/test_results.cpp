#include "models/test_results.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "models/condition_words.h"
#include "models/csv_records.h"
#include "models/error_order.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

constexpr double kThickest = 1000.0;  // mm
const std::vector<std::string> kColumns = {"vehicle", "point",  "side",
                                           "part",    "result", "remaining_mm"};

class Reader {
 public:
  explicit Reader(const Job& job) : places_(TestPlaces(job)) {
    for (const TestPlace& place : places_) {
      if (points_.empty() || points_.back() != place.point) points_.push_back(place.point);
    }
  }

  ResultsReading Read(std::string_view text) {
    const auto records =
        RecordsOfTable(text, ',', "point,side,result,remaining_mm", &reading_.errors);
    if (records.empty()) return std::move(reading_);
    ReadHead(records.front());
    if (!reading_.errors.empty()) return std::move(reading_);
    for (std::size_t i = 1; i < records.size(); ++i) ReadRecord(records[i]);
    return std::move(reading_);
  }

 private:
  void Wrong(Location at, std::string message) {
    reading_.errors.push_back({at, std::move(message)});
  }

  void ReadHead(const CsvRecord& head) {
    std::vector<std::string> seen;
    for (const CsvCell& field : head) {
      const bool known = std::find(kColumns.begin(), kColumns.end(), field.text) != kColumns.end();
      if (!known) {
        Wrong(field.at, fmt::format("unknown column {}{}; the columns are {}", Quoted(field.text),
                                    Meant(field.text, kColumns), Listed(kColumns)));
      }
      if (std::find(seen.begin(), seen.end(), field.text) != seen.end()) {
        Wrong(field.at, fmt::format("the column {} stands twice", Quoted(field.text)));
      }
      seen.push_back(field.text);
    }
    for (const char* needed : {"point", "side", "result"}) {
      if (std::find(seen.begin(), seen.end(), needed) == seen.end() && reading_.errors.empty()) {
        Wrong(head.front().at, fmt::format("the column \"{}\" is missing", needed));
      }
    }
    columns_ = std::move(seen);
  }

  CsvCell Of(const CsvRecord& record, std::string_view column) const {
    const auto at = std::find(columns_.begin(), columns_.end(), column) - columns_.begin();
    return at < std::ssize(record) ? record[static_cast<std::size_t>(at)] : CsvCell{"", {}};
  }

  void ReadRecord(const CsvRecord& record) {
    if (record.size() != columns_.size()) {
      return Wrong(record.front().at, fmt::format("found {} fields where the head has {}",
                                                  record.size(), columns_.size()));
    }
    const std::size_t errors = reading_.errors.size();
    const TestPlace place = ReadPlace(record);
    const TestEntry entry = ReadEntry(record);
    if (reading_.errors.size() != errors) return;
    VehicleResults& vehicle = VehicleOf(Of(record, "vehicle").text);
    if (!vehicle.entries.emplace(place, entry).second) {
      Wrong(Of(record, "point").at,
            fmt::format("{} {} is given twice for this vehicle",
                        place.side == Side::left ? "left" : "right", place.point));
    }
  }

  TestPlace ReadPlace(const CsvRecord& record) {
    const CsvCell point = Of(record, "point");
    const CsvCell side = Of(record, "side");
    TestPlace place{point.text, side.text == "right" ? Side::right : Side::left};
    const bool known = std::find(points_.begin(), points_.end(), point.text) != points_.end();
    if (!known) {
      Wrong(point.at, fmt::format("found {} where a test point of the job ({}) is allowed{}",
                                  Quoted(point.text), Listed(points_), Meant(point.text, points_)));
    }
    if (side.text != "left" && side.text != "right") {
      Wrong(side.at, fmt::format("found {} where left or right is allowed{}", Quoted(side.text),
                                 Meant(side.text, {"left", "right"})));
    } else if (known && std::find(places_.begin(), places_.end(), place) == places_.end()) {
      Wrong(side.at,
            fmt::format("the job does not test {} on the {}", Quoted(point.text), side.text));
    }
    return place;
  }

  TestEntry ReadEntry(const CsvRecord& record) {
    TestEntry entry;
    const CsvCell result = Of(record, "result");
    const std::vector<std::string> words = {"pass", "fail", "not tested"};
    const auto word = std::find(words.begin(), words.end(), result.text);
    if (word != words.end()) entry.result = static_cast<TestResult>(word - words.begin());
    if (word == words.end() && !result.text.empty()) {
      Wrong(result.at, fmt::format("found {} where {} or nothing is allowed{}", Quoted(result.text),
                                   Listed(words), Meant(result.text, words)));
    }
    const CsvCell remaining = Of(record, "remaining_mm");
    if (remaining.text.empty()) return entry;
    double value = 0.0;
    const char* end = remaining.text.data() + remaining.text.size();
    const auto read = std::from_chars(remaining.text.data(), end, value);
    const bool number = read.ec == std::errc() && read.ptr == end;
    if (!number || !(value >= 0.0 && value <= kThickest)) {
      Wrong(remaining.at, fmt::format("found {} where a thickness from 0 to 1000 mm, such as 2.4, "
                                      "or nothing is allowed",
                                      Quoted(remaining.text)));
    } else if (entry.result == TestResult::not_tested) {
      Wrong(remaining.at, "a point that was not tested has no remaining thickness");
    }
    entry.remaining = value;
    return entry;
  }

  VehicleResults& VehicleOf(const std::string& name) {
    const auto found =
        std::find_if(reading_.vehicles.begin(), reading_.vehicles.end(),
                     [&](const VehicleResults& vehicle) { return vehicle.vehicle == name; });
    if (found != reading_.vehicles.end()) return *found;
    reading_.vehicles.push_back({name, {}});
    return reading_.vehicles.back();
  }

  std::vector<TestPlace> places_;
  std::vector<std::string> points_;
  std::vector<std::string> columns_;
  ResultsReading reading_;
};

/// The places that a condition asks for a result, and for a thickness.
void Asked(const Condition& condition, std::set<TestPlace>* results, std::set<TestPlace>* lengths) {
  if (condition.kind == Condition::Kind::result) results->insert(condition.place);
  if (condition.kind == Condition::Kind::remaining) {
    results->insert(condition.place);
    lengths->insert(condition.place);
  }
  for (const Condition& part : condition.parts) Asked(part, results, lengths);
}

void AddMissing(const Condition& condition, const TestEntries& entries, VehicleDecision* decision) {
  std::set<TestPlace> results;
  std::set<TestPlace> lengths;
  Asked(condition, &results, &lengths);
  for (const TestPlace& place : results) {
    const auto entry = entries.find(place);
    if (entry == entries.end() || !entry->second.result) {
      decision->missing.push_back(place);
    } else if (lengths.count(place) > 0 && entry->second.result != TestResult::not_tested &&
               !entry->second.remaining) {
      decision->no_remaining.push_back(place);
    }
  }
}

}  // namespace

ResultsReading ReadResultsText(std::string_view text, const Job& job) {
  ResultsReading reading = Reader(job).Read(text);
  SortByPlace(&reading.errors);
  return reading;
}

ResultsReading ReadResultsFile(const std::string& path, const Job& job) {
  ResultsReading reading;
  const TableBytes table = ReadTable(path);
  reading.unreadable = table.state == TableBytes::State::unreadable;
  if (reading.unreadable) {
    reading.errors.push_back({{1, 1}, "the table of results cannot be read"});
    return reading;
  }
  if (table.state == TableBytes::State::too_large) {
    reading.errors.push_back({{1, 1}, "the table is larger than 16 MiB; results are not"});
    return reading;
  }
  return ReadResultsText(table.bytes, job);
}

std::vector<TestPlace> TestPlaces(const Job& job) {
  std::vector<TestPlace> places;
  for (const PointRow& point : job.points) {
    if (point.use != PointUse::test) continue;
    for (const Side side : job.sides) {
      if (!point.only || *point.only == side) places.push_back({point.name, side});
    }
  }
  return places;
}

VehicleDecision Decide(const Job& job, const TestEntries& entries) {
  VehicleDecision decision;
  for (std::size_t i = 0; i < job.decisions.size(); ++i) {
    const Truth truth = Holds(job.decisions[i].condition, entries);
    if (truth == Truth::no) continue;
    if (truth == Truth::yes) {
      decision.decision = i;
    } else {
      AddMissing(job.decisions[i].condition, entries, &decision);
    }
    return decision;
  }
  return decision;
}

}  // namespace holeward
