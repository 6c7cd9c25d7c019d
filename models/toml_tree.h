// A TOML file as a plain tree in which every key and value has its place. The parser is known to
// toml_tree.cpp alone.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "models/job.h"

namespace holeward {

enum class TomlKind { text, whole, number, flag, date, list, table };

struct TomlEntry;

/// A value of a TOML file.
struct TomlNode {
  TomlKind kind = TomlKind::table;
  std::string text;                ///< text; date: as TOML writes it
  double number = 0.0;             ///< whole, number; may be nan or infinite
  bool flag = false;               ///< flag
  std::vector<TomlNode> items;     ///< list, in order
  std::vector<TomlEntry> entries;  ///< table, in the order of the file
  Location at;

  [[nodiscard]] bool IsNumber() const {
    return kind == TomlKind::whole || kind == TomlKind::number;
  }
  /// The value of `key`, or nullptr.
  [[nodiscard]] const TomlNode* Find(std::string_view key) const;
  /// Where the value of `key` stands; where this table stands if it has no such key.
  [[nodiscard]] Location PlaceOf(std::string_view key) const;
};

/// A key of a table with its value.
struct TomlEntry {
  std::string key;
  Location key_at;
  TomlNode value;
};

/// Why a text is not TOML.
struct TomlSyntaxError {
  Location at;
  std::string message;
};

/// Parses UTF-8 text. Throws nothing but std::bad_alloc.
[[nodiscard]] std::variant<TomlNode, TomlSyntaxError> ParseToml(std::string_view text);

}  // namespace holeward
