// Where each value of a TOML text stands, byte by byte, so that one can be changed and all else
// kept.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "geometry/result.h"

namespace holeward {

/// Bytes [from, to) of a text.
struct TextSpan {
  std::size_t from = 0;
  std::size_t to = 0;
};

/// A step of a path into a TOML text: the key of a table, or the place of an item in a list from 0.
using TomlStep = std::variant<std::string, std::size_t>;
/// From the root: {"point", 2, "rule", 0, "tape"}.
using TomlPath = std::vector<TomlStep>;

struct TomlSpotEntry;

/// A value and where it stands.
struct TomlSpot {
  enum class Kind {
    value,         ///< text, number, flag, date
    list,          ///< [ ... ]
    inline_table,  ///< { ... }
    table,         ///< under a header, or implied by one or by dotted keys
    table_list,    ///< [[...]]
  };
  Kind kind = Kind::table;
  TextSpan span;         ///< of the value; table: from its header's line to the end of its last own
                         ///< statement's line, empty if it has no header
  bool header = false;   ///< table: has a header of its own (the root counts as having one)
  TextSpan header_line;  ///< table with a header: the line, its end included
  std::vector<TomlSpot> items;
  std::vector<TomlSpotEntry> entries;

  [[nodiscard]] const TomlSpot* Find(std::string_view key) const;
};

/// A key of a table with its value.
struct TomlSpotEntry {
  std::string key;
  TextSpan
      statement;  ///< key, value and, in a table, the whole line or lines; empty for a header's
  TomlSpot spot;
};

/// The spots of a text. Errors (job): the text is not TOML, with line and column.
[[nodiscard]] Result<TomlSpot> SpotsOf(std::string_view text);

/// The spot at the end of a path, or nullptr.
[[nodiscard]] const TomlSpot* SpotAt(const TomlSpot& root, const TomlPath& path);

/// Where the byte at `offset` stands, line and column from 1; columns count characters.
struct TextPlace {
  int line = 1;
  int column = 1;
};
[[nodiscard]] TextPlace PlaceOfByte(std::string_view text, std::size_t offset);

}  // namespace holeward
