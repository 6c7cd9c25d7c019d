// Which tables of a job have forms.
#include <initializer_list>
#include <utility>

#include <fmt/format.h>

#include "models/job_form_keys.h"

namespace holeward {
namespace {

std::string NameIn(std::string_view text, const TomlSpot& table) {
  const TomlSpot* name = table.Find("name");
  return ShownOf(text, name != nullptr ? name : table.Find("title"));
}

void AddList(std::string_view text, const TomlSpot* list, const std::string& before, TomlPath path,
             int level, std::vector<JobTable>& tables) {
  for (std::size_t i = 0; list != nullptr && i < list->items.size(); ++i) {
    TomlPath at = path;
    at.emplace_back(i);
    const std::string name = NameIn(text, list->items[i]);
    tables.push_back({before + (name.empty() ? std::to_string(i + 1) : name), at, level});
  }
}

/// A part with all that is its own.
void AddPart(std::string_view text, const TomlSpotEntry& part, std::vector<JobTable>& tables) {
  const TomlPath path{std::string("part"), part.key};
  tables.push_back({"part " + part.key, path, 0});
  TomlPath sections = path;
  sections.emplace_back("stations");
  AddList(text, part.spot.Find("stations"), "section ", sections, 1, tables);
  for (const char* list : {"fitting", "inner", "lap", "datum", "face"}) {
    TomlPath under = path;
    under.emplace_back(list);
    AddList(text, part.spot.Find(list), fmt::format("{} ", list), under, 1, tables);
  }
  const TomlSpot* bench = part.spot.Find("bench");
  if (bench == nullptr) return;
  TomlPath under = path;
  under.emplace_back("bench");
  tables.push_back({"bench of " + part.key, under, 1});
  for (const auto& [list, word] : std::initializer_list<std::pair<const char*, const char*>>{
           {"rows", "bench row "}, {"spare", "spare reading "}, {"mounts", "mount "}}) {
    TomlPath rows = under;
    rows.emplace_back(list);
    AddList(text, bench->Find(list), word, rows, 2, tables);
  }
}

/// The tables there is one of, in a group of their own before or behind the rest.
void AddSingle(std::initializer_list<std::pair<const char*, TomlPath>> group,
               std::vector<JobTable>& tables) {
  for (const auto& [title, path] : group) tables.push_back({title, path, 0});
}

std::string Text(const char* word) { return word; }

}  // namespace

std::vector<JobTable> AllTables(std::string_view text, const TomlSpot& root) {
  std::vector<JobTable> tables;
  AddSingle({{"job", {}}, {"vehicle", {Text("vehicle")}}, {"set", {Text("set")}}}, tables);
  if (const TomlSpot* set = root.Find("set")) {
    AddList(text, set->Find("variant"), "variant ", {Text("set"), Text("variant")}, 1, tables);
  }
  AddSingle({{"limits", {Text("limits")}},
             {"marking", {Text("marking")}},
             {"distribution of the errors", {Text("marking"), Text("distribution")}},
             {"test tool", {Text("tool"), Text("test")}},
             {"drill tool", {Text("tool"), Text("drill")}}},
            tables);
  if (const TomlSpot* parts = root.Find("part")) {
    for (const TomlSpotEntry& part : parts->entries) AddPart(text, part, tables);
  }
  for (const char* list : {"neighbour", "point", "template", "step", "decision"}) {
    AddList(text, root.Find(list), fmt::format("{} ", list), {Text(list)}, 0, tables);
  }
  AddSingle({{"words in other languages", {Text("words")}},
             {"release of drill clearance", {Text("release"), Text("clearance")}},
             {"release of strength", {Text("release"), Text("strength")}}},
            tables);
  return tables;
}

}  // namespace holeward
