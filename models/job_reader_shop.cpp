// Reads what a job says to the workshop: the rest of [set], [release], [[step]], [[decision]].
#include <algorithm>
#include <array>
#include <cctype>

#include <fmt/format.h>

#include "models/condition_cases.h"
#include "models/condition_words.h"
#include "models/job_reading.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestLine = 200;
constexpr std::size_t kLongestSentence = 400;
constexpr std::size_t kLongestCondition = 500;
constexpr std::size_t kMostSentences = 20;
constexpr int kMostSteps = 100;

struct StandardWord {
  const char* word;
  StandardStep step;
};

constexpr std::array kStandardWords = {
    StandardWord{"clean", StandardStep::clean},   StandardWord{"mark", StandardStep::mark},
    StandardWord{"ties", StandardStep::ties},     StandardWord{"punch", StandardStep::punch},
    StandardWord{"test", StandardStep::test},     StandardWord{"pilot", StandardStep::pilot},
    StandardWord{"probe", StandardStep::probe},   StandardWord{"final", StandardStep::final_size},
    StandardWord{"deburr", StandardStep::deburr}, StandardWord{"treat", StandardStep::treat},
    StandardWord{"close", StandardStep::close},   StandardWord{"record", StandardStep::record}};

bool Digits(const std::string& text, std::size_t from, std::size_t count) {
  return std::all_of(text.begin() + static_cast<std::ptrdiff_t>(from),
                     text.begin() + static_cast<std::ptrdiff_t>(from + count),
                     [](unsigned char c) { return std::isdigit(c) != 0; });
}

/// A day of the calendar as YYYY-MM-DD (ISO 8601).
bool IsDay(const std::string& text) {
  if (text.size() != 10 || text[4] != '-' || text[7] != '-') return false;
  if (!Digits(text, 0, 4) || !Digits(text, 5, 2) || !Digits(text, 8, 2)) return false;
  const int year = std::stoi(text.substr(0, 4));
  const int month = std::stoi(text.substr(5, 2));
  const int day = std::stoi(text.substr(8, 2));
  constexpr int kDays[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
  if (year < 1 || month < 1 || month > 12 || day < 1) return false;
  const bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  return day <= kDays[month - 1] + (leap && month == 2 ? 1 : 0);
}

/// A day, in quotes or as TOML's own date.
std::string ReadDay(TableWalk& walk, const std::string& key, Need need) {
  const TomlNode* value = walk.Find(key, need);
  if (!value) return "";
  const bool written = value->kind == TomlKind::text || value->kind == TomlKind::date;
  if (written && IsDay(value->text)) return value->text;
  walk.Error(
      value->at,
      fmt::format("{} must be a day such as \"2026-03-31\" (year-month-day); found {}",
                  walk.What(key), value->kind == TomlKind::date ? value->text : Shown(*value)));
  return "";
}

/// "1f2e3d4c5b6a7988-0.1.0": 16 hexadecimal digits, a hyphen, a version.
bool IsHash(const std::string& text) {
  constexpr std::size_t kHex = 16;
  const auto hex = [](unsigned char c) { return std::isdigit(c) != 0 || (c >= 'a' && c <= 'f'); };
  const auto in_version = [](unsigned char c) { return std::isalnum(c) != 0 || c == '.'; };
  return text.size() > kHex + 1 && text[kHex] == '-' &&
         std::all_of(text.begin(), text.begin() + kHex, hex) &&
         std::all_of(text.begin() + kHex + 1, text.end(), in_version);
}

std::optional<ReleaseRow> ReadOneRelease(TableWalk& release, const std::string& key) {
  const TomlNode* table = release.Table(key);
  if (!table) return std::nullopt;
  TableWalk walk(*table, fmt::format("[release.{}]", key), release.context());
  ReleaseRow row;
  row.by = walk.Text("by", kLongestLine, Need::required).value_or("");
  row.date = ReadDay(walk, "date", Need::required);
  row.hash = walk.Text("hash", kLongestLine, Need::required).value_or("");
  if (!row.hash.empty() && !IsHash(row.hash)) {
    walk.Error(walk.PlaceOf("hash"), fmt::format("{} must be the hash that check prints, such as "
                                                 "\"1f2e3d4c5b6a7988-0.1.0\"; found {}",
                                                 walk.What("hash"), Quoted(row.hash)));
  }
  walk.Finish();
  return row;
}

/// A text, or a list of texts.
std::vector<std::string> ReadTexts(TableWalk& walk, const std::string& key, std::size_t longest,
                                   Need need) {
  const TomlNode* value = walk.Find(key, need);
  if (!value) return {};
  if (value->kind == TomlKind::text) {
    const auto text = ReadText(*value, walk.What(key), longest, walk.context());
    return text ? std::vector<std::string>{*text} : std::vector<std::string>{};
  }
  if (value->kind != TomlKind::list || value->items.empty() ||
      value->items.size() > kMostSentences) {
    walk.Error(value->at, fmt::format("{} must be text in quotes or a list of 1 to {} of them; "
                                      "found {}",
                                      walk.What(key), kMostSentences, Shown(*value)));
    return {};
  }
  std::vector<std::string> texts;
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const auto what = fmt::format("item {} of {}", i + 1, walk.What(key));
    if (auto text = ReadText(value->items[i], what, longest, walk.context())) {
      texts.push_back(std::move(*text));
    }
  }
  return texts;
}

/// Where a step goes: one of `before`, `after` and `number`.
void ReadOrder(TableWalk& walk, StepRow& step) {
  std::vector<std::string> words;
  for (const StandardWord& one : kStandardWords) words.emplace_back(one.word);
  const auto before = walk.Choice("before", words);
  const auto after = walk.Choice("after", words);
  const Bounds place{
      "a whole number from 1 to 100", Measured::plain, 1.0, false, kMostSteps, false};
  const auto number = walk.Number("number", place);
  const int given = static_cast<int>(walk.Has("before")) + static_cast<int>(walk.Has("after")) +
                    static_cast<int>(walk.Has("number"));
  if (given != 1) {
    walk.Error(walk.node().at,
               fmt::format("{} must say where it goes by exactly one of before, after and number; "
                           "found {}",
                           walk.where(), given == 0 ? "none" : "more"));
  }
  for (const StandardWord& one : kStandardWords) {
    if (before == one.word || after == one.word) step.standard = one.step;
  }
  step.order =
      before ? StepRow::Order::before : (number ? StepRow::Order::number : StepRow::Order::after);
  step.number = static_cast<int>(number.value_or(0.0));
  if (number && *number != step.number) {
    walk.Error(walk.PlaceOf("number"),
               fmt::format("{} must be {}; found {}", walk.What("number"), place.words, *number));
  }
}

std::optional<StepCaution> ReadCaution(TableWalk& step) {
  const TomlNode* table = step.Table("caution");
  if (!table) return std::nullopt;
  TableWalk walk(*table, step.What("caution"), step.context());
  StepCaution caution;
  const std::pair<const char*, Signal> words[] = {{"danger", Signal::danger},
                                                  {"warning", Signal::warning},
                                                  {"caution", Signal::caution},
                                                  {"notice", Signal::notice}};
  const auto word =
      walk.Choice("signal", {"danger", "warning", "caution", "notice"}, Need::required);
  for (const auto& [known, signal] : words) {
    if (word == known) caution.signal = signal;
  }
  caution.hazard = walk.Text("hazard", kLongestSentence, Need::required).value_or("");
  caution.avoid = walk.Text("avoid", kLongestSentence, Need::required).value_or("");
  walk.Finish();
  return caution;
}

void ReadTorque(TableWalk& walk, StepRow& step) {
  const Bounds torque{
      "a torque greater than 0 and at most 2000 N·m", Measured::plain, 0.0, true, 2000.0, false};
  step.torque = walk.Numbers("torque", torque, true);
  const bool range = step.torque.size() == 2 && step.torque[0] < step.torque[1];
  if (step.torque.size() > 1 && !range) {
    walk.Error(
        walk.PlaceOf("torque"),
        fmt::format("{} must be one torque or [least, greatest], in N·m", walk.What("torque")));
  }
}

/// Where in the file the byte `offset` of a text stands: exact where the text stands in the file as
/// it is, on one line without escapes; else where it begins.
Location PlaceIn(std::string_view file, const TomlNode& text, std::size_t offset) {
  std::size_t begin = 0;
  for (int line = 1; line < text.at.line; ++line) {
    begin = file.find('\n', begin);
    if (begin == std::string_view::npos) return text.at;
    ++begin;
  }
  const auto follows = [](unsigned char c) { return (c & 0xc0u) == 0x80u; };
  for (int column = 1; column < text.at.column && begin < file.size(); ++column) {
    do ++begin;
    while (begin < file.size() && follows(static_cast<unsigned char>(file[begin])));
  }
  const std::string_view shown = std::string_view(text.text).substr(0, offset);
  const bool plain = begin < file.size() && (file[begin] == '"' || file[begin] == '\'') &&
                     file.substr(begin + 1, offset) == shown && !shown.empty();
  if (!plain) return text.at;
  const auto characters = std::count_if(
      shown.begin(), shown.end(), [&](char c) { return !follows(static_cast<unsigned char>(c)); });
  return {text.at.line, text.at.column + 1 + static_cast<int>(characters)};
}

ConditionScope ScopeOf(const JobReadingState& state) {
  ConditionScope scope;
  scope.unit_mm = state.context.unit_mm;
  scope.parts = state.part_names;
  for (const PointRow& point : state.job.points) {
    scope.points.push_back(point.name);
    if (point.use != PointUse::test) continue;
    for (const Side side : state.job.sides) {
      if (!point.only || *point.only == side) {
        scope.tests.push_back({{point.name, side}, point.part});
      }
    }
  }
  return scope;
}

DecisionRow ReadDecision(TableWalk& walk, const ConditionScope& scope,
                         const JobReadingState& state) {
  DecisionRow row;
  row.at = walk.PlaceOf("when");
  const auto when = walk.Text("when", kLongestCondition, Need::required);
  row.then = walk.Text("then", kLongestSentence, Need::required).value_or("");
  if (when) {
    row.when = *when;
    auto parsed = ParseCondition(*when, scope);
    if (const auto* fault = std::get_if<ConditionFault>(&parsed)) {
      walk.Error(PlaceIn(state.text, *walk.node().Find("when"), fault->at),
                 fmt::format("{}: {}", walk.What("when"), fault->message));
    } else {
      row.condition = std::get<Condition>(std::move(parsed));
    }
  }
  walk.Finish();
  return row;
}

/// Every case is decided, and every decision has its cases.
void CheckDecisions(const std::vector<DecisionRow>& rows, WalkContext& context) {
  std::vector<const Condition*> flow;
  for (const DecisionRow& row : rows) flow.push_back(&row.condition);
  const FlowFaults faults = CheckFlow(flow);
  if (faults.too_entangled) {
    context.Add(rows.front().at,
                "the decisions ask so many questions together that they cannot be "
                "checked; ask fewer points by name");
  }
  for (const std::size_t i : faults.unreachable) {
    context.Add(rows[i].at, fmt::format("decision {} can never be reached: those above it take "
                                        "every case for which {} holds",
                                        i + 1, Quoted(rows[i].when)));
  }
  if (faults.undecided) {
    context.Add(rows.back().at,
                fmt::format("the decisions leave a case undecided: {}; a last decision with when = "
                            "\"otherwise\" takes what is left",
                            CaseWords(*faults.undecided)));
  }
}

}  // namespace

namespace {

// Variants that a person tells apart by a sign, each with its set; one of them is this one.
void ReadVariants(TableWalk& set, Job& job) {
  job.set.variant_question = set.Text("question", kLongestLine).value_or("");
  const auto tables = set.Tables("variant");
  bool here = false;
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], fmt::format("variant {} of [set]", i + 1), set.context());
    VariantRow row;
    row.sign = walk.Text("sign", kLongestLine, Need::required).value_or("");
    row.set = walk.Text("set", 60, Need::required).value_or("");
    for (const VariantRow& other : job.set.variants) {
      if (other.sign != row.sign || row.sign.empty()) continue;
      walk.Error(walk.PlaceOf("sign"), fmt::format("{} is that of another variant; no one could "
                                                   "tell the two apart",
                                                   walk.What("sign")));
    }
    walk.Finish();
    here = here || row.set == job.set_number;
    job.set.variants.push_back(std::move(row));
  }
  if (tables.empty() == job.set.variant_question.empty() && (tables.empty() || tables.size() > 1)) {
    if (tables.empty() || here) return;
    return set.Error(set.PlaceOf("variant"),
                     fmt::format("one {} must have the set number of this job, {}",
                                 set.What("variant"), Quoted(job.set_number)));
  }
  set.Error(tables.empty() ? set.PlaceOf("question") : tables.front()->at,
            "[set] must have a \"question\" and at least two of \"variant\", or neither");
}

}  // namespace

void ReadSetExtras(TableWalk& set, Job& job) {
  job.set.applies_to = set.Text("applies_to", kLongestLine).value_or("");
  job.set.effective = ReadDay(set, "effective", Need::optional);
  job.set.supersedes = set.Text("supersedes", kLongestLine).value_or("");
  ReadVariants(set, job);
}

void ReadRelease(TableWalk& root, JobReadingState& state) {
  const TomlNode* table = root.Table("release");
  if (!table) return;
  TableWalk walk(*table, "[release]", state.context);
  state.job.release.clearance = ReadOneRelease(walk, "clearance");
  state.job.release.strength = ReadOneRelease(walk, "strength");
  walk.Finish();
}

void ReadOwnSteps(TableWalk& root, JobReadingState& state) {
  const auto tables = root.Tables("step");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], fmt::format("step {}", i + 1), state.context);
    StepRow step;
    step.title = walk.Name("title").value_or("");
    ReadOrder(walk, step);
    step.text = ReadTexts(walk, "text", kLongestSentence, Need::required);
    step.caution = ReadCaution(walk);
    step.material = ReadTexts(walk, "material", kLongestLine, Need::optional);
    const Bounds minutes{"a time greater than 0 and at most 1440 minutes",
                         Measured::plain,
                         0.0,
                         true,
                         1440.0,
                         false};
    step.minutes = walk.Number("minutes", minutes).value_or(0.0);
    ReadTorque(walk, step);
    step.only = ReadOnly(walk);
    walk.Finish();
    state.job.steps.push_back(std::move(step));
  }
}

void ReadDecisions(TableWalk& root, JobReadingState& state) {
  const auto tables = root.Tables("decision");
  const std::size_t before = state.context.errors.size();
  const ConditionScope scope = ScopeOf(state);
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], fmt::format("decision {}", i + 1), state.context);
    state.job.decisions.push_back(ReadDecision(walk, scope, state));
  }
  // What the conditions mean hangs on every point: a wrong one would only give errors twice.
  const bool sound = state.context.errors.size() == before;
  if (sound && !state.job.decisions.empty()) CheckDecisions(state.job.decisions, state.context);
}

}  // namespace holeward
