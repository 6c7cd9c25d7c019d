// A part under another name: the headers of its tables, and what names it.
#include <algorithm>
#include <cctype>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"

namespace holeward {
namespace {

struct Change {
  TextSpan span;
  std::string with;
};

/// The headers of a table and of all tables under it.
void AddHeaders(const TomlSpot& table, std::vector<TextSpan>& headers) {
  if (table.header) headers.push_back(table.header_line);
  for (const TomlSpotEntry& entry : table.entries) AddHeaders(entry.spot, headers);
  for (const TomlSpot& item : table.items) AddHeaders(item, headers);
}

std::size_t EndOfKey(std::string_view text, std::size_t at) {
  const char quote = text[at];
  if (quote != '"' && quote != '\'') {
    while (at < text.size() && std::string_view(" \t.]").find(text[at]) == std::string_view::npos) {
      ++at;
    }
    return at;
  }
  for (++at; at < text.size() && text[at] != quote; ++at) {
    if (quote == '"' && text[at] == '\\') ++at;
  }
  return at + 1;
}

/// The second key of a header, [part.NAME...]. @pre the header has two keys
TextSpan SecondKey(std::string_view text, const TextSpan& header) {
  std::size_t at = text.find('[', header.from);
  const auto skip = [&](std::string_view what) {
    while (at < text.size() && what.find(text[at]) != std::string_view::npos) ++at;
  };
  skip("[ \t");
  at = EndOfKey(text, at);
  skip(" \t.");
  return {at, EndOfKey(text, at)};
}

/// Where tables of a list name the part. @param name, @param other in quotes
void AddNames(std::string_view text, const TomlSpot* list, std::string_view name,
              const std::string& other, std::vector<Change>& changes) {
  for (std::size_t i = 0; list != nullptr && i < list->items.size(); ++i) {
    const TomlSpot* part = list->items[i].Find("part");
    if (part == nullptr) continue;
    if (text.substr(part->span.from, part->span.to - part->span.from) == name) {
      changes.push_back({part->span, other});
    }
  }
}

}  // namespace

Result<std::string> WithPartRenamed(std::string_view text, const std::string& part,
                                    const std::string& name) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* parts = root->Find("part");
  const TomlSpot* spot = parts == nullptr ? nullptr : parts->Find(part);
  if (spot == nullptr) return Fail(ErrorKind::job, fmt::format("the job has no part \"{}\"", part));
  if (name.empty() || (name != part && parts->Find(name) != nullptr)) {
    return Fail(ErrorKind::job, name.empty()
                                    ? std::string("a part must have a name")
                                    : fmt::format("the job has a part \"{}\" already", name));
  }
  std::vector<TextSpan> headers;
  AddHeaders(*spot, headers);
  if (!spot->header && headers.empty()) {
    return Fail(ErrorKind::job,
                fmt::format("part \"{}\" has no header [part.{}] to change", part, TomlKey(part)));
  }
  std::vector<Change> changes;
  for (const TextSpan& header : headers)
    changes.push_back({SecondKey(text, header), TomlKey(name)});
  for (const char* list : {"point", "template"}) {
    AddNames(text, root->Find(list), TomlQuoted(part), TomlQuoted(name), changes);
  }
  std::sort(changes.begin(), changes.end(),
            [](const Change& a, const Change& b) { return a.span.from > b.span.from; });
  std::string renamed(text);
  for (const Change& one : changes) {
    renamed.replace(one.span.from, one.span.to - one.span.from, one.with);
  }
  if (const auto sound = SpotsOf(renamed); !sound) return tl::unexpected<Error>(sound.error());
  return renamed;
}

}  // namespace holeward
