#include <filesystem>

#include <fmt/format.h>

#include "app/commands.h"
#include "app/work.h"
#include "app/write_model.h"
#include "models/words_table.h"

namespace holeward {
namespace {

/// What is filled in already: in the file to be written, else in the table that the job names.
WordsTable Known(const Job& job, const Options& options) {
  std::error_code ignored;
  if (options.to && std::filesystem::exists(*options.to, ignored)) {
    return ReadWordsFile(*options.to);
  }
  if (!job.words_file.empty() && std::filesystem::exists(WordsPath(job), ignored)) {
    return ReadWordsFile(WordsPath(job));
  }
  return {};
}

/// How many of the job's texts a language lacks, for each.
std::string Lacking(const Job& job, const WordsTable& table) {
  std::string words;
  for (const Language language : kLanguages) {
    if (language == Language::english) continue;
    words += fmt::format("{}{} {}", words.empty() ? "" : ", ", NotSaid(job, table, language).size(),
                         NameOf(language));
  }
  return words;
}

}  // namespace

ExitStatus RunWords(const Options& options, Console& console) {
  const auto job = ReadJobOf(options.job, console);
  if (!job) return job.error();
  const WordsTable known = Known(*job, options);
  const std::string path = options.to.value_or(WordsPath(*job));
  for (const JobError& error : known.errors) {
    console.PlacedMessage(Printable(error.Text(path)));
  }
  if (!known.ok()) return known.unreadable ? ExitStatus::failed : ExitStatus::wrong_job;
  const std::string csv = WordsCsv(*job, known);
  if (!options.to) {
    console.PrintRaw(csv);
    return ExitStatus::done;
  }
  const std::string said =
      fmt::format("{}: {} texts; still to be filled in: {}\n", Printable(*options.to),
                  job->texts.size(), Lacking(*job, known));
  return WriteOne(*options.to, csv, said, ExitStatus::done, console);
}

}  // namespace holeward
