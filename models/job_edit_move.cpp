// Items of a list that change places.
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"

namespace holeward {
namespace {

/// The start of the comment lines right above an offset at the start of a line, or the offset.
std::size_t WithCommentsAbove(std::string_view text, std::size_t from) {
  while (from > 0) {
    std::size_t line = from - 1;
    while (line > 0 && text[line - 1] != '\n') --line;
    std::size_t first = line;
    while (first < from && (text[first] == ' ' || text[first] == '\t')) ++first;
    if (text[first] != '#') break;
    from = line;
  }
  return from;
}

/// What a table stands on with the tables under it; nothing where those lie elsewhere.
TextSpan BlockOf(const TomlSpot& table) {
  TextSpan block = table.span;
  const auto take = [&](const TomlSpot& under) {
    if (under.kind != TomlSpot::Kind::table && under.kind != TomlSpot::Kind::table_list) return;
    const TextSpan inner = BlockOf(under);
    block.to = std::max(block.to, inner.to);
  };
  for (const TomlSpotEntry& entry : table.entries) take(entry.spot);
  for (const TomlSpot& item : table.items) take(item);
  return block;
}

std::string Exchanged(std::string_view text, const TextSpan& first, const TextSpan& second) {
  const auto piece = [&](std::size_t from, std::size_t to) { return text.substr(from, to - from); };
  std::string one(piece(first.from, first.to));
  std::string two(piece(second.from, second.to));
  // The last line of the text may lack its end.
  if (one.back() == '\n' && two.back() != '\n') two += '\n';
  return fmt::format("{}{}{}{}{}", piece(0, first.from), two, piece(first.to, second.from), one,
                     piece(second.to, text.size()));
}

}  // namespace

Result<std::string> WithMoved(std::string_view text, const TomlPath& path, bool up) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const auto* index = path.empty() ? nullptr : std::get_if<std::size_t>(&path.back());
  const TomlSpot* list = index == nullptr ? nullptr : SpotAt(*root, {path.begin(), path.end() - 1});
  if (list == nullptr || *index >= list->items.size()) {
    return Fail(ErrorKind::job, "only what is one of a list can be moved");
  }
  if (up ? *index == 0 : *index + 1 == list->items.size()) {
    return Fail(ErrorKind::job, up ? "it is the first already" : "it is the last already");
  }
  const std::size_t first = up ? *index - 1 : *index;
  TextSpan one = list->items[first].span;
  TextSpan two = list->items[first + 1].span;
  if (list->kind == TomlSpot::Kind::table_list) {
    one = BlockOf(list->items[first]);
    two = BlockOf(list->items[first + 1]);
    one.from = WithCommentsAbove(text, one.from);
    two.from = WithCommentsAbove(text, two.from);
  }
  if (one.to > two.from) return Fail(ErrorKind::job, "its tables lie among those of another");
  std::string moved = Exchanged(text, one, two);
  if (const auto sound = SpotsOf(moved); !sound) return tl::unexpected<Error>(sound.error());
  return moved;
}

}  // namespace holeward
