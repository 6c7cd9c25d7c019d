// The language of a run's sheets: the program's catalogue and the trainer's own words.
#include <fmt/format.h>

#include "app/work.h"
#include "models/words_table.h"

namespace holeward {
namespace {

constexpr auto Stop = [](ExitStatus status) { return tl::unexpected<ExitStatus>(status); };

/// Says which texts the table does not have, each at its place in the job.
Step AllSaid(const Job& job, const WordsTable& table, Language language, Console& console) {
  const std::vector<JobText> missing = NotSaid(job, table, language);
  for (const JobText& text : missing) {
    const std::string what = fmt::format("\"{}\" has no {} text", text.text, NameOf(language));
    console.PlacedMessage(Printable(JobError{text.at, what}.Text(job.file)));
  }
  if (missing.empty()) return {};
  console.Message(Printable(
      job.words_file.empty()
          ? fmt::format(
                "the job names no table of words: write one with \"holeward words {} --to "
                "words.csv\", fill in its column \"{}\" and name it in the job: [words] file "
                "= \"words.csv\"",
                job.file, Code(language))
          : fmt::format("{} of the job's texts {} in the column \"{}\" of {}; nothing was written",
                        missing.size(), missing.size() == 1 ? "is missing" : "are missing",
                        Code(language), WordsPath(job))));
  return Stop(ExitStatus::wrong_job);
}

}  // namespace

Step FindWords(Work& work, const Options& options, Console& console) {
  if (options.language == Language::english) return {};
  const Job& job = work.job;
  WordsTable table;
  if (!job.words_file.empty()) {
    const std::string path = WordsPath(job);
    table = ReadWordsFile(path);
    for (const JobError& error : table.errors) {
      console.PlacedMessage(Printable(error.Text(path)));
    }
    if (!table.ok()) return Stop(table.unreadable ? ExitStatus::failed : ExitStatus::wrong_job);
  }
  if (const Step said = AllSaid(job, table, options.language, console); !said) return said;
  work.words = Words(options.language, SaidIn(table, options.language));
  work.words_hash = table.hash;
  return {};
}

std::string SheetHash(const Work& work) {
  const std::string hash = HeadOf(work).hash;
  if (work.words.language() == Language::english) return hash;
  return fmt::format("{} {}{}{}", hash, Code(work.words.language()),
                     work.words_hash.empty() ? "" : " ", work.words_hash);
}

}  // namespace holeward
