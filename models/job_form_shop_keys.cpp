// The keys of what a job says to the workshop, the office and the bench.
#include "models/job_form_keys.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

const Names kSteps = {"clean", "mark",  "ties",   "punch", "test",  "pilot",
                      "probe", "final", "deburr", "treat", "close", "record"};

const Names kFaces = {"top", "underside", "bottom", "front", "rear", "outboard", "inboard"};

/// Readings of a section: the faces, then the sizes.
void AddSectionReadings(std::vector<KeySpec>& keys, const char* hint) {
  for (const char* key : {"top", "underside", "bottom", "front", "rear", "outboard", "inboard",
                          "width", "height", "corner", "diameter"}) {
    keys.push_back({key, FieldKind::value, {}, hint});
  }
}

}  // namespace

std::vector<KeySpec> SetKeys() {
  return {{"number", FieldKind::words},
          {"revision", FieldKind::words},
          {"applies_to", FieldKind::words},
          {"effective", FieldKind::value, {}, "2026-03-31"},
          {"supersedes", FieldKind::words},
          {"question", FieldKind::words, {}, "with variants: how a person tells them apart"}};
}

std::vector<KeySpec> VariantKeys() {
  return {{"sign", FieldKind::words, {}, "what tells it"}, {"set", FieldKind::words}};
}

std::vector<KeySpec> WordsKeys() {
  return {{"file", FieldKind::words, {}, "the translator's table, beside the job"}};
}

std::vector<KeySpec> ReleaseKeys() {
  return {{"by", FieldKind::words},
          {"date", FieldKind::value, {}, "2026-03-31"},
          {"hash", FieldKind::words, {}, "as a check prints it"}};
}

std::vector<KeySpec> StepKeys() {
  return {{"title", FieldKind::words},
          {"before", FieldKind::choice, kSteps, "one of before, after, number"},
          {"after", FieldKind::choice, kSteps, "one of before, after, number"},
          {"number", FieldKind::number, {}, "one of before, after, number"},
          {"text", FieldKind::lines, {}, "a line each"},
          {"caution.signal", FieldKind::choice, {"danger", "warning", "caution", "notice"}, "none"},
          {"caution.hazard", FieldKind::words},
          {"caution.avoid", FieldKind::words},
          {"material", FieldKind::lines, {}, "a line each"},
          {"minutes", FieldKind::number, {}, "not stated"},
          {"torque", FieldKind::value, {}, "none; N·m, or least, greatest"},
          {"only", FieldKind::choice, {"left", "right"}, "both sides"}};
}

std::vector<KeySpec> DecisionKeys() {
  return {{"when", FieldKind::words, {}, "any test fails"}, {"then", FieldKind::words}};
}

std::vector<KeySpec> BenchKeys() {
  return {{"toward", FieldKind::choice, {"outboard", "inboard", "front", "rear"}, "outboard"},
          {"straightedge",
           FieldKind::choice,
           {"front", "rear", "outboard", "inboard"},
           "rear; of a part along the vehicle inboard"},
          {"readings", FieldKind::words, {}, "the filled-in form, beside the job"},
          {"corner", FieldKind::value, {}, "one for all rows"},
          {"slope", FieldKind::number, {}, "degrees"},
          {"origin", FieldKind::list, {}, "", {"x", "y", "z"}},
          {"density", FieldKind::number, {}, "7.85"}};
}

std::vector<KeySpec> BenchRowKeys() {
  std::vector<KeySpec> keys{{"distance", FieldKind::number}};
  AddSectionReadings(keys, "not read");
  return keys;
}

std::vector<KeySpec> BenchSpareKeys() {
  std::vector<KeySpec> keys;
  for (const char* key : {"girth", "diagonal", "tape", "wall", "weight"}) {
    keys.push_back({key, FieldKind::value, {}, "not read"});
  }
  AddSectionReadings(keys, "not read");
  const std::vector<KeySpec> rest = {
      {"row", FieldKind::number, {}, "of this row"},
      {"at", FieldKind::number, {}, "or at this distance"},
      {"from", FieldKind::words, {}, "1 front"},
      {"to", FieldKind::words, {}, "2 rear"},
      {"face", FieldKind::choice, kFaces, "of the wall"},
      {"others", FieldKind::number, {}, "kg of what hangs on it"},
      {"name", FieldKind::words},
      {"instrument",
       FieldKind::choice,
       {"caliper", "steel rule", "tape", "class I tape", "class III tape", "height gauge",
        "radius gauge", "wall gauge", "scale", "drawing", "assumed"},
       "by what is read"},
      {"error", FieldKind::number, {}, "by the instrument"}};
  keys.insert(keys.end(), rest.begin(), rest.end());
  return keys;
}

std::vector<KeySpec> BenchMountKeys() {
  return {{"name", FieldKind::words},
          {"distance", FieldKind::number},
          {"offset", FieldKind::number},
          {"height", FieldKind::number},
          {"place", FieldKind::list, {}, "in the vehicle", {"x", "y", "z"}},
          {"z", FieldKind::number, {}, "the third mount: its height in the vehicle"}};
}

std::vector<KeySpec> KeysOf(const TomlPath& table) {
  if (table.empty()) return HeadKeys();
  const std::string kind = KeyAt(table, 0);
  const std::string under = KeyAt(table, 1);
  if (kind == "vehicle") return VehicleKeys();
  if (kind == "set") return under == "variant" ? VariantKeys() : SetKeys();
  if (kind == "limits") return LimitKeys();
  if (kind == "marking") return under == "distribution" ? DistributionKeys() : MarkingKeys();
  if (kind == "tool") return under == "test" ? TestToolKeys() : DrillToolKeys();
  if (kind == "neighbour") return NeighbourKeys();
  if (kind == "template") return TemplateKeys();
  if (kind == "words") return WordsKeys();
  if (kind == "release") return ReleaseKeys();
  if (kind == "step") return StepKeys();
  if (kind == "decision") return DecisionKeys();
  if (kind != "part") return {};
  const std::string of = KeyAt(table, 2);
  if (of == "fitting") return FittingKeys();
  if (of == "inner") return InnerKeys();
  if (of == "lap") return LapKeys();
  if (of == "stations") return SectionKeys();
  if (of == "datum") return DatumKeys();
  if (of == "face") return FaceKeys();
  if (of != "bench") return PartKeys();
  const std::string list = KeyAt(table, 3);
  if (list == "rows") return BenchRowKeys();
  if (list == "spare") return BenchSpareKeys();
  return list == "mounts" ? BenchMountKeys() : BenchKeys();
}

}  // namespace holeward
