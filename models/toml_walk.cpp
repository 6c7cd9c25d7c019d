#include "models/toml_walk.h"

#include <algorithm>
#include <tuple>

#include <fmt/format.h>

#include "models/error_order.h"
#include "models/nearest_word.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestName = 60;
// A file with more is not a job; the rest would help nobody.
constexpr std::size_t kMostErrors = 10000;
// More of one kind no job has; it bounds the work that a wrong file can cause.
constexpr std::size_t kMostItems = 2000;

bool Among(const std::vector<std::string>& words, std::string_view word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

void AddKnown(std::vector<std::string>& known, const std::string& key) {
  if (!Among(known, key)) known.push_back(key);
}

}  // namespace

void WalkContext::Add(Location at, std::string message) {
  if (errors.size() >= kMostErrors) return;
  errors.push_back({{std::max(at.line, 1), std::max(at.column, 1)}, std::move(message)});
}

std::vector<JobError> WalkContext::Sorted() const {
  const auto key = [](const JobError& error) { return std::tuple(error.at.line, error.at.column); };
  std::vector<JobError> sorted = errors;
  SortByPlace(&sorted);
  const auto same = [&](const JobError& a, const JobError& b) {
    return key(a) == key(b) && a.message == b.message;
  };
  sorted.erase(std::unique(sorted.begin(), sorted.end(), same), sorted.end());
  return sorted;
}

TableWalk::TableWalk(const TomlNode& table, std::string where, WalkContext& context)
    : table_(&table),
      where_(std::move(where)),
      context_(&context),
      errors_before_(context.errors.size()) {}

std::string TableWalk::What(std::string_view key) const {
  return fmt::format("\"{}\" in {}", key, where_);
}

const TomlNode* TableWalk::Find(const std::string& key, Need need) {
  AddKnown(known_, key);
  const TomlNode* value = table_->Find(key);
  if (!value && need == Need::required) AddKnown(missing_, key);
  return value;
}

std::optional<double> TableWalk::Number(const std::string& key, const Bounds& bounds, Need need) {
  const TomlNode* value = Find(key, need);
  if (!value) return std::nullopt;
  return ReadNumber(*value, What(key), bounds, *context_);
}

std::optional<std::string> TableWalk::Text(const std::string& key, std::size_t longest, Need need) {
  const TomlNode* value = Find(key, need);
  if (!value) return std::nullopt;
  return ReadText(*value, What(key), longest, *context_);
}

std::optional<std::string> TableWalk::Name(const std::string& key, Need need) {
  return Text(key, kLongestName, need);
}

std::optional<std::string> TableWalk::Choice(const std::string& key,
                                             const std::vector<std::string>& words, Need need) {
  const TomlNode* value = Find(key, need);
  if (!value) return std::nullopt;
  return ReadChoice(*value, What(key), words, *context_);
}

std::optional<bool> TableWalk::Flag(const std::string& key) {
  const TomlNode* value = Find(key);
  if (!value) return std::nullopt;
  if (value->kind == TomlKind::flag) return value->flag;
  Error(value->at, fmt::format("{} must be true or false; found {}", What(key), Shown(*value)));
  return std::nullopt;
}

std::optional<Vec3> TableWalk::Place(const std::string& key, Need need) {
  const TomlNode* value = Find(key, need);
  if (!value) return std::nullopt;
  return ReadPlace(*value, What(key), *context_);
}

std::vector<Vec3> TableWalk::Places(const std::string& key, std::size_t least, Need need) {
  std::vector<Vec3> places;
  const TomlNode* value = Find(key, need);
  if (!value) return places;
  if (value->kind != TomlKind::list || value->items.size() < least) {
    Error(value->at, fmt::format("{} must be a list of at least {} places [x, y, z]; found {}",
                                 What(key), least, Shown(*value)));
    return places;
  }
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const auto what = fmt::format("place {} of {}", i + 1, What(key));
    if (const auto place = ReadPlace(value->items[i], what, *context_)) places.push_back(*place);
  }
  return places;
}

std::vector<double> TableWalk::Numbers(const std::string& key, const Bounds& bounds, bool one_too,
                                       Need need) {
  std::vector<double> numbers;
  const TomlNode* value = Find(key, need);
  if (!value) return numbers;
  if (one_too && value->IsNumber()) {
    if (const auto one = ReadNumber(*value, What(key), bounds, *context_)) numbers.push_back(*one);
    return numbers;
  }
  if (value->kind != TomlKind::list || value->items.empty()) {
    Error(value->at, fmt::format("{} must be {}a list of at least one number; found {}", What(key),
                                 one_too ? "a number or " : "", Shown(*value)));
    return numbers;
  }
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const auto what = fmt::format("item {} of {}", i + 1, What(key));
    const auto number = ReadNumber(value->items[i], what, bounds, *context_);
    if (number) numbers.push_back(*number);
  }
  return numbers;
}

std::vector<std::string> TableWalk::Names(const std::string& key, Need need) {
  std::vector<std::string> names;
  const TomlNode* value = Find(key, need);
  if (!value) return names;
  if (value->items.size() > kMostItems) {
    Error(value->at, fmt::format("{} must be at most {} names; found {}", What(key), kMostItems,
                                 value->items.size()));
    return names;
  }
  if (value->kind != TomlKind::list || value->items.empty()) {
    Error(value->at, fmt::format("{} must be a list of at least one name; found {}", What(key),
                                 Shown(*value)));
    return names;
  }
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const auto what = fmt::format("item {} of {}", i + 1, What(key));
    // Kept even if wrong, so that the names stay beside their places in the file.
    names.push_back(ReadText(value->items[i], what, kLongestName, *context_).value_or(""));
  }
  return names;
}

const TomlNode* TableWalk::Table(const std::string& key, Need need) {
  const TomlNode* value = Find(key, need);
  if (!value || value->kind == TomlKind::table) return value;
  Error(value->at, fmt::format("{} must be a table; found {}", What(key), Shown(*value)));
  return nullptr;
}

std::vector<const TomlNode*> TableWalk::Tables(const std::string& key) {
  std::vector<const TomlNode*> tables;
  const TomlNode* value = Find(key);
  if (!value) return tables;
  if (value->kind != TomlKind::list) {
    Error(value->at, fmt::format("{} must be a list of tables, each begun with [[...]]; found {}",
                                 What(key), Shown(*value)));
    return tables;
  }
  if (value->items.size() > kMostItems) {
    Error(value->at, fmt::format("{} must be at most {} tables; found {}", What(key), kMostItems,
                                 value->items.size()));
    return tables;
  }
  for (std::size_t i = 0; i < value->items.size(); ++i) {
    const TomlNode& item = value->items[i];
    if (item.kind == TomlKind::table) {
      tables.push_back(&item);
    } else {
      Error(item.at,
            fmt::format("item {} of {} must be a table; found {}", i + 1, What(key), Shown(item)));
    }
  }
  return tables;
}

void TableWalk::CallMissing(const std::string& key, std::string shown) {
  missing_shown_[key] = std::move(shown);
}

void TableWalk::Later(const std::string& key, const std::string& shown) {
  hidden_.push_back(key);
  const auto found = std::find_if(table_->entries.begin(), table_->entries.end(),
                                  [&](const TomlEntry& entry) { return entry.key == key; });
  if (found == table_->entries.end()) return;
  Error(found->key_at, fmt::format("{} is not available yet in this version", shown));
}

void TableWalk::Accept(const std::vector<std::string>& keys) {
  for (const auto& key : keys) AddKnown(known_, key);
}

void TableWalk::Refuse(const std::string& key, const std::string& message) {
  hidden_.push_back(key);
  const auto found = std::find_if(table_->entries.begin(), table_->entries.end(),
                                  [&](const TomlEntry& entry) { return entry.key == key; });
  if (found != table_->entries.end()) Error(found->key_at, message);
}

void TableWalk::Finish() {
  if (ignore_rest_) return;
  std::vector<std::string> meant;
  for (const auto& entry : table_->entries) {
    if (context_->errors.size() >= kMostErrors) return;
    if (Among(known_, entry.key) || Among(hidden_, entry.key)) continue;
    // A required key that is missing is what a near miss stands for, before any other.
    auto near = NearestWord(entry.key, missing_);
    if (!near) near = NearestWord(entry.key, known_);
    if (near) meant.push_back(*near);
    Error(entry.key_at,
          fmt::format("unknown key {} in {}{} Allowed: {}", Quoted(entry.key), where_,
                      near ? fmt::format("; did you mean \"{}\"?", *near) : ".", Listed(known_)));
  }
  for (const auto& key : missing_) {
    if (Among(meant, key)) continue;
    const auto shown = missing_shown_.find(key);
    const auto name = shown == missing_shown_.end() ? fmt::format("\"{}\"", key) : shown->second;
    Error(table_->at, fmt::format("{} is missing in {}", name, where_));
  }
}

}  // namespace holeward
