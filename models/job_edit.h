// Changes to the text of a job that keep everything else of it byte for byte: comments, order,
// layout. Each gives the new text; the old one is the way back.
//
//   auto moved = WithValue(text, {"point", 2, "rule", 0, "tape"}, TomlNumber(84.5));
//   auto without = WithoutTable(*moved, {"point", 3});
#pragma once

#include <string>
#include <string_view>

#include "geometry/result.h"
#include "models/toml_text.h"

namespace holeward {

// ---- Values as TOML writes them

/// The shortest number that reads back as `value`. @pre finite
[[nodiscard]] std::string TomlNumber(double value);
/// A text in quotes, with the escapes it needs.
[[nodiscard]] std::string TomlQuoted(std::string_view text);
/// A key, in quotes where it needs them.
[[nodiscard]] std::string TomlKey(std::string_view key);
/// True if the text is one value as TOML writes it, with nothing around it.
[[nodiscard]] bool IsTomlValue(std::string_view value);

// ---- Changes. Errors (job) of all: the text is not TOML, the path leads nowhere, the result would
// not be TOML. The text is then as it was.

/// The text with `value` (as TOML writes it) at `path`. A key that is not there yet comes after the
/// last of its table, its equals sign under the last one's; a table that is not there yet, at the
/// end of the text, or in braces where it belongs to a table of a list. Errors as well: `value` is
/// not one TOML value; `path` is a table with a header.
[[nodiscard]] Result<std::string> WithValue(std::string_view text, const TomlPath& path,
                                            std::string_view value);

/// The text without a key and its value. With it goes its line, and what is written behind it
/// there.
[[nodiscard]] Result<std::string> WithoutKey(std::string_view text, const TomlPath& path);

/// The text without an item of a list in brackets, or of a list of tables.
[[nodiscard]] Result<std::string> WithoutItem(std::string_view text, const TomlPath& path);

/// The text with an item more in a list in brackets, before the item `path` ends in (or at the end
/// of the list when there is no such item).
[[nodiscard]] Result<std::string> WithItem(std::string_view text, const TomlPath& path,
                                           std::string_view value);

/// The text without the table at `path`, the tables under it included, whether it is one of a list
/// ({"point", 3}) or has a name ({"part", "arm"}). Comments above its header stay.
[[nodiscard]] Result<std::string> WithoutTable(std::string_view text, const TomlPath& path);

/// The text with the table or item of a list that `path` ends in before (`up`) or behind its
/// neighbour: the two change places, comments right above their headers with them. Errors as well:
/// it has no neighbour there.
[[nodiscard]] Result<std::string> WithMoved(std::string_view text, const TomlPath& path, bool up);

/// The text with a part under another name: the headers of its tables, and the points and templates
/// that name it. Errors as well: the name is another part's, or empty.
[[nodiscard]] Result<std::string> WithPartRenamed(std::string_view text, const std::string& part,
                                                  const std::string& name);

/// The text with a new table, after a blank line.
/// @param table the keys of the header: {"part", "arm", "fitting"}
/// @param many a table of a list: [[...]]
/// @param body its lines, without the header
/// @param after the table it is to follow with those under it; nothing ({}): the last of its list,
///        else the last table of its kind, else the end of the text
struct NewTable {
  std::vector<std::string> table;
  bool many = true;
  std::string body;
  TomlPath after;
};
[[nodiscard]] Result<std::string> WithTable(std::string_view text, const NewTable& wish);

/// The lines of a table under a header, without the header and the tables under it.
/// Errors (job): as above, or there is no such table.
[[nodiscard]] Result<std::string> BodyOfTable(std::string_view text, const TomlPath& path);

}  // namespace holeward
