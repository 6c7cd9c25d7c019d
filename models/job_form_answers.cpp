// What a person answers in a form, as TOML writes it.
#include <array>
#include <cctype>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"
#include "models/job_form_keys.h"
#include "models/toml_tree.h"

namespace holeward {
namespace {

std::string Trimmed(const std::string& text) {
  const auto from = text.find_first_not_of(" \t\r\n");
  if (from == std::string::npos) return "";
  return text.substr(from, text.find_last_not_of(" \t\r\n") + 1 - from);
}

/// The end of a text in quotes that begins at `at`.
std::size_t EndOfQuoted(const std::string& text, std::size_t at) {
  const char quote = text[at];
  for (++at; at < text.size() && text[at] != quote; ++at) {
    if (quote == '"' && text[at] == '\\') ++at;
  }
  return at;
}

/// The pieces between commas that no bracket or quote holds.
std::vector<std::string> PiecesOf(const std::string& text) {
  std::vector<std::string> pieces(1);
  int depth = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '"' || c == '\'') {
      const std::size_t end = EndOfQuoted(text, i);
      pieces.back() += text.substr(i, end + 1 - i);
      i = end;
      continue;
    }
    if (c == '[' || c == '{') ++depth;
    if (c == ']' || c == '}') --depth;
    if (c == ',' && depth == 0) {
      pieces.emplace_back();
    } else {
      pieces.back() += c;
    }
  }
  if (pieces.size() > 1 && Trimmed(pieces.back()).empty()) pieces.pop_back();
  return pieces;
}

/// A value as it is, a word in quotes. What looks like a number or a list gone wrong stays as it
/// is, to be refused.
std::string ValueOrWord(const std::string& piece) {
  const std::string word = Trimmed(piece);
  if (word.empty() || IsTomlValue(word)) return word;
  const bool number = std::isdigit(static_cast<unsigned char>(word[0])) != 0 || word[0] == '-' ||
                      word[0] == '+' || word[0] == '.';
  const bool braced = word.find_first_of("[]{}\"=\n") != std::string::npos;
  return number || braced ? word : TomlQuoted(word);
}

std::string LinesValue(const std::string& answer) {
  std::vector<std::string> lines;
  std::string line;
  for (const char c : answer + "\n") {
    if (c != '\n') {
      line += c;
      continue;
    }
    if (!Trimmed(line).empty()) lines.push_back(TomlQuoted(Trimmed(line)));
    line.clear();
  }
  if (lines.size() == 1) return lines.front();
  std::string list;
  for (const std::string& one : lines) list += (list.empty() ? "[" : ", ") + one;
  return list + "]";
}

/// A measure by another method, with what of the old one still has a sense.
std::string MeasureBy(std::string_view text, const TomlSpot* old, const std::string& method) {
  const auto kept = [&](const char* key) {
    const TomlSpot* spot = old == nullptr ? nullptr : old->Find(key);
    return spot == nullptr
               ? std::string()
               : std::string(text.substr(spot->span.from, spot->span.to - spot->span.from));
  };
  if (method == "middle") return "{ middle = \"face\" }";
  if (method == "line") return "{ line = \"middle\" }";
  const std::string from = kept("from");
  if (method == "in_line") return fmt::format("{{ in_line = {} }}", from.empty() ? "\"\"" : from);
  std::string value;
  for (const char* other : {"tape", "rule", "square", "protractor"}) {
    if (value.empty()) value = kept(other);
  }
  std::string measure = fmt::format("{{ {} = {}, from = {}", method, value.empty() ? "30" : value,
                                    from.empty() ? "\"\"" : from);
  for (const char* key : {"toward", "edge"}) {
    if (const std::string more = kept(key); !more.empty()) {
      measure += fmt::format(", {} = {}", key, more);
    }
  }
  return measure + " }";
}

/// Without a key; a table in braces or under a header of its own goes with its last one.
Result<std::string> WithoutAnswer(std::string_view text, const TomlSpot& root,
                                  const TomlPath& path) {
  const TomlPath owner(path.begin(), path.end() - 1);
  const TomlSpot* table = SpotAt(root, owner);
  if (std::holds_alternative<std::size_t>(path.back())) {
    const bool only = table != nullptr && table->items.size() == 1;
    return only ? WithoutKey(text, owner) : WithoutItem(text, path);
  }
  const bool last = table != nullptr && table->entries.size() == 1 && !owner.empty() &&
                    std::holds_alternative<std::string>(owner.back());
  if (last && table->kind == TomlSpot::Kind::inline_table) return WithoutKey(text, owner);
  const bool own = last && table->kind == TomlSpot::Kind::table && table->header;
  return own && KeyAt(owner, 0) != "part" ? WithoutTable(text, owner) : WithoutKey(text, path);
}

/// A measure where it belongs: of a list that is there, or the first of one that is not.
Result<std::string> WithMeasure(std::string_view text, const TomlSpot& root, const TomlPath& path,
                                const std::string& measure) {
  const TomlPath list(path.begin(), path.end() - 1);
  if (SpotAt(root, list) == nullptr) return WithValue(text, list, "[ " + measure + " ]");
  return SpotAt(root, path) == nullptr ? WithItem(text, path, measure)
                                       : WithValue(text, path, measure);
}

/// With a value at its key; a section that is a place alone becomes a table for it.
Result<std::string> WithAnswer(std::string_view text, const TomlSpot& root, const TomlPath& path,
                               const std::string& value) {
  const TomlPath owner(path.begin(), path.end() - (path.empty() ? 0 : 1));
  const TomlSpot* section = SpotAt(root, owner);
  const auto* key = path.empty() ? nullptr : std::get_if<std::string>(&path.back());
  if (key == nullptr || section == nullptr || section->kind != TomlSpot::Kind::list) {
    return WithValue(text, path, value);
  }
  return WithValue(text, owner,
                   fmt::format("{{ centre = {}, {} = {} }}", RawOf(text, section), *key, value));
}

/// What the field shows, answered again, changes nothing of how it is written.
bool IsShown(std::string_view text, const FormField& field, const TomlSpot* spot,
             const std::string& answer) {
  switch (field.kind) {
    case FieldKind::lines: return LinesOf(text, spot) == answer;
    case FieldKind::rows: return RowsOf(text, spot) == answer;
    case FieldKind::list: return PlainOf(text, spot, true) == answer;
    case FieldKind::value: return PlainOf(text, spot, false) == answer;
    case FieldKind::spread: {
      FormField standing = field;
      FormField given = field;
      standing.shown = RawOf(text, spot);
      given.shown = answer;
      return PiecesIn(standing) == PiecesIn(given);
    }
    default: return false;
  }
}

}  // namespace

std::string ValueOf(const std::string& answer, bool list) {
  const std::string whole = Trimmed(answer);
  if (IsTomlValue(whole) && (!list || whole.front() == '[')) return whole;
  const std::vector<std::string> pieces = PiecesOf(whole);
  if (pieces.size() == 1 && !list) return ValueOrWord(whole);
  std::string made;
  for (const std::string& piece : pieces) {
    made += (made.empty() ? "[" : ", ") + ValueOrWord(piece);
  }
  return made + "]";
}

std::string LinesOf(std::string_view text, const TomlSpot* spot) {
  if (spot == nullptr || spot->kind != TomlSpot::Kind::list) return ShownOf(text, spot);
  std::string lines;
  for (const TomlSpot& item : spot->items) {
    lines += (lines.empty() ? "" : "\n") + ShownOf(text, &item);
  }
  return lines;
}

Result<std::string> Answered(std::string_view text, const FormField& field,
                             const std::string& answer) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* spot = SpotAt(*root, field.path);
  if (field.renames) return WithPartRenamed(text, KeyAt(field.path, 1), Trimmed(answer));
  const bool blank = answer.find_first_not_of(" \t\r\n") == std::string::npos;
  if (field.method && !blank) {
    return WithMeasure(text, *root, field.path, MeasureBy(text, spot, answer));
  }
  if (blank) {
    if (spot == nullptr) return std::string(text);
    return WithoutAnswer(text, *root, field.path);
  }
  if (IsShown(text, field, spot, answer)) return std::string(text);
  const auto with = [&](const std::string& value) {
    return WithAnswer(text, *root, field.path, value);
  };
  switch (field.kind) {
    case FieldKind::words:
    case FieldKind::choice: return with(TomlQuoted(answer));
    case FieldKind::lines: return with(LinesValue(answer));
    case FieldKind::rows: return with(RowsValue(answer));
    case FieldKind::list: return with(ValueOf(answer, true));
    case FieldKind::spread:
    case FieldKind::value: return with(ValueOf(answer, false));
    case FieldKind::number: break;
  }
  return with(answer);
}

}  // namespace holeward
