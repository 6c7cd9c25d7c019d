#include "models/job_form.h"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "models/job_edit.h"
#include "models/job_form_keys.h"
#include "models/part_words.h"
#include "models/toml_tree.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

const Names kSides = {"left", "right"};
const Names kMethods = {"tape", "rule", "square", "protractor", "middle", "in_line", "line"};

/// What a measure of a point can be read from.
Names DatumsOf(const Job& job, const PartRow* part, const std::string& face,
               const std::string& point) {
  Names names;
  if (part == nullptr) return names;
  names = {part->start, part->finish};
  for (const FittingRow& fitting : part->fittings) names.push_back(fitting.name);
  const PartWords words = WordsOf(*part, job.described_side);
  for (const std::string& edge : words.EdgesOf(face)) names.push_back(edge);
  for (const std::string& line : words.lines) names.push_back(line);
  if (!words.faces.empty()) names.emplace_back("middle");
  for (const PointRow& row : job.points) {
    if (row.name == point) break;
    if (row.part == part->name) names.push_back(row.name);
  }
  return names;
}

/// A form being filled from a text.
class FormMaker {
 public:
  FormMaker(std::string_view text, const TomlSpot& root, TomlPath table)
      : text_(text), root_(root), table_(std::move(table)) {}

  [[nodiscard]] std::string Shown(const char* key) const {
    TomlPath path = table_;
    path.emplace_back(key);
    return ShownOf(text_, SpotAt(root_, path));
  }

  [[nodiscard]] std::string Standing(const FormField& field) const {
    const TomlSpot* spot = SpotAt(root_, field.path);
    return field.kind == FieldKind::value ? RawOf(text_, spot) : ShownOf(text_, spot);
  }

  void Add(const KeySpec& spec) {
    FormField field;
    field.label = spec.key;
    field.path = table_;
    field.path.emplace_back(spec.key);
    field.kind = spec.kind;
    field.choices = spec.choices;
    field.hint = spec.hint;
    field.shown = Standing(field);
    fields_.push_back(std::move(field));
  }

  void AddAll(const std::vector<KeySpec>& specs) {
    for (const KeySpec& spec : specs) Add(spec);
  }

  /// The fields of one measure of a rule.
  void AddMeasure(std::size_t which, const Names& datums, const PartRow* part) {
    TomlPath at = table_;
    at.emplace_back("rule");
    at.emplace_back(which);
    const TomlSpot* measure = SpotAt(root_, at);
    std::string method;
    for (const std::string& word : kMethods) {
      if (measure != nullptr && measure->Find(word) != nullptr) method = word;
    }
    const std::string before = fmt::format("rule {}: ", which + 1);
    FormField how{before + "method", at, FieldKind::choice, kMethods, method, "", true};
    fields_.push_back(how);
    if (method.empty()) return;
    const auto add = [&](const char* key, FieldKind kind, Names choices, const char* hint) {
      FormField field{before + key, at, kind, std::move(choices), "", hint, false};
      field.path.emplace_back(key);
      field.shown = Standing(field);
      fields_.push_back(std::move(field));
    };
    const bool reads =
        method == "tape" || method == "rule" || method == "square" || method == "protractor";
    if (reads) {
      add(method.c_str(), FieldKind::number, {}, "");
      add("from", FieldKind::choice, datums, "");
      Names ways = DirectionWords();
      if (part != nullptr) ways.insert(ways.end(), {part->start, part->finish});
      add("toward", FieldKind::choice, ways, "");
      add("edge", FieldKind::choice, {"sharp", "tangent"}, "not stated: both count");
    } else if (method == "middle") {
      add("middle", FieldKind::value, {}, "");
      add("fraction", FieldKind::number, {}, "0.5");
    } else {
      add(method.c_str(), FieldKind::choice, datums, "");
    }
  }

  [[nodiscard]] std::vector<FormField> Take() { return std::move(fields_); }

 private:
  std::string_view text_;
  const TomlSpot& root_;
  TomlPath table_;
  std::vector<FormField> fields_;
};

Names FacesOf(const PartRow* part, const Job& job) {
  return part == nullptr ? Names{} : WordsOf(*part, job.described_side).faces;
}

void AddPoint(FormMaker& form, const Job& job) {
  Names parts;
  for (const PartRow& part : job.parts) parts.push_back(part.name);
  const PartRow* part = PartOf(job, form.Shown("part"));
  const std::string use = form.Shown("use");
  form.Add({"name", FieldKind::words});
  form.Add({"use", FieldKind::choice, {"reference", "test", "drill"}});
  form.Add({"part", FieldKind::choice, parts});
  const Names faces = FacesOf(part, job);
  if (!faces.empty() || !form.Shown("face").empty()) form.Add({"face", FieldKind::choice, faces});
  const Names datums = DatumsOf(job, part, form.Shown("face"), form.Shown("name"));
  for (std::size_t i = 0; i < 2; ++i) form.AddMeasure(i, datums, part);
  if (use == "drill") {
    form.Add({"drill", FieldKind::value, {}, "[pilot, final]"});
    form.Add({"stop", FieldKind::value, {}, "proposed"});
    form.Add({"axis", FieldKind::value, {}, "\"normal\""});
    form.Add({"during", FieldKind::choice, {"access", "drain", "nothing"}, "nothing"});
    form.Add({"after", FieldKind::choice, {"plug", "sealant", "drain"}, "not stated"});
  }
  form.Add({"only", FieldKind::choice, kSides, "both sides"});
}

/// One line a section.
void AddStations(std::vector<FormField>& fields, std::string_view text, const TomlSpot& root,
                 const TomlPath& table) {
  TomlPath path = table;
  path.emplace_back("stations");
  const TomlSpot* list = SpotAt(root, path);
  for (std::size_t i = 0; list != nullptr && i < list->items.size(); ++i) {
    TomlPath at = path;
    at.emplace_back(i);
    fields.push_back({fmt::format("section {}", i + 1),
                      at,
                      FieldKind::value,
                      {},
                      RawOf(text, &list->items[i]),
                      "",
                      false});
  }
}

std::string NameIn(std::string_view text, const TomlSpot& table) {
  return ShownOf(text, table.Find("name"));
}

void AddList(std::string_view text, const TomlSpot* list, const std::string& before, TomlPath path,
             int level, std::vector<JobTable>& tables) {
  for (std::size_t i = 0; list != nullptr && i < list->items.size(); ++i) {
    TomlPath at = path;
    at.emplace_back(i);
    tables.push_back({before + NameIn(text, list->items[i]), at, level});
  }
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

}  // namespace

std::vector<JobTable> TablesOf(std::string_view text) {
  const auto root = SpotsOf(text);
  std::vector<JobTable> tables;
  if (!root) return tables;
  tables.push_back({"job", {}, 0});
  tables.push_back({"vehicle", {std::string("vehicle")}, 0});
  tables.push_back({"set", {std::string("set")}, 0});
  tables.push_back({"limits", {std::string("limits")}, 0});
  tables.push_back({"marking", {std::string("marking")}, 0});
  tables.push_back(
      {"distribution of the errors", {std::string("marking"), std::string("distribution")}, 0});
  tables.push_back({"test tool", {std::string("tool"), std::string("test")}, 0});
  tables.push_back({"drill tool", {std::string("tool"), std::string("drill")}, 0});
  if (const TomlSpot* parts = root->Find("part")) {
    for (const TomlSpotEntry& part : parts->entries) {
      const TomlPath path{std::string("part"), part.key};
      tables.push_back({"part " + part.key, path, 0});
      for (const char* list : {"fitting", "inner", "lap"}) {
        TomlPath under = path;
        under.emplace_back(list);
        AddList(text, part.spot.Find(list), fmt::format("{} ", list), under, 1, tables);
      }
    }
  }
  for (const char* list : {"neighbour", "point", "template"}) {
    AddList(text, root->Find(list), fmt::format("{} ", list), {std::string(list)}, 0, tables);
  }
  return tables;
}

std::vector<FormField> FormOf(std::string_view text, const TomlPath& table, const Job& job) {
  const auto root = SpotsOf(text);
  if (!root) return {};
  FormMaker form(text, *root, table);
  const std::string kind = KeyAt(table, 0);
  const std::string under = KeyAt(table, 2);
  if (table.empty()) {
    form.AddAll(HeadKeys());
  } else if (kind == "point") {
    AddPoint(form, job);
  } else if (kind == "vehicle") {
    form.AddAll(VehicleKeys());
  } else if (kind == "set") {
    form.AddAll({{"number", FieldKind::words},
                 {"revision", FieldKind::words},
                 {"applies_to", FieldKind::words},
                 {"effective", FieldKind::value, {}, "2026-03-31"},
                 {"supersedes", FieldKind::words},
                 {"question", FieldKind::words},
                 {"variant", FieldKind::words}});
  } else if (kind == "limits") {
    form.AddAll(LimitKeys());
  } else if (kind == "marking") {
    form.AddAll(KeyAt(table, 1) == "distribution" ? DistributionKeys() : MarkingKeys());
  } else if (kind == "tool") {
    form.AddAll(KeyAt(table, 1) == "test" ? TestToolKeys() : DrillToolKeys());
  } else if (kind == "neighbour") {
    form.AddAll(NeighbourKeys());
  } else if (kind == "template") {
    form.AddAll(TemplateKeys());
  } else if (under == "fitting") {
    form.AddAll(FittingKeys());
  } else if (under == "inner") {
    form.AddAll(InnerKeys());
  } else if (under == "lap") {
    form.AddAll(LapKeys());
  } else if (kind == "part") {
    form.AddAll(PartKeys());
    std::vector<FormField> fields = form.Take();
    AddStations(fields, text, *root, table);
    return fields;
  }
  return form.Take();
}

Result<std::string> Answered(std::string_view text, const FormField& field,
                             const std::string& answer) {
  const auto root = SpotsOf(text);
  if (!root) return tl::unexpected<Error>(root.error());
  const TomlSpot* spot = SpotAt(*root, field.path);
  if (field.method) return WithValue(text, field.path, MeasureBy(text, spot, answer));
  if (answer.empty()) {
    if (spot == nullptr) return std::string(text);
    const bool item = std::holds_alternative<std::size_t>(field.path.back());
    return item ? WithoutItem(text, field.path) : WithoutKey(text, field.path);
  }
  const bool words = field.kind == FieldKind::words || field.kind == FieldKind::choice;
  return WithValue(text, field.path, words ? TomlQuoted(answer) : answer);
}

}  // namespace holeward
