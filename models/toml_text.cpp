#include "models/toml_text.h"

#include <algorithm>
#include <cctype>
#include <utility>

#include <fmt/format.h>

#include "models/toml_tree.h"

namespace holeward {
namespace {

bool IsBlank(char c) { return c == ' ' || c == '\t'; }
bool EndsLine(char c) { return c == '\n' || c == '\r'; }

TomlSpotEntry* EntryOf(TomlSpot& table, const std::string& key) {
  const auto found = std::find_if(table.entries.begin(), table.entries.end(),
                                  [&](const TomlSpotEntry& entry) { return entry.key == key; });
  return found == table.entries.end() ? nullptr : &*found;
}

TomlSpot& Child(TomlSpot& table, const std::string& key) {
  if (TomlSpotEntry* entry = EntryOf(table, key)) return entry->spot;
  table.entries.push_back({key, {}, {}});
  return table.entries.back().spot;
}

/// Goes through a text that is known to be TOML.
class SpotReader {
 public:
  explicit SpotReader(std::string_view text) : text_(text) {}

  TomlSpot Read() {
    TomlSpot root;
    root.header = true;
    current_ = {};
    if (text_.substr(0, 3) == "\xEF\xBB\xBF") at_ = 3;
    root.span = root.header_line = {at_, at_};
    while (SkipToStatement()) {
      if (text_[at_] == '[') {
        ReadHeader(root);
      } else {
        ReadStatement(root);
      }
    }
    return root;
  }

 private:
  [[nodiscard]] bool Done() const { return at_ >= text_.size(); }
  [[nodiscard]] char Next() const { return Done() ? '\0' : text_[at_]; }

  void SkipBlanks() {
    while (!Done() && IsBlank(text_[at_])) ++at_;
  }
  void SkipComment() {
    while (!Done() && text_[at_] != '\n') ++at_;
  }
  /// Blanks, line ends and comments, as lists may have between their items.
  void SkipSpace() {
    while (!Done()) {
      if (text_[at_] == '#') {
        SkipComment();
      } else if (IsBlank(text_[at_]) || EndsLine(text_[at_])) {
        ++at_;
      } else {
        return;
      }
    }
  }
  /// To the next header or key; false at the end.
  bool SkipToStatement() {
    SkipSpace();
    return !Done();
  }
  /// Past the rest of the line, its end included.
  void SkipLine() {
    SkipComment();
    if (!Done()) ++at_;
  }
  [[nodiscard]] std::size_t LineStart(std::size_t offset) const {
    while (offset > 0 && text_[offset - 1] != '\n') --offset;
    return offset == 0 && text_.substr(0, 3) == "\xEF\xBB\xBF" ? 3 : offset;
  }

  /// A basic or literal text of one line or several.
  void SkipQuoted() {
    const char quote = text_[at_];
    const bool basic = quote == '"';
    const std::string_view three = basic ? "\"\"\"" : "'''";
    if (text_.substr(at_, 3) == three) {
      at_ += 3;
      while (!Done() && text_.substr(at_, 3) != three) at_ += basic && text_[at_] == '\\' ? 2 : 1;
      at_ += 3;
      while (Next() == quote) ++at_;  // a text may end in one or two quotes of its own
      return;
    }
    ++at_;
    while (!Done() && text_[at_] != quote) at_ += basic && text_[at_] == '\\' ? 2 : 1;
    ++at_;
  }

  std::vector<std::string> ReadKey() {
    std::vector<std::string> parts;
    for (;;) {
      SkipBlanks();
      const std::size_t from = at_;
      if (Next() == '"' || Next() == '\'') {
        SkipQuoted();
        // The parser knows the escapes of a quoted key.
        const auto tree = ParseToml(fmt::format("key = {}", text_.substr(from, at_ - from)));
        const auto* node = std::get_if<TomlNode>(&tree);
        parts.push_back(node ? node->entries.front().value.text : "");
      } else {
        while (!Done() && (std::isalnum(static_cast<unsigned char>(text_[at_])) != 0 ||
                           text_[at_] == '_' || text_[at_] == '-')) {
          ++at_;
        }
        parts.emplace_back(text_.substr(from, at_ - from));
      }
      SkipBlanks();
      if (Next() != '.') return parts;
      ++at_;
    }
  }

  TomlSpot ReadValue() {
    TomlSpot spot;
    const std::size_t from = at_;
    if (Next() == '[') {
      spot.kind = TomlSpot::Kind::list;
      ReadList(spot);
    } else if (Next() == '{') {
      spot.kind = TomlSpot::Kind::inline_table;
      ReadInline(spot);
    } else {
      spot.kind = TomlSpot::Kind::value;
      SkipScalar();
    }
    spot.span = {from, at_};
    return spot;
  }

  void SkipScalar() {
    if (Next() == '"' || Next() == '\'') {
      SkipQuoted();
      return;
    }
    const std::size_t from = at_;
    while (!Done() && std::string_view(",]}#\r\n").find(text_[at_]) == std::string_view::npos) {
      ++at_;
    }
    while (at_ > from && IsBlank(text_[at_ - 1])) --at_;
  }

  void ReadList(TomlSpot& list) {
    ++at_;
    for (SkipSpace(); !Done() && Next() != ']'; SkipSpace()) {
      if (Next() == ',') {
        ++at_;
        continue;
      }
      list.items.push_back(ReadValue());
    }
    ++at_;
  }

  void ReadInline(TomlSpot& table) {
    ++at_;
    for (SkipSpace(); !Done() && Next() != '}'; SkipSpace()) {
      if (Next() == ',') {
        ++at_;
        continue;
      }
      const std::size_t from = at_;
      const std::vector<std::string> key = ReadKey();
      TomlSpot* owner = &table;
      for (std::size_t i = 0; i + 1 < key.size(); ++i) owner = &Child(*owner, key[i]);
      ++at_;  // the equals sign
      SkipBlanks();
      TomlSpot value = ReadValue();
      owner->entries.push_back({key.back(), {from, at_}, std::move(value)});
    }
    ++at_;
  }

  /// The table a list of keys leads to, in the last item of each list on the way.
  static TomlSpot& Follow(TomlSpot& root, const std::vector<std::string>& keys) {
    TomlSpot* table = &root;
    for (const std::string& key : keys) {
      table = &Child(*table, key);
      if (table->kind == TomlSpot::Kind::table_list) table = &table->items.back();
    }
    return *table;
  }

  void ReadHeader(TomlSpot& root) {
    const std::size_t from = LineStart(at_);
    ++at_;
    const bool many = Next() == '[';
    if (many) ++at_;
    current_ = ReadKey();
    SkipLine();
    TomlSpot* table = nullptr;
    if (many) {
      TomlSpot& list = Child(Follow(root, {current_.begin(), current_.end() - 1}), current_.back());
      list.kind = TomlSpot::Kind::table_list;
      table = &list.items.emplace_back();
    } else {
      table = &Follow(root, current_);
    }
    table->header = true;
    table->span = table->header_line = {from, at_};
  }

  void ReadStatement(TomlSpot& root) {
    const std::size_t from = LineStart(at_);
    const std::vector<std::string> key = ReadKey();
    ++at_;  // the equals sign
    SkipBlanks();
    TomlSpot value = ReadValue();
    SkipLine();
    TomlSpot& table = Follow(root, current_);
    table.span.to = at_;
    TomlSpot* owner = &table;
    for (std::size_t i = 0; i + 1 < key.size(); ++i) owner = &Child(*owner, key[i]);
    owner->entries.push_back({key.back(), {from, at_}, std::move(value)});
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::vector<std::string> current_;  ///< keys of the header in force
};

}  // namespace

const TomlSpot* TomlSpot::Find(std::string_view key) const {
  const auto found = std::find_if(entries.begin(), entries.end(),
                                  [&](const TomlSpotEntry& entry) { return entry.key == key; });
  return found == entries.end() ? nullptr : &found->spot;
}

Result<TomlSpot> SpotsOf(std::string_view text) {
  const auto tree = ParseToml(text);
  if (const auto* error = std::get_if<TomlSyntaxError>(&tree)) {
    return Fail(ErrorKind::job,
                fmt::format("{}:{}: {}", error->at.line, error->at.column, error->message));
  }
  return SpotReader(text).Read();
}

const TomlSpot* SpotAt(const TomlSpot& root, const TomlPath& path) {
  const TomlSpot* spot = &root;
  for (const TomlStep& step : path) {
    if (const auto* key = std::get_if<std::string>(&step)) {
      spot = spot->Find(*key);
      if (spot == nullptr) return nullptr;
      continue;
    }
    const std::size_t item = std::get<std::size_t>(step);
    if (item >= spot->items.size()) return nullptr;
    spot = &spot->items[item];
  }
  return spot;
}

TextPlace PlaceOfByte(std::string_view text, std::size_t offset) {
  TextPlace place;
  for (std::size_t i = 0; i < std::min(offset, text.size()); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (byte == '\n') {
      ++place.line;
      place.column = 1;
    } else if ((byte & 0xC0U) != 0x80U) {
      ++place.column;
    }
  }
  return place;
}

}  // namespace holeward
