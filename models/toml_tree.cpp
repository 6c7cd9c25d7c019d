#include "models/toml_tree.h"

#include <algorithm>
#include <exception>
#include <new>
#include <sstream>

#include <toml++/toml.h>

namespace holeward {
namespace {

Location PlaceOfSource(const toml::source_region& source) {
  return {static_cast<int>(source.begin.line), static_cast<int>(source.begin.column)};
}

// As TOML writes it (RFC 3339).
std::string DateText(const toml::node& node) {
  std::ostringstream text;
  if (const auto* date = node.as_date()) text << date->get();
  if (const auto* time = node.as_time()) text << time->get();
  if (const auto* both = node.as_date_time()) text << both->get();
  return text.str();
}

TomlNode Converted(const toml::node& node);

void ConvertTable(const toml::table& table, TomlNode& into) {
  for (const auto& [key, value] : table) {
    into.entries.push_back({std::string(key.str()), PlaceOfSource(key.source()), Converted(value)});
  }
  std::stable_sort(into.entries.begin(), into.entries.end(),
                   [](const TomlEntry& a, const TomlEntry& b) {
                     return std::pair(a.key_at.line, a.key_at.column) <
                            std::pair(b.key_at.line, b.key_at.column);
                   });
}

TomlNode Converted(const toml::node& node) {
  TomlNode made;
  made.at = PlaceOfSource(node.source());
  if (const auto* table = node.as_table()) {
    ConvertTable(*table, made);
  } else if (const auto* list = node.as_array()) {
    made.kind = TomlKind::list;
    for (const auto& item : *list) made.items.push_back(Converted(item));
  } else if (const auto* text = node.as_string()) {
    made.kind = TomlKind::text;
    made.text = text->get();
  } else if (const auto* whole = node.as_integer()) {
    made.kind = TomlKind::whole;
    made.number = static_cast<double>(whole->get());
  } else if (const auto* number = node.as_floating_point()) {
    made.kind = TomlKind::number;
    made.number = number->get();
  } else if (const auto* flag = node.as_boolean()) {
    made.kind = TomlKind::flag;
    made.flag = flag->get();
  } else {
    made.kind = TomlKind::date;
    made.text = DateText(node);
  }
  return made;
}

}  // namespace

const TomlNode* TomlNode::Find(std::string_view key) const {
  const auto found = std::find_if(entries.begin(), entries.end(),
                                  [&](const TomlEntry& entry) { return entry.key == key; });
  return found == entries.end() ? nullptr : &found->value;
}

Location TomlNode::PlaceOf(std::string_view key) const {
  const TomlNode* value = Find(key);
  return value ? value->at : at;
}

std::variant<TomlNode, TomlSyntaxError> ParseToml(std::string_view text) {
  try {
    return Converted(toml::parse(text));
  } catch (const toml::parse_error& error) {
    Location at = PlaceOfSource(error.source());
    at.line = std::max(at.line, 1);
    at.column = std::max(at.column, 1);
    std::string message(error.description());
    if (message.find("inline table") != std::string::npos &&
        message.find("\\n") != std::string::npos) {
      message += "; a table in { } must stay on one line";
    }
    return TomlSyntaxError{at, message};
  } catch (const std::bad_alloc&) {
    throw;  // nothing is wrong with the file
  } catch (const std::exception& error) {
    return TomlSyntaxError{{1, 1}, error.what()};
  }
}

}  // namespace holeward
