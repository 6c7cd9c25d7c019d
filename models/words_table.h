// The table in which a translator says the trainer's own words: names, steps, decisions.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "models/job.h"
#include "models/job_reader.h"
#include "models/words.h"

namespace holeward {

/// One text of a job in the languages it was given in.
struct WordsRow {
  std::string text;
  std::map<Language, std::string> said;  ///< none is empty
};

/// A table of words, or what is wrong with it.
struct WordsTable {
  std::vector<WordsRow> rows;    ///< in the order of the file
  char comma = ',';              ///< what stands between its fields
  std::string hash;              ///< ShortHash of its bytes
  std::vector<JobError> errors;  ///< each with its place in the table
  bool unreadable = false;       ///< the file could not be opened or read

  [[nodiscard]] bool ok() const { return errors.empty() && !unreadable; }
};

/// Reads a table (UTF-8, comma or semicolon between the fields): a head that names the columns text
/// and de, es, then one record a text; an empty field is a text not yet said. Errors: another
/// column, a text given twice, a text that is not one line.
[[nodiscard]] WordsTable ReadWordsText(std::string_view text);

/// The same from a file.
[[nodiscard]] WordsTable ReadWordsFile(const std::string& path);

/// Where the table of a job lies: a path in the job starts from the job's folder.
[[nodiscard]] std::string WordsPath(const Job& job);

/// The table with every text of the job, what `known` says kept; what the job no longer says stands
/// at the end.
[[nodiscard]] std::string WordsCsv(const Job& job, const WordsTable& known);

/// The texts of the job that the table does not say in the language, in the order of the job.
[[nodiscard]] std::vector<JobText> NotSaid(const Job& job, const WordsTable& table,
                                           Language language);

/// What the table says in a language.
[[nodiscard]] OwnWords SaidIn(const WordsTable& table, Language language);

}  // namespace holeward
