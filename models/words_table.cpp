#include "models/words_table.h"

#include <algorithm>
#include <filesystem>
#include <optional>

#include <fmt/format.h>

#include "models/csv_records.h"
#include "models/error_order.h"
#include "models/text_hash.h"
#include "models/toml_walk.h"

namespace holeward {
namespace {

/// A translation takes more room than its text; what is longer fits no sheet.
constexpr std::size_t kLongestText = 1000;

class Reader {
 public:
  WordsTable Read(std::string_view text) {
    table_.hash = ShortHash(text);
    table_.comma = CsvComma(text);
    const auto records = RecordsOfTable(text, table_.comma, "text,de,es", &table_.errors);
    if (records.empty()) return std::move(table_);
    ReadHead(records.front());
    if (!table_.ok()) return std::move(table_);
    for (std::size_t i = 1; i < records.size(); ++i) ReadRecord(records[i]);
    return std::move(table_);
  }

 private:
  void Wrong(Location at, std::string message) {
    table_.errors.push_back({at, std::move(message)});
  }

  void ReadHead(const CsvRecord& head) {
    std::vector<std::string> known = {"text"};
    for (const Language language : kLanguages) {
      if (language != Language::english) known.emplace_back(Code(language));
    }
    for (const CsvCell& field : head) {
      const bool right = std::find(known.begin(), known.end(), field.text) != known.end();
      const bool twice = std::find(columns_.begin(), columns_.end(), field.text) != columns_.end();
      if (!right) {
        Wrong(field.at, fmt::format("unknown column {}; the columns are {}", Quoted(field.text),
                                    Listed(known)));
      } else if (twice) {
        Wrong(field.at, fmt::format("the column {} stands twice", Quoted(field.text)));
      }
      columns_.push_back(field.text);
    }
    if (std::find(columns_.begin(), columns_.end(), "text") == columns_.end()) {
      Wrong(head.front().at, "the column \"text\" is missing");
    }
  }

  void ReadRecord(const CsvRecord& record) {
    if (record.size() > columns_.size()) {
      return Wrong(record[columns_.size()].at,
                   fmt::format("found {} fields where the head has {}; put a text that holds '{}' "
                               "in quotes",
                               record.size(), columns_.size(), table_.comma));
    }
    WordsRow row;
    Location at = record.front().at;
    for (std::size_t i = 0; i < record.size(); ++i) {
      const std::string& text = record[i].text;
      if (!Sound(record[i])) return;
      if (columns_[i] == "text") {
        row.text = text;
        at = record[i].at;
      } else if (const auto language = LanguageOf(columns_[i]); language && !text.empty()) {
        row.said[*language] = text;
      }
    }
    if (row.text.empty()) return Wrong(at, "the record says what, but not which text of the job");
    if (!lines_.emplace(row.text, at.line).second) {
      return Wrong(at, fmt::format("the text {} is given already (line {})", Quoted(row.text),
                                   lines_.at(row.text)));
    }
    table_.rows.push_back(std::move(row));
  }

  bool Sound(const CsvCell& field) {
    const bool one_line = std::none_of(field.text.begin(), field.text.end(),
                                       [](unsigned char c) { return c < 0x20 || c == 0x7f; });
    if (!one_line) Wrong(field.at, "a text must be one line without control characters");
    const bool short_enough = field.text.size() <= kLongestText;
    if (!short_enough) {
      Wrong(field.at,
            fmt::format("a text has at most {} bytes; found {}", kLongestText, field.text.size()));
    }
    return one_line && short_enough;
  }

  std::vector<std::string> columns_;
  std::map<std::string, int> lines_;
  WordsTable table_;
};

const WordsRow* Find(const WordsTable& table, const std::string& text) {
  const auto found = std::find_if(table.rows.begin(), table.rows.end(),
                                  [&](const WordsRow& row) { return row.text == text; });
  return found == table.rows.end() ? nullptr : &*found;
}

std::string Line(const std::string& text, const WordsRow* row, char comma) {
  std::string line = CsvQuoted(text, comma);
  for (const Language language : kLanguages) {
    if (language == Language::english) continue;
    const bool said = row != nullptr && row->said.count(language) > 0;
    line += comma + (said ? CsvQuoted(row->said.at(language), comma) : "");
  }
  return line + "\n";
}

}  // namespace

WordsTable ReadWordsText(std::string_view text) {
  WordsTable table = Reader().Read(text);
  SortByPlace(&table.errors);
  return table;
}

WordsTable ReadWordsFile(const std::string& path) {
  const TableBytes read = ReadTable(path);
  WordsTable table;
  table.unreadable = read.state == TableBytes::State::unreadable;
  if (table.unreadable) {
    table.errors.push_back({{1, 1}, "the table of words cannot be read"});
    return table;
  }
  if (read.state == TableBytes::State::too_large) {
    table.errors.push_back({{1, 1}, "the table is larger than 16 MiB; one of words is not"});
    return table;
  }
  return ReadWordsText(read.bytes);
}

std::string WordsPath(const Job& job) {
  const std::filesystem::path table(job.words_file);
  return table.is_absolute() ? table.string()
                             : (std::filesystem::path(job.file).parent_path() / table).string();
}

std::string WordsCsv(const Job& job, const WordsTable& known) {
  std::string head = "text";
  for (const Language language : kLanguages) {
    if (language != Language::english) head += known.comma + std::string(Code(language));
  }
  std::string csv = head + "\n";
  for (const JobText& text : job.texts) csv += Line(text.text, Find(known, text.text), known.comma);
  for (const WordsRow& row : known.rows) {
    const bool said = std::any_of(job.texts.begin(), job.texts.end(),
                                  [&](const JobText& text) { return text.text == row.text; });
    if (!said) csv += Line(row.text, &row, known.comma);
  }
  return csv;
}

std::vector<JobText> NotSaid(const Job& job, const WordsTable& table, Language language) {
  std::vector<JobText> missing;
  for (const JobText& text : job.texts) {
    const WordsRow* row = Find(table, text.text);
    if (row == nullptr || row->said.count(language) == 0) missing.push_back(text);
  }
  return missing;
}

OwnWords SaidIn(const WordsTable& table, Language language) {
  OwnWords words;
  for (const WordsRow& row : table.rows) {
    const auto said = row.said.find(language);
    if (said != row.said.end()) words[row.text] = said->second;
  }
  return words;
}

}  // namespace holeward
