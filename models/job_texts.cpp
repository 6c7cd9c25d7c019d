// The trainer's own words in a job: what a sheet in another language needs a translation of.
#include <algorithm>
#include <array>
#include <cctype>
#include <span>
#include <string_view>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestPath = 500;

/// Keys from the root on. "*": every item of a list, or every value of a table; "@": its keys.
using Path = std::vector<std::string_view>;

const std::array kTextPaths = {Path{"title"},
                               Path{"set", "applies_to"},
                               Path{"set", "question"},
                               Path{"set", "variant", "*", "sign"},
                               Path{"vehicle", "posture"},
                               Path{"part", "@"},
                               Path{"part", "*", "start"},
                               Path{"part", "*", "finish"},
                               Path{"part", "*", "fitting", "*", "name"},
                               Path{"part", "*", "inner", "*", "name"},
                               Path{"part", "*", "datum", "*", "name"},
                               Path{"part", "*", "face", "*", "name"},
                               Path{"neighbour", "*", "name"},
                               Path{"template", "*", "name"},
                               Path{"step", "*", "title"},
                               Path{"step", "*", "text"},
                               Path{"step", "*", "text", "*"},
                               Path{"step", "*", "material"},
                               Path{"step", "*", "material", "*"},
                               Path{"step", "*", "caution", "hazard"},
                               Path{"step", "*", "caution", "avoid"},
                               Path{"decision", "*", "then"}};

/// Printed as questions, but for "otherwise", which the program says.
const Path kConditions = {"decision", "*", "when"};

/// A number or a mark reads alike in every language.
bool HasLetter(const std::string& text) {
  return std::any_of(text.begin(), text.end(),
                     [](unsigned char c) { return std::isalpha(c) != 0 || c >= 0x80; });
}

void Add(const std::string& text, Location at, std::vector<JobText>* texts) {
  const bool known = std::any_of(texts->begin(), texts->end(),
                                 [&](const JobText& other) { return other.text == text; });
  if (!known && HasLetter(text)) texts->push_back({text, at});
}

void Collect(const TomlNode& node, std::span<const std::string_view> path,
             std::vector<JobText>* texts) {
  if (path.empty()) {
    if (node.kind == TomlKind::text) Add(node.text, node.at, texts);
    return;
  }
  const auto rest = path.subspan(1);
  if (path[0] == "@") {
    for (const TomlEntry& entry : node.entries) Add(entry.key, entry.key_at, texts);
  } else if (path[0] == "*") {
    for (const TomlNode& item : node.items) Collect(item, rest, texts);
    for (const TomlEntry& entry : node.entries) Collect(entry.value, rest, texts);
  } else if (const TomlNode* value = node.Find(path[0])) {
    Collect(*value, rest, texts);
  }
}

}  // namespace

void ReadOwnTexts(const TomlNode& tree, Job& job) {
  for (const Path& path : kTextPaths) Collect(tree, path, &job.texts);
  std::vector<JobText> conditions;
  Collect(tree, kConditions, &conditions);
  for (const JobText& condition : conditions) {
    if (condition.text != "otherwise") Add(condition.text, condition.at, &job.texts);
  }
  std::stable_sort(job.texts.begin(), job.texts.end(), [](const JobText& a, const JobText& b) {
    return std::pair(a.at.line, a.at.column) < std::pair(b.at.line, b.at.column);
  });
}

void ReadWords(TableWalk walk, Job& job) {
  job.words_file = walk.Text("file", kLongestPath, Need::required).value_or("");
  job.words_at = walk.PlaceOf("file");
  if (walk.Has("file") && job.words_file.empty() && walk.Sound()) {
    walk.Error(job.words_at, fmt::format("{} must be the path of a table of words, such as "
                                         "\"van-words.csv\"; found an empty text",
                                         walk.What("file")));
  }
  walk.Finish();
}

}  // namespace holeward
