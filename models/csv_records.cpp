#include "models/csv_records.h"

#include <algorithm>
#include <filesystem>
#include <utility>

#include <fmt/format.h>

#include "models/read_bytes.h"
#include "models/utf8_check.h"

namespace holeward {
namespace {

constexpr std::size_t kLargestTable = 16u * 1024u * 1024u;

class Cutter {
 public:
  Cutter(std::string_view text, char comma, std::vector<JobError>* errors)
      : text_(text), comma_(comma), errors_(errors) {}

  std::vector<CsvRecord> Cut() {
    std::vector<CsvRecord> records;
    if (text_.substr(0, 3) == "\xef\xbb\xbf") next_ = 3;
    while (next_ < text_.size()) {
      CsvRecord record = CutRecord();
      const bool blank = std::all_of(record.begin(), record.end(),
                                     [](const CsvCell& field) { return field.text.empty(); });
      if (!blank) records.push_back(std::move(record));
    }
    return records;
  }

 private:
  [[nodiscard]] bool At(char c) const { return next_ < text_.size() && text_[next_] == c; }

  CsvRecord CutRecord() {
    CsvRecord record = {CutField()};
    while (At(comma_)) {
      Step();
      record.push_back(CutField());
    }
    if (At('\r')) Step();
    if (At('\n')) Step();
    return record;
  }

  CsvCell CutField() {
    CsvCell field{"", at_};
    if (At('"')) CutQuoted(&field);
    while (next_ < text_.size() && !At(comma_) && !At('\n') && !At('\r')) {
      field.text += text_[next_];
      Step();
    }
    const auto blank = [](char c) { return c == ' ' || c == '\t'; };
    while (!field.text.empty() && blank(field.text.back())) field.text.pop_back();
    while (!field.text.empty() && blank(field.text.front())) field.text.erase(0, 1);
    return field;
  }

  void CutQuoted(CsvCell* field) {
    for (Step(); next_ < text_.size(); Step()) {
      const bool doubled = At('"') && text_.substr(next_ + 1, 1) == "\"";
      if (At('"') && !doubled) return Step();
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
  char comma_;
  std::vector<JobError>* errors_;
  std::size_t next_ = 0;
  Location at_{1, 1};
};

}  // namespace

std::vector<CsvRecord> CsvRecords(std::string_view text, char comma,
                                  std::vector<JobError>* errors) {
  return Cutter(text, comma, errors).Cut();
}

std::vector<CsvRecord> RecordsOfTable(std::string_view text, char comma, std::string_view begins,
                                      std::vector<JobError>* errors) {
  if (const auto bad = FirstNotUtf8(text)) {
    errors->push_back({*bad, "the table is not UTF-8 text from here on"});
    return {};
  }
  std::vector<CsvRecord> records = CsvRecords(text, comma, errors);
  if (records.empty()) {
    errors->push_back({{1, 1}, fmt::format("the table is empty; it begins with {}", begins)});
  }
  return records;
}

char CsvComma(std::string_view text) {
  bool quoted = false;
  for (const char c : text) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == ',' || c == ';') return c;
    if (c == '\n') break;
  }
  return ',';
}

TableBytes ReadTable(const std::string& path) {
  std::error_code code;
  if (std::filesystem::is_directory(path, code)) return {};
  const OpenFile file(std::fopen(path.c_str(), "rb"));
  auto bytes = file ? ReadBytes(file.get(), kLargestTable) : std::nullopt;
  if (!bytes) return {};
  if (bytes->size() > kLargestTable) return {TableBytes::State::too_large, {}};
  return {TableBytes::State::read, std::move(*bytes)};
}

std::string CsvQuoted(const std::string& field, char comma) {
  const bool plain = field.find_first_of(std::string("\"\r\n") + comma) == std::string::npos &&
                     (field.empty() || (field.front() != ' ' && field.back() != ' '));
  if (plain) return field;
  std::string quoted = "\"";
  for (const char c : field) {
    if (c == '"') quoted += c;
    quoted += c;
  }
  return quoted + '"';
}

}  // namespace holeward
