// Things added to a job by its form, copied and taken out again.
#include <algorithm>
#include <cctype>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"
#include "models/job_form_drafts.h"
#include "models/job_form_keys.h"

namespace holeward {
namespace {

/// An item of a list in braces, or a table of a list: the list as it stands says which.
struct NewItem {
  TomlPath list;
  std::vector<std::string> values;  ///< in braces, as many as are put there
};

/// The last step of a path, if it is a place in a list of values and not of tables with headers.
const TomlSpot* ListOfValues(const TomlSpot& root, const TomlPath& path) {
  if (path.empty() || !std::holds_alternative<std::size_t>(path.back())) return nullptr;
  const TomlSpot* list = SpotAt(root, {path.begin(), path.end() - 1});
  return list != nullptr && list->kind == TomlSpot::Kind::list ? list : nullptr;
}

/// The lines of a table that says what a value in braces says.
std::string BodyOf(const std::string& value) {
  std::string body;
  const std::string text = "it = " + value;
  const auto root = SpotsOf(text);
  if (!root) return body;
  for (const TomlSpotEntry& entry : root->entries.front().spot.entries) {
    body +=
        text.substr(entry.statement.from, entry.statement.to - entry.statement.from).append("\n");
  }
  return body;
}

Result<Added> WithNewItem(std::string_view text, const NewItem& item) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* list = SpotAt(*root, item.list);
  TomlPath path = item.list;
  path.emplace_back(list == nullptr ? std::size_t{0} : list->items.size());
  if (list != nullptr && list->kind == TomlSpot::Kind::table_list) {
    NewTable wish;
    for (const TomlStep& step : item.list) wish.table.push_back(std::get<std::string>(step));
    wish.body = BodyOf(item.values.back());
    auto changed = WithTable(text, wish);
    if (!changed) return tl::unexpected<Error>(changed.error());
    return Added{std::move(*changed), std::move(path)};
  }
  if (list != nullptr && !list->items.empty()) {
    auto changed = WithItem(text, path, item.values.back());
    if (!changed) return tl::unexpected<Error>(changed.error());
    return Added{std::move(*changed), std::move(path)};
  }
  std::string values;
  for (const std::string& value : item.values) values += fmt::format("  {},\n", value);
  auto changed = WithValue(text, item.list, fmt::format("[\n{}]", values));
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Added{std::move(*changed), std::move(path)};
}

/// The value of the last item with a number of it another: the step from the one before again.
std::string NextRow(std::string_view text, const TomlSpot& list) {
  const TomlSpot& last = list.items.back();
  std::string value = RawOf(text, &last);
  const TomlSpot* distance = last.Find("distance");
  if (distance == nullptr || last.kind != TomlSpot::Kind::inline_table) return value;
  const auto number = [&](const TomlSpot* spot) {
    return spot == nullptr ? 0.0 : std::strtod(RawOf(text, spot).c_str(), nullptr);
  };
  const double at = number(distance);
  const double before =
      list.items.size() < 2 ? 0.0 : number(list.items[list.items.size() - 2].Find("distance"));
  value.replace(distance->span.from - last.span.from, distance->span.to - distance->span.from,
                TomlNumber(at > before ? 2.0 * at - before : at + 100.0));
  return value;
}

Result<Added> WithBenchItem(std::string_view text, NewThing thing, const TomlPath& beside) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  NewItem item;
  item.list = {std::string("part"), PartNameFor(*root, beside), std::string("bench")};
  if (SpotAt(*root, item.list) == nullptr) {
    return Fail(ErrorKind::job,
                fmt::format("part \"{}\" is not one measured on a bench: choose one that is, or "
                            "add one",
                            std::get<std::string>(item.list[1])));
  }
  if (thing == NewThing::bench_row) {
    item.list.emplace_back("rows");
    const TomlSpot* rows = SpotAt(*root, item.list);
    const bool more = rows != nullptr && rows->kind == TomlSpot::Kind::list && !rows->items.empty();
    item.values = {more ? NextRow(text, *rows) : FirstBenchRow()};
  } else if (thing == NewThing::bench_spare) {
    item.list.emplace_back("spare");
    item.values = {"{ girth = 180, row = 1 }"};
  } else {
    item.list.emplace_back("mounts");
    item.values = {fmt::format(
        "{{ name = {}, distance = 10, offset = 60, height = 60, place = [-100, 250, 300] }}",
        TomlQuoted(FreshName(text, "mount 1")))};
  }
  return WithNewItem(text, item);
}

/// A variant of the vehicle more; the first time two, since one alone is none.
Result<Added> WithVariant(std::string_view text) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* set = root->Find("set");
  const std::string number = set == nullptr ? "" : ShownOf(text, set->Find("number"));
  NewItem item{{std::string("set"), std::string("variant")},
               {fmt::format("{{ sign = \"sign of this set\", set = {} }}", TomlQuoted(number)),
                "{ sign = \"sign of the other\", set = \"other set\" }"}};
  auto added = WithNewItem(text, item);
  if (!added || (set != nullptr && set->Find("question") != nullptr)) return added;
  auto asked = WithValue(added->text, {std::string("set"), std::string("question")},
                         "\"How is the variant told?\"");
  if (!asked) return tl::unexpected<Error>(asked.error());
  return Added{std::move(*asked), std::move(added->path)};
}

Vec3 PlaceOf(std::string_view text, const TomlSpot* list) {
  Vec3 place = Vec3::Zero();
  for (std::size_t i = 0; list != nullptr && i < std::min<std::size_t>(3, list->items.size());
       ++i) {
    place[static_cast<int>(i)] = std::strtod(RawOf(text, &list->items[i]).c_str(), nullptr);
  }
  return place;
}

std::string PlaceText(const Vec3& at) {
  return fmt::format("[{}, {}, {}]", TomlNumber(at.x()), TomlNumber(at.y()), TomlNumber(at.z()));
}

/// A part given by its two ends, by three sections instead.
Result<std::string> WithSections(std::string_view text, const TomlPath& path,
                                 const TomlSpot& part) {
  TomlPath key = path;
  key.emplace_back("stations");
  const Vec3 from = PlaceOf(text, part.Find("from"));
  const Vec3 to = PlaceOf(text, part.Find("to"));
  Result<std::string> changed = WithValue(text, key,
                                          fmt::format("[\n  {},\n  {},\n  {},\n]", PlaceText(from),
                                                      PlaceText((from + to) / 2.0), PlaceText(to)));
  for (const char* gone : {"from", "to"}) {
    if (!changed || part.Find(gone) == nullptr) continue;
    key.back() = std::string(gone);
    changed = WithoutKey(*changed, key);
  }
  return changed;
}

/// A section more at the end, a step beyond the last.
Result<Added> WithStation(std::string_view text, const TomlPath& beside) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  TomlPath path{std::string("part"), PartNameFor(*root, beside)};
  const TomlSpot* part = SpotAt(*root, path);
  if (part->Find("from") != nullptr && part->Find("to") != nullptr) {
    auto changed = WithSections(text, path, *part);
    if (!changed) return tl::unexpected<Error>(changed.error());
    path.insert(path.end(), {std::string("stations"), std::size_t{1}});
    return Added{std::move(*changed), std::move(path)};
  }
  const TomlSpot* list = part->Find("stations");
  if (list == nullptr && part->Find("bench") == nullptr) {
    path.emplace_back("stations");
    auto first = WithValue(text, path, "[\n  [0, 500, 250],\n  [-300, 500, 250],\n]");
    path.emplace_back(std::size_t{1});
    if (!first) return tl::unexpected<Error>(first.error());
    return Added{std::move(*first), std::move(path)};
  }
  if (list == nullptr || list->kind != TomlSpot::Kind::list || list->items.size() < 2) {
    return Fail(ErrorKind::job, fmt::format("part \"{}\" is not given by sections",
                                            std::get<std::string>(path[1])));
  }
  const auto centre = [&](const TomlSpot& item) {
    const TomlSpot* place = item.Find("centre");
    return place != nullptr ? place : &item;
  };
  const TomlSpot& last = list->items.back();
  const Vec3 at = PlaceOf(text, centre(last));
  const Vec3 next = 2.0 * at - PlaceOf(text, centre(list->items[list->items.size() - 2]));
  std::string value = RawOf(text, &last);
  const TextSpan span = centre(last)->span;
  value.replace(span.from - last.span.from, span.to - span.from, PlaceText(next));
  TomlPath item = path;
  item.insert(item.end(), {std::string("stations"), list->items.size()});
  auto changed = WithItem(text, item, value);
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Added{std::move(*changed), std::move(item)};
}

/// Of the decisions the last takes what is left: a new one goes before it.
Result<Added> BeforeTheLast(Added added) {
  auto* index = std::get_if<std::size_t>(&added.path.back());
  if (index == nullptr || *index == 0) return added;
  auto moved = WithMoved(added.text, added.path, true);
  if (!moved) return tl::unexpected<Error>(moved.error());
  --*index;
  return Added{std::move(*moved), std::move(added.path)};
}

Result<Added> WithDraft(std::string_view text, const NewTable& table) {
  auto changed = WithTable(text, table);
  if (!changed) return tl::unexpected<Error>(changed.error());
  TomlPath path(table.table.begin(), table.table.end());
  if (table.many) {
    const auto root = SpotsOf(*changed);
    const TomlSpot* list = root ? SpotAt(*root, path) : nullptr;
    path.emplace_back(list == nullptr ? std::size_t{0} : list->items.size() - 1);
  }
  return Added{std::move(*changed), std::move(path)};
}

/// What a copy is called: a name of its own where it has one.
Result<Added> Renamed(std::string_view before, Added copy) {
  const auto root = SpotsOf(copy.text);
  const TomlSpot* spot = root ? SpotAt(*root, copy.path) : nullptr;
  const TomlSpot* name = spot == nullptr ? nullptr : spot->Find("name");
  if (name == nullptr) return copy;
  TomlPath path = copy.path;
  path.emplace_back("name");
  auto changed =
      WithValue(copy.text, path, TomlQuoted(FreshName(before, ShownOf(copy.text, name))));
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Added{std::move(*changed), std::move(copy.path)};
}

}  // namespace

Result<Added> WithNew(std::string_view text, NewThing thing, const TomlPath& beside,
                      const Job& job) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  if (NeedsPart(thing) && PartNameFor(*root, beside).empty()) {
    return Fail(ErrorKind::job, "the job has no part yet: add one first");
  }
  switch (thing) {
    case NewThing::station: return WithStation(text, beside);
    case NewThing::bench_row:
    case NewThing::bench_spare:
    case NewThing::bench_mount: return WithBenchItem(text, thing, beside);
    case NewThing::variant: return WithVariant(text);
    default: break;
  }
  auto added = WithDraft(text, DraftOf({text, PartNameFor(*root, beside), job}, thing));
  if (!added || thing != NewThing::decision) return added;
  return BeforeTheLast(std::move(*added));
}

Result<Added> WithCopy(std::string_view text, const TomlPath& table) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  TomlPath path = table;
  auto* index = table.empty() ? nullptr : std::get_if<std::size_t>(&path.back());
  if (ListOfValues(*root, table) != nullptr && SpotAt(*root, table) != nullptr) {
    ++*index;
    auto changed = WithItem(text, path, RawOf(text, SpotAt(*root, table)));
    if (!changed) return tl::unexpected<Error>(changed.error());
    return Renamed(text, {std::move(*changed), std::move(path)});
  }
  const auto body = BodyOfTable(text, table);
  if (!body) return tl::unexpected<Error>(body.error());
  NewTable wish;
  wish.body = *body;
  wish.after = table;
  wish.many = index != nullptr;
  for (const TomlStep& step : table) {
    if (const auto* key = std::get_if<std::string>(&step)) wish.table.push_back(*key);
  }
  if (index != nullptr) {
    ++*index;
  } else {
    wish.table.back() = FreshName(text, wish.table.back());
    path.back() = wish.table.back();
  }
  auto changed = WithTable(text, wish);
  if (!changed) return tl::unexpected<Error>(changed.error());
  return Renamed(text, {std::move(*changed), std::move(path)});
}

Result<std::string> WithoutThing(std::string_view text, const TomlPath& table) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* list = ListOfValues(*root, table);
  if (list == nullptr) return WithoutTable(text, table);
  // A list of nothing would be refused: it goes with its last item.
  if (list->items.size() == 1) return WithoutKey(text, {table.begin(), table.end() - 1});
  return WithoutItem(text, table);
}

}  // namespace holeward
