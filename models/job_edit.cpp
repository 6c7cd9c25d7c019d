#include "models/job_edit.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "models/toml_tree.h"

namespace holeward {
namespace {

using Kind = TomlSpot::Kind;

std::string PathText(const TomlPath& path) {
  std::string text;
  for (const TomlStep& step : path) {
    if (const auto* key = std::get_if<std::string>(&step)) {
      text += (text.empty() ? "" : ".") + TomlKey(*key);
    } else {
      text += fmt::format("[{}]", std::get<std::size_t>(step) + 1);
    }
  }
  return text;
}

auto NoSuch(const TomlPath& path) {
  return Fail(ErrorKind::job, fmt::format("the job has no {}", PathText(path)));
}

std::string Replaced(std::string_view text, const TextSpan& span, std::string_view with) {
  return std::string(text.substr(0, span.from)).append(with).append(text.substr(span.to));
}

std::string_view LineEndOf(std::string_view text) {
  const auto at = text.find('\n');
  return at != std::string_view::npos && at > 0 && text[at - 1] == '\r' ? "\r\n" : "\n";
}

/// The changed text if it is TOML.
Result<std::string> Sound(std::string changed) {
  if (const auto spots = SpotsOf(changed); !spots) return tl::unexpected<Error>(spots.error());
  return changed;
}

/// The key's own spaces up to its equals sign, so that it stands under that of `beside`.
std::string Aligned(std::string_view text, const std::string& key, const TomlSpot& table) {
  std::string made = TomlKey(key);
  if (table.entries.empty()) return made + " = ";
  const TextSpan statement = table.entries.back().statement;
  if (statement.to <= statement.from) return made + " = ";
  const std::string_view line = text.substr(statement.from, statement.to - statement.from);
  const std::size_t column = line.find('=');
  if (column != std::string_view::npos && column > made.size() && line.front() != ' ') {
    made.append(column - 1 - made.size(), ' ');
  }
  return made + " = ";
}

/// Lines put in at `offset`, on a line of their own even where the text ends without one.
std::string WithLines(std::string_view text, std::size_t offset, std::string lines) {
  const bool open = offset > 0 && text[offset - 1] != '\n';
  if (open) lines.insert(0, LineEndOf(text));
  return Replaced(text, {offset, offset}, lines);
}

/// The end of the last entry of an inline table, those of dotted keys included.
std::size_t EndOfEntries(const TomlSpot& table) {
  std::size_t end = 0;
  for (const TomlSpotEntry& entry : table.entries) {
    end = std::max({end, entry.statement.to, EndOfEntries(entry.spot)});
  }
  return end;
}

/// A key put into a table that is there.
std::string WithNewKey(std::string_view text, const TomlSpot& table, const std::string& key,
                       std::string_view value) {
  if (table.kind == Kind::inline_table) {
    const std::string entry = fmt::format("{} = {}", TomlKey(key), value);
    if (table.entries.empty()) return Replaced(text, table.span, "{ " + entry + " }");
    const std::size_t end = EndOfEntries(table);
    return Replaced(text, {end, end}, ", " + entry);
  }
  return WithLines(text, table.span.to,
                   fmt::format("{}{}{}", Aligned(text, key, table), value, LineEndOf(text)));
}

/// The last byte of a table and of all tables under it.
std::size_t EndOf(const TomlSpot& table) {
  std::size_t end = table.span.to;
  for (const TomlSpotEntry& entry : table.entries) end = std::max(end, EndOf(entry.spot));
  for (const TomlSpot& item : table.items) end = std::max(end, EndOf(item));
  return end;
}

/// What the tables of a branch stand on, header by header.
void Collect(const TomlSpot& spot, std::vector<TextSpan>& spans) {
  if (spot.kind == Kind::table && spot.header) {
    spans.push_back(spot.span);
  } else if (spot.kind == Kind::table) {
    for (const TomlSpotEntry& entry : spot.entries) {
      if (entry.statement.to > entry.statement.from) spans.push_back(entry.statement);
    }
  }
  for (const TomlSpotEntry& entry : spot.entries) {
    const bool under = entry.spot.kind == Kind::table || entry.spot.kind == Kind::table_list;
    if (under) Collect(entry.spot, spans);
  }
  for (const TomlSpot& item : spot.items) Collect(item, spans);
}

/// The blank line that comes next, or nothing.
std::size_t BlankLineAt(std::string_view text, std::size_t offset) {
  std::size_t at = offset;
  while (at < text.size() && (text[at] == ' ' || text[at] == '\t' || text[at] == '\r')) ++at;
  return at < text.size() && text[at] == '\n' ? at + 1 - offset : 0;
}

/// Without the spans, each with the blank line behind it.
std::string Without(std::string_view text, std::vector<TextSpan> spans) {
  std::sort(spans.begin(), spans.end(),
            [](const TextSpan& a, const TextSpan& b) { return a.from > b.from; });
  std::string left(text);
  std::size_t done = text.size() + 1;
  for (const TextSpan& span : spans) {
    if (span.to > done) continue;  // within one taken out already
    done = span.from;
    left.erase(span.from, span.to - span.from + BlankLineAt(left, span.to));
  }
  return left;
}

/// One of several things parted by commas, with one of the commas beside it.
TextSpan WithComma(std::string_view text, TextSpan span) {
  std::size_t after = span.to;
  while (after < text.size() && (text[after] == ' ' || text[after] == '\t')) ++after;
  if (after < text.size() && text[after] == ',') {
    ++after;
    while (after < text.size() && text[after] == ' ') ++after;
    return {span.from, after};
  }
  std::size_t before = span.from;
  while (before > 0 && std::isspace(static_cast<unsigned char>(text[before - 1])) != 0) --before;
  return before > 0 && text[before - 1] == ',' ? TextSpan{before - 1, span.to} : span;
}

/// A key whose table is not there: in a table of its own at the end.
Result<std::string> WithKeyOfNewTable(std::string_view text, const TomlPath& path,
                                      std::string_view value) {
  NewTable wish;
  wish.many = false;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const auto* key = std::get_if<std::string>(&path[i]);
    if (key == nullptr) return NoSuch(path);
    wish.table.push_back(*key);
  }
  const auto* key = std::get_if<std::string>(&path.back());
  if (key == nullptr || wish.table.empty()) return NoSuch(path);
  wish.body = fmt::format("{} = {}{}", TomlKey(*key), value, LineEndOf(text));
  return WithTable(text, wish);
}

/// A key of a table that is not there, in braces in a table of a list.
Result<std::string> WithKeyInBraces(std::string_view text, const TomlPath& path,
                                    std::string_view value) {
  const auto* key = std::get_if<std::string>(&path.back());
  if (key == nullptr) return NoSuch(path);
  return WithValue(text, {path.begin(), path.end() - 1},
                   fmt::format("{{ {} = {} }}", TomlKey(*key), value));
}

/// Where a new table goes.
Result<std::size_t> PlaceFor(std::string_view text, const TomlSpot& root, const NewTable& wish) {
  if (!wish.after.empty()) {
    const TomlSpot* spot = SpotAt(root, wish.after);
    if (spot == nullptr) return NoSuch(wish.after);
    return EndOf(*spot);
  }
  TomlPath path(wish.table.begin(), wish.table.end());
  for (; !path.empty(); path.pop_back()) {
    if (const TomlSpot* spot = SpotAt(root, path)) return EndOf(*spot);
  }
  return text.size();
}

}  // namespace

std::string TomlNumber(double value) {
  if (value == 0.0) return "0";
  const double whole = std::round(value);
  if (whole == value && std::abs(value) < 1e15) return fmt::format("{:.0f}", value);
  return fmt::format("{}", value);
}

std::string TomlQuoted(std::string_view text) {
  std::string quoted = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      quoted += '\\';
      quoted += c;
    } else if (byte < 0x20 || byte == 0x7f) {
      quoted += fmt::format("\\u{:04X}", byte);
    } else {
      quoted += c;
    }
  }
  return quoted + '"';
}

std::string TomlKey(std::string_view key) {
  const bool bare = !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte < 0x80 && (std::isalnum(byte) != 0 || c == '_' || c == '-');
  });
  return bare ? std::string(key) : TomlQuoted(key);
}

bool IsTomlValue(std::string_view value) {
  if (value.empty()) return false;
  const auto tree = ParseToml(fmt::format("key = {}\n", value));
  const auto* node = std::get_if<TomlNode>(&tree);
  if (node == nullptr || node->entries.size() != 1) return false;
  const auto spots = SpotsOf(fmt::format("key = {}\n", value));
  const TextSpan span = spots->entries.front().spot.span;
  return span.to - span.from == value.size();
}

Result<std::string> WithValue(std::string_view text, const TomlPath& path, std::string_view value) {
  if (path.empty() || !IsTomlValue(value)) {
    return Fail(ErrorKind::job, fmt::format("{} is not a value: a number, a \"text\" in quotes, "
                                            "true or false, [a, list] or {{ key = value }}",
                                            value.empty() ? "nothing" : value));
  }
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  if (const TomlSpot* spot = SpotAt(*root, path)) {
    if (spot->kind == Kind::table || spot->kind == Kind::table_list) {
      return Fail(ErrorKind::job, fmt::format("{} is a table, not a value", PathText(path)));
    }
    return Sound(Replaced(text, spot->span, value));
  }
  const TomlSpot* table = SpotAt(*root, {path.begin(), path.end() - 1});
  const auto* key = std::get_if<std::string>(&path.back());
  if (key == nullptr) return NoSuch(path);
  if (table == nullptr || (table->kind == Kind::table && !table->header)) {
    const bool of_list = std::any_of(path.begin(), path.end(), [](const TomlStep& step) {
      return std::holds_alternative<std::size_t>(step);
    });
    const bool beside = path.size() > 2 && SpotAt(*root, {path.begin(), path.end() - 2}) != nullptr;
    if (table == nullptr && of_list && beside) return WithKeyInBraces(text, path, value);
    return WithKeyOfNewTable(text, path, value);
  }
  if (table->kind != Kind::table && table->kind != Kind::inline_table) return NoSuch(path);
  return Sound(WithNewKey(text, *table, *key, value));
}

Result<std::string> WithoutKey(std::string_view text, const TomlPath& path) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const auto* key = path.empty() ? nullptr : std::get_if<std::string>(&path.back());
  const TomlSpot* table = key == nullptr ? nullptr : SpotAt(*root, {path.begin(), path.end() - 1});
  if (table == nullptr || table->Find(*key) == nullptr) return NoSuch(path);
  const auto entry = std::find_if(table->entries.begin(), table->entries.end(),
                                  [&](const TomlSpotEntry& e) { return e.key == *key; });
  const TextSpan statement = entry->statement;
  if (statement.to <= statement.from) return NoSuch(path);
  if (table->kind == Kind::inline_table) {
    return Sound(Replaced(text, WithComma(text, statement), ""));
  }
  return Sound(Replaced(text, statement, ""));
}

Result<std::string> WithoutItem(std::string_view text, const TomlPath& path) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* item = SpotAt(*root, path);
  if (item == nullptr || !std::holds_alternative<std::size_t>(path.back())) return NoSuch(path);
  if (item->kind == Kind::table) return WithoutTable(text, path);
  TextSpan span = WithComma(text, item->span);
  // An item alone on its line takes the line with it.
  std::size_t start = span.from;
  while (start > 0 && (text[start - 1] == ' ' || text[start - 1] == '\t')) --start;
  const std::size_t blank = BlankLineAt(text, span.to);
  if (blank > 0 && start > 0 && text[start - 1] == '\n') span = {start, span.to + blank};
  return Sound(Replaced(text, span, ""));
}

Result<std::string> WithItem(std::string_view text, const TomlPath& path, std::string_view value) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const auto* index = path.empty() ? nullptr : std::get_if<std::size_t>(&path.back());
  const TomlSpot* list = index == nullptr ? nullptr : SpotAt(*root, {path.begin(), path.end() - 1});
  if (list == nullptr || list->kind != Kind::list || !IsTomlValue(value)) return NoSuch(path);
  if (list->items.empty()) {
    return Sound(Replaced(text, list->span, fmt::format("[{}]", value)));
  }
  const std::size_t at = std::min(*index, list->items.size());
  const TextSpan beside = list->items[std::min(at, list->items.size() - 1)].span;
  // Where the items stand on lines of their own, so does the new one.
  std::size_t line = beside.from;
  while (line > 0 && (text[line - 1] == ' ' || text[line - 1] == '\t')) --line;
  std::string between = " ";
  if (line > 0 && text[line - 1] == '\n') {
    between = fmt::format("{}{}", LineEndOf(text), text.substr(line, beside.from - line));
  }
  if (at < list->items.size()) {
    return Sound(Replaced(text, {beside.from, beside.from}, fmt::format("{},{}", value, between)));
  }
  return Sound(Replaced(text, {beside.to, beside.to}, fmt::format(",{}{}", between, value)));
}

Result<std::string> WithoutTable(std::string_view text, const TomlPath& path) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* table = path.empty() ? nullptr : SpotAt(*root, path);
  if (table == nullptr) return NoSuch(path);
  std::vector<TextSpan> spans;
  Collect(*table, spans);
  if (table->kind == Kind::list || table->kind == Kind::value ||
      table->kind == Kind::inline_table || spans.empty()) {
    return Fail(ErrorKind::job, fmt::format("{} is not a table of its own", PathText(path)));
  }
  return Sound(Without(text, std::move(spans)));
}

Result<std::string> WithTable(std::string_view text, const NewTable& wish) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const auto place = PlaceFor(text, *root, wish);
  if (!place) return tl::unexpected<Error>(place.error());
  std::string name;
  for (const std::string& key : wish.table) name += (name.empty() ? "" : ".") + TomlKey(key);
  const std::string_view end = LineEndOf(text);
  std::string lines = fmt::format("{}{}{}{}{}{}", text.empty() ? "" : end, wish.many ? "[[" : "[",
                                  name, wish.many ? "]]" : "]", end, wish.body);
  if (!lines.empty() && lines.back() != '\n') lines += end;
  return Sound(WithLines(text, *place, std::move(lines)));
}

Result<std::string> BodyOfTable(std::string_view text, const TomlPath& path) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* table = SpotAt(*root, path);
  if (table == nullptr || !table->header) return NoSuch(path);
  std::string body(text.substr(table->header_line.to, table->span.to - table->header_line.to));
  return body;
}

}  // namespace holeward
