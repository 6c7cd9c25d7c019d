#include "models/test_results.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>
#include <sstream>

#include <fmt/format.h>

#include "models/condition_words.h"
#include "models/toml_walk.h"
#include "models/utf8_check.h"

namespace holeward {
namespace {

constexpr std::size_t kLargestTable = 16u * 1024u * 1024u;
constexpr double kThickest = 1000.0;  // mm
const std::vector<std::string> kColumns = {"vehicle", "point",  "side",
                                           "part",    "result", "remaining_mm"};

struct Field {
  std::string text;
  Location at;
};
using Record = std::vector<Field>;

/// Cuts a table into records (RFC 4180); a field in quotes may hold anything.
class Cutter {
 public:
  Cutter(std::string_view text, std::vector<JobError>* errors) : text_(text), errors_(errors) {}

  std::vector<Record> Cut() {
    std::vector<Record> records;
    if (text_.substr(0, 3) == "\xef\xbb\xbf") next_ = 3;  // a byte order mark, as offices write it
    while (next_ < text_.size()) {
      Record record = CutRecord();
      const bool blank = std::all_of(record.begin(), record.end(),
                                     [](const Field& field) { return field.text.empty(); });
      if (!blank) records.push_back(std::move(record));
    }
    return records;
  }

 private:
  Record CutRecord() {
    Record record = {CutField()};
    while (next_ < text_.size() && text_[next_] == ',') {
      Step();
      record.push_back(CutField());
    }
    if (next_ < text_.size() && text_[next_] == '\r') Step();
    if (next_ < text_.size() && text_[next_] == '\n') Step();
    return record;
  }

  Field CutField() {
    Field field{"", at_};
    if (next_ < text_.size() && text_[next_] == '"') {
      CutQuoted(&field);
    }
    while (next_ < text_.size() && text_[next_] != ',' && text_[next_] != '\n' &&
           text_[next_] != '\r') {
      field.text += text_[next_];
      Step();
    }
    const auto blank = [](char c) { return c == ' ' || c == '\t'; };
    while (!field.text.empty() && blank(field.text.back())) field.text.pop_back();
    while (!field.text.empty() && blank(field.text.front())) field.text.erase(0, 1);
    return field;
  }

  void CutQuoted(Field* field) {
    for (Step(); next_ < text_.size(); Step()) {
      const bool quote = text_[next_] == '"';
      const bool doubled = quote && text_.substr(next_ + 1, 1) == "\"";
      if (quote && !doubled) return Step();
      if (doubled) Step();
      field->text += text_[next_];
    }
    errors_->push_back({field->at, "a field begins with \" and has no \" behind it"});
  }

  void Step() {
    const auto byte = static_cast<unsigned char>(text_[next_]);
    if (byte == '\n') {
      at_ = {at_.line + 1, 1};
    } else if ((byte & 0xc0u) != 0x80u) {
      ++at_.column;
    }
    ++next_;
  }

  std::string_view text_;
  std::vector<JobError>* errors_;
  std::size_t next_ = 0;
  Location at_{1, 1};
};

class Reader {
 public:
  explicit Reader(const Job& job) : places_(TestPlaces(job)) {
    for (const TestPlace& place : places_) {
      if (points_.empty() || points_.back() != place.point) points_.push_back(place.point);
    }
  }

  ResultsReading Read(std::string_view text) {
    if (const auto bad = FirstNotUtf8(text)) {
      Wrong(*bad, "the table is not UTF-8 text from here on");
      return std::move(reading_);
    }
    const auto records = Cutter(text, &reading_.errors).Cut();
    if (records.empty()) {
      Wrong({1, 1}, "the table is empty; it begins with point,side,result,remaining_mm");
      return std::move(reading_);
    }
    ReadHead(records.front());
    if (!reading_.errors.empty()) return std::move(reading_);
    for (std::size_t i = 1; i < records.size(); ++i) ReadRecord(records[i]);
    return std::move(reading_);
  }

 private:
  void Wrong(Location at, std::string message) {
    reading_.errors.push_back({at, std::move(message)});
  }

  void ReadHead(const Record& head) {
    std::vector<std::string> seen;
    for (const Field& field : head) {
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

  Field Of(const Record& record, std::string_view column) const {
    const auto at = std::find(columns_.begin(), columns_.end(), column) - columns_.begin();
    return at < std::ssize(record) ? record[static_cast<std::size_t>(at)] : Field{"", {}};
  }

  void ReadRecord(const Record& record) {
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

  TestPlace ReadPlace(const Record& record) {
    const Field point = Of(record, "point");
    const Field side = Of(record, "side");
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

  TestEntry ReadEntry(const Record& record) {
    TestEntry entry;
    const Field result = Of(record, "result");
    const std::vector<std::string> words = {"pass", "fail", "not tested"};
    const auto word = std::find(words.begin(), words.end(), result.text);
    if (word != words.end()) entry.result = static_cast<TestResult>(word - words.begin());
    if (word == words.end() && !result.text.empty()) {
      Wrong(result.at, fmt::format("found {} where {} or nothing is allowed{}", Quoted(result.text),
                                   Listed(words), Meant(result.text, words)));
    }
    const Field remaining = Of(record, "remaining_mm");
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
  return Reader(job).Read(text);
}

ResultsReading ReadResultsFile(const std::string& path, const Job& job) {
  ResultsReading reading;
  std::error_code code;
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  const bool folder = std::filesystem::is_directory(path, code);
  if (!folder && file) text << file.rdbuf();
  if (folder || !file || file.bad()) {
    reading.unreadable = true;
    reading.errors.push_back({{1, 1}, "the table of results cannot be read"});
    return reading;
  }
  if (text.str().size() > kLargestTable) {
    reading.errors.push_back({{1, 1}, "the table is larger than 16 MiB; results are not"});
    return reading;
  }
  return ReadResultsText(text.str(), job);
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
