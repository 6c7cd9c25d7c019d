#include "models/job_reader.h"

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "models/content_hash.h"
#include "models/job_reading.h"
#include "models/read_bytes.h"
#include "models/solid_taken.h"
#include "models/text_hash.h"
#include "models/utf8_check.h"

namespace holeward {
namespace {

// A job of a thousand points is well below a megabyte.
constexpr std::size_t kLongestTitle = 200;

JobReading Unreadable(const std::string& file, std::string message) {
  JobReading reading;
  reading.job.file = file;
  reading.unreadable = true;
  reading.errors.push_back({{1, 1}, std::move(message)});
  return reading;
}

JobReading Wrong(Job job, Location at, std::string message) {
  JobReading reading;
  reading.job = std::move(job);
  reading.errors.push_back({at, std::move(message)});
  return reading;
}

JobWithBenches WithoutBenches(JobReading reading) { return {std::move(reading), {}, {}, {}}; }

void ReadUnits(TableWalk& root, JobReadingState& state) {
  const auto units = root.Choice("units", {"mm", "in"});
  state.job.inches = units == "in";
  state.context.unit_mm = state.job.inches ? kInch : 1.0;
}

void ReadVersion(TableWalk& root) {
  const TomlNode* version = root.Find("holeward", Need::required);
  root.CallMissing("holeward", "\"holeward = 1\", the version of the format,");
  if (!version || (version->kind == TomlKind::whole && version->number == 1.0)) return;
  root.Error(version->at, fmt::format("{} must be 1, the version of the format that this program "
                                      "reads; found {}",
                                      root.What("holeward"), Shown(*version)));
}

void ReadRoot(const TomlNode& tree, JobReadingState& state) {
  TableWalk root(tree, "the job", state.context);
  ReadVersion(root);
  state.job.title = root.Text("title", kLongestTitle)
                        .value_or(std::filesystem::path(state.job.file).stem().string());
  ReadUnits(root, state);
  ReadSettings(root, state);
  ReadParts(root, state);
  WidenMarking(state);
  ReadNeighbours(root, state);
  ReadPoints(root, state);
  ReadTemplates(root, state);
  ReadRelease(root, state);
  ReadOwnSteps(root, state);
  ReadDecisions(root, state);
  if (const TomlNode* words = root.Table("words")) {
    ReadWords(TableWalk(*words, "[words]", state.context), state.job);
  }
  ReadOwnTexts(tree, state.job);
  root.Finish();
}

}  // namespace

std::string JobError::Text(std::string_view file) const {
  return fmt::format("{}:{}:{}: {}", file, at.line, at.column, message);
}

JobWithBenches ReadBenchJobText(std::string_view text, const std::string& file, const Job* known) {
  JobReadingState state;
  state.known = known;
  state.job.file = file;
  state.job.text_hash = ShortHash(text);
  if (text.size() > kLargestJob) {
    return WithoutBenches(Wrong(state.job, {1, 1}, "the file is larger than 16 MiB; a job is not"));
  }
  if (text.find_first_not_of(" \t\r\n") == std::string_view::npos) {
    return WithoutBenches(
        Wrong(state.job, {1, 1}, "the file is empty; a job begins with holeward = 1"));
  }
  if (const auto bad = FirstNotUtf8(text)) {
    return WithoutBenches(Wrong(state.job, *bad, "the file is not UTF-8 text from here on"));
  }
  const auto parsed = ParseToml(text);
  if (const auto* error = std::get_if<TomlSyntaxError>(&parsed)) {
    return WithoutBenches(Wrong(state.job, error->at, "this is not TOML: " + error->message));
  }
  const TomlNode& tree = std::get<TomlNode>(parsed);
  state.root = &tree;
  state.text = text;
  state.job.content_hash = ContentHash(tree);
  ReadRoot(tree, state);
  JobWithBenches read;
  // What a release holds for is the solid too, not only its file's name.
  if (!state.solid_hashes.empty()) {
    state.job.content_hash = Sha256(state.job.content_hash + state.solid_hashes)
                                 .substr(0, state.job.content_hash.size());
  }
  read.reading.errors = state.context.Sorted();
  read.reading.unreadable = state.unreadable;
  UseKnownSolids(known, state.job);
  read.reading.job = std::move(state.job);
  read.benches = std::move(state.benches);
  read.outline_floor = state.outline_floor;
  read.wall_floor = state.wall_floor;
  return read;
}

JobWithBenches ReadBenchJobFile(const std::string& path) {
  std::error_code code;
  if (std::filesystem::is_directory(path, code)) {
    return WithoutBenches(Unreadable(path, "the job file cannot be read: it is a folder"));
  }
  const OpenFile file(std::fopen(path.c_str(), "rb"));
  if (!file) {
    const std::error_code why(errno, std::generic_category());
    return WithoutBenches(
        Unreadable(path, fmt::format("the job file cannot be opened: {}", why.message())));
  }
  const auto bytes = ReadBytes(file.get(), kLargestJob);
  if (!bytes) {
    return WithoutBenches(Unreadable(path, "the job file cannot be read to its end"));
  }
  return ReadBenchJobText(*bytes, path);
}

JobReading ReadJobText(std::string_view text, const std::string& file) {
  return ReadBenchJobText(text, file).reading;
}

JobReading ReadJobFile(const std::string& path) { return ReadBenchJobFile(path).reading; }

}  // namespace holeward
