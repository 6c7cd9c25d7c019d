#include "models/job_form.h"

#include <algorithm>
#include <sstream>
#include <utility>

#include <fmt/format.h>

#include "models/job_form_keys.h"
#include "models/part_words.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

const Names kSides = {"left", "right"};
const Names kMethods = {"tape", "rule", "square", "protractor", "middle", "in_line", "line"};

/// What a measure of a point can be read from. @param earlier the part's points before it
Names DatumsOf(const Job& job, const PartRow* part, const std::string& face, const Names& earlier) {
  Names names;
  if (part == nullptr) return names;
  names = {part->start, part->finish};
  for (const FittingRow& fitting : part->fittings) names.push_back(fitting.name);
  for (const DatumRow& datum : DatumsOf(*part)) names.push_back(datum.place.name);
  const PartWords words = WordsOf(*part, job.described_side);
  for (const std::string& edge : words.EdgesOf(face)) names.push_back(edge);
  for (const std::string& line : words.lines) names.push_back(line);
  if (!words.faces.empty()) names.emplace_back("middle");
  names.insert(names.end(), earlier.begin(), earlier.end());
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
    switch (field.kind) {
      case FieldKind::list: return PlainOf(text_, spot, true);
      case FieldKind::rows: return RowsOf(text_, spot);
      case FieldKind::lines: return LinesOf(text_, spot);
      case FieldKind::spread: return RawOf(text_, spot);
      case FieldKind::value: {
        // A word shows without its quotes where they would be put back.
        const std::string word = ShownOf(text_, spot);
        const std::string plain = PlainOf(text_, spot, false);
        const std::string raw = RawOf(text_, spot);
        return plain == raw && ValueOf(word, false) == raw ? word : plain;
      }
      default: return ShownOf(text_, spot);
    }
  }

  void Add(const KeySpec& spec) {
    FormField field;
    field.path = table_;
    std::istringstream keys(spec.key);
    for (std::string key; std::getline(keys, key, '.');) {
      field.label += (field.label.empty() ? "" : ": ") + key;
      field.path.emplace_back(key);
    }
    field.kind = spec.kind;
    field.choices = spec.choices;
    field.hint = spec.hint;
    field.pieces = spec.pieces;
    field.shown = Standing(field);
    if (PiecesIn(field).empty()) field.pieces.clear();
    fields_.push_back(std::move(field));
  }

  void AddAll(const std::vector<KeySpec>& specs) {
    for (const KeySpec& spec : specs) Add(spec);
  }

  /// The points of a part that stand before this one; of the text, as one that is wrong for now is
  /// in no job.
  [[nodiscard]] Names EarlierPoints(const std::string& part) const {
    Names names;
    const auto* own = table_.size() < 2 ? nullptr : std::get_if<std::size_t>(&table_[1]);
    const TomlSpot* points = root_.Find("point");
    const std::size_t count = own == nullptr || points == nullptr ? 0 : *own;
    for (std::size_t i = 0; i < count && i < points->items.size(); ++i) {
      const TomlSpot& point = points->items[i];
      if (ShownOf(text_, point.Find("part")) != part) continue;
      names.push_back(ShownOf(text_, point.Find("name")));
    }
    return names;
  }

  /// A part's name is not among its keys: it stands in the headers.
  void AddNameOfPart() {
    FormField field{"name", table_, FieldKind::words, {}, KeyAt(table_, 1), "", false, true};
    fields_.push_back(std::move(field));
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
    FormField how{before + "method", at, FieldKind::choice, kMethods, method, "", true, false};
    // A fitting may do without.
    if (KeyAt(table_, 0) != "point") how.choices.insert(how.choices.begin(), "");
    fields_.push_back(how);
    if (method.empty()) return;
    const auto add = [&](const char* key, FieldKind kind, Names choices, const char* hint) {
      FormField field{before + key, at, kind, std::move(choices), "", hint, false, false};
      field.path.emplace_back(key);
      field.shown = Standing(field);
      fields_.push_back(std::move(field));
    };
    const bool turns = method == "protractor";
    const bool reads =
        method == "tape" || method == "rule" || method == "square" || method == "protractor";
    if (reads) {
      add(method.c_str(), FieldKind::number, {}, "");
      add("from", FieldKind::choice, datums, "");
      Names ways = DirectionWords();
      if (part != nullptr) ways.insert(ways.end(), {part->start, part->finish});
      add("toward", FieldKind::choice, ways, "");
      if (!turns) {
        add("edge", FieldKind::choice, {"sharp", "tangent"}, "not stated: both count");
        add("to", FieldKind::choice, {"rim", "centre"}, "of a hole: rim");
      }
    } else if (method == "middle") {
      add("middle", FieldKind::value, {"face"}, "face, or two datums: D, D");
      add("fraction", FieldKind::number, {}, "0.5");
    } else {
      add(method.c_str(), FieldKind::choice, datums, "");
    }
  }

  /// A section that is a place alone has no keys: it stands as a whole for its centre.
  void TakeWholeAsCentre() {
    const TomlSpot* spot = SpotAt(root_, table_);
    if (spot == nullptr || spot->kind != TomlSpot::Kind::list || fields_.empty()) return;
    fields_.front().path = table_;
    fields_.front().shown = PlainOf(text_, spot, true);
  }

  /// A field's choices: names of the job.
  void Offer(const std::string& label, Names names) {
    for (FormField& field : fields_) {
      if (field.label == label) field.choices = std::move(names);
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

Names PartNames(const Job& job) {
  Names parts;
  for (const PartRow& part : job.parts) parts.push_back(part.name);
  return parts;
}

/// Along the normal, along a direction, or leaning: what is there, or all while nothing is.
void AddAxis(FormMaker& form) {
  const bool leans = !form.Shown("axis").empty() && form.Shown("axis").front() == '{';
  Names ways = DirectionWords();
  if (!leans) {
    Names words = ways;
    words.insert(words.begin(), "normal");
    form.Add({"axis", FieldKind::choice, words, "normal"});
  }
  if (!leans && !form.Shown("axis").empty()) return;
  form.Add({"axis.toward", FieldKind::choice, ways, "leaning: toward"});
  form.Add({"axis.lean", FieldKind::number, {}, "leaning: degrees"});
}

void AddPoint(FormMaker& form, const Job& job) {
  const Names parts = PartNames(job);
  const PartRow* part = PartOf(job, form.Shown("part"));
  const std::string use = form.Shown("use");
  form.Add({"name", FieldKind::words});
  form.Add({"use", FieldKind::choice, {"reference", "test", "drill"}});
  form.Add({"part", FieldKind::choice, parts});
  const Names faces = FacesOf(part, job);
  if (!faces.empty() || !form.Shown("face").empty()) form.Add({"face", FieldKind::choice, faces});
  const Names datums =
      DatumsOf(job, part, form.Shown("face"), form.EarlierPoints(form.Shown("part")));
  for (std::size_t i = 0; i < 2; ++i) form.AddMeasure(i, datums, part);
  if (use == "drill") {
    form.Add({"drill", FieldKind::list, {}, "pilot, final"});
    form.Add({"stop", FieldKind::value, {}, "proposed"});
    AddAxis(form);
    form.Add({"during", FieldKind::choice, {"access", "drain", "nothing"}, "nothing"});
    form.Add({"after", FieldKind::choice, {"plug", "sealant", "drain"}, "not stated"});
  }
  form.Add({"only", FieldKind::choice, kSides, "both sides"});
}

/// Names of the job where a table's values are such names.
void OfferNames(FormMaker& form, const TomlPath& table, const Job& job) {
  if (KeyAt(table, 0) == "part" && KeyAt(table, 2) == "fitting") {
    const PartRow* part = PartOf(job, KeyAt(table, 1));
    const Names faces = FacesOf(part, job);
    if (!faces.empty()) form.Offer("face", faces);
    for (std::size_t i = 0; i < 2; ++i) {
      form.AddMeasure(i, DatumsOf(job, part, form.Shown("face"), {}), part);
    }
  }
  if (KeyAt(table, 0) != "template") return;
  if (form.Shown("paper").empty() || form.Shown("paper").front() == '{') {
    form.Add({"paper.roll", FieldKind::number, {}, "instead: a roll, mm wide"});
  }
  form.Offer("part", PartNames(job));
  const PartRow* part = PartOf(job, form.Shown("part"));
  if (part == nullptr) return;
  Names points;
  for (const PointRow& point : job.points) {
    if (point.part == part->name) points.push_back(point.name);
  }
  form.Offer("points", points);
  form.Offer("align", DatumsOf(job, part, "", {}));
}

}  // namespace

JobForms::JobForms(std::string text) : text_(std::move(text)) {
  auto root = SpotsOf(text_);
  if (!root) return;
  tables_ = AllTables(text_, *root);
  root_ = std::move(*root);
}

std::vector<FormField> JobForms::FormOf(const TomlPath& table, const Job& job) const {
  if (!root_) return {};
  FormMaker form(text_, *root_, table);
  if (KeyAt(table, 0) == "point") {
    AddPoint(form, job);
    return form.Take();
  }
  const bool part = KeyAt(table, 0) == "part" && table.size() == 2;
  if (part) form.AddNameOfPart();
  form.AddAll(KeysOf(table));
  if (KeyAt(table, 2) == "stations") form.TakeWholeAsCentre();
  OfferNames(form, table, job);
  return form.Take();
}

std::vector<JobTable> TablesOf(std::string_view text) {
  return JobForms(std::string(text)).tables();
}

std::vector<FormField> FormOf(std::string_view text, const TomlPath& table, const Job& job) {
  return JobForms(std::string(text)).FormOf(table, job);
}

}  // namespace holeward
