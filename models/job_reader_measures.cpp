// Reads one measure of a rule of placement and checks what it refers to.
#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

const std::vector<std::string>& MethodWords() {
  static const std::vector<std::string> kWords{"tape",   "rule",    "square", "protractor",
                                               "middle", "in_line", "line"};
  return kWords;
}

// Whether the part is sure to be round, or sure to have flats.
bool Round(const MeasureScope& scope) {
  return scope.part && scope.state->sources[*scope.part].section_known &&
         scope.state->job.parts[*scope.part].section == SectionKind::round;
}
bool Flat(const MeasureScope& scope) {
  return scope.part && scope.state->sources[*scope.part].section_known &&
         scope.state->job.parts[*scope.part].section != SectionKind::round;
}

// Whether what the part offers is known for sure.
bool Known(const MeasureScope& scope) {
  return scope.part && scope.state->sources[*scope.part].shape_known;
}

const PartRow& PartOf(const MeasureScope& scope) { return scope.state->job.parts[*scope.part]; }
const PartSource& SourceOf(const MeasureScope& scope) { return scope.state->sources[*scope.part]; }

void CheckToward(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope, bool ends_too) {
  const auto toward = walk.Text("toward", 60, Need::required);
  if (!toward) return;
  const Location at = walk.PlaceOf("toward");
  measure.toward = *toward;
  std::vector<std::string> allowed = DirectionWords();
  if (ends_too && scope.part) {
    allowed.push_back(PartOf(scope).start);
    allowed.push_back(PartOf(scope).finish);
  }
  if (std::find(allowed.begin(), allowed.end(), *toward) != allowed.end()) return;
  if (*toward == "left" || *toward == "right") {
    walk.Error(at, LeftRightRefused(walk.What("toward"), *toward));
    return;
  }
  // An end's name that could not be read may be the one meant.
  if (ends_too && (!scope.part || PartOf(scope).start.empty() || PartOf(scope).finish.empty()))
    return;
  walk.Error(at, fmt::format("{} must be {}; found {}{}", walk.What("toward"), OneOf(allowed),
                             Quoted(*toward), Meant(*toward, allowed)));
}

FoundDatum ReadFrom(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope) {
  const auto from = walk.Text("from", 60, Need::required);
  if (!from) return {};
  const auto datum =
      FindDatum(*from, walk.PlaceOf("from"), walk.What("from"), scope, walk.context());
  measure.from = {datum.name.empty() ? *from : datum.name};
  return datum;
}

// `edge` and `to` say how a datum is read; they belong to edges and holes only.
void ReadHow(TableWalk& walk, MeasureRow& measure, const FoundDatum& datum) {
  const auto edge = walk.Choice("edge", {"sharp", "tangent"});
  if (edge) measure.edge = edge == "sharp" ? EdgeReading::sharp : EdgeReading::tangent;
  const bool not_edge = datum.kind != DatumKind::unknown && datum.kind != DatumKind::edge;
  if (edge && not_edge) {
    walk.Error(walk.PlaceOf("edge"), fmt::format("{} is for readings from an edge; {} is not one",
                                                 walk.What("edge"), Quoted(datum.name)));
  }
  const auto to = walk.Choice("to", {"centre", "rim"});
  measure.to_centre = to == "centre";
  const bool hole = datum.fitting && datum.fitting->kind == FittingKind::hole;
  if (to && datum.kind != DatumKind::unknown && !hole) {
    walk.Error(walk.PlaceOf("to"), fmt::format("{} is for readings from a hole; {} is not one",
                                               walk.What("to"), Quoted(datum.name)));
  }
}

void ReadDistance(TableWalk& walk, const std::string& key, MeasureRow& measure,
                  const MeasureScope& scope) {
  measure.value = walk.Number(key, SizeBounds()).value_or(0.0);
  const auto datum = ReadFrom(walk, measure, scope);
  CheckToward(walk, measure, scope, true);
  ReadHow(walk, measure, datum);
}

void ReadProtractor(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope) {
  const Bounds angle{"an angle greater than 0 and less than 180 degrees",
                     Measured::degrees,
                     0.0,
                     true,
                     180.0,
                     true};
  if (Flat(scope)) {
    walk.Error(walk.PlaceOf("protractor"),
               fmt::format("{} is for round parts; part {} has flats", walk.What("protractor"),
                           Quoted(PartOf(scope).name)));
    walk.IgnoreRest();
    return;
  }
  measure.value = walk.Number("protractor", angle).value_or(0.0);
  const auto from = walk.Text("from", 60, Need::required);
  CheckToward(walk, measure, scope, false);
  if (!from) return;
  measure.from = {*from};
  if (!Known(scope)) return;
  const PartWords& words = SourceOf(scope).words;
  const auto line = words.Line(*from);
  if (!line) {
    walk.Error(walk.PlaceOf("from"),
               fmt::format("{} must be a line of part {}, {}; found {}{}", walk.What("from"),
                           Quoted(PartOf(scope).name), OneOf(words.lines), Quoted(*from),
                           Meant(*from, words.lines)));
    return;
  }
  measure.from = {*line};
  const auto way = measure.toward ? DirectionOf(*measure.toward, Side::left) : std::nullopt;
  const auto zero = DirectionOf(*line, Side::left);
  if (way && zero && std::abs(way->dot(*zero)) > 0.5) {
    walk.Error(walk.PlaceOf("toward"),
               fmt::format("{} must turn away from {} to one side; found {}", walk.What("toward"),
                           Quoted(*line), Quoted(*measure.toward)));
  }
}

void ReadMiddle(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope) {
  const TomlNode& value = *walk.Find("middle");
  const Bounds part{
      "a number greater than 0 and less than 1", Measured::plain, 0.0, true, 1.0, true};
  measure.fraction = walk.Number("fraction", part).value_or(0.5);
  if (value.kind == TomlKind::text && value.text == "face") {
    measure.across_face = true;
    if (Round(scope)) {
      walk.Error(value.at, fmt::format("{} cannot be \"face\": part {} is round and has no faces",
                                       walk.What("middle"), Quoted(PartOf(scope).name)));
    }
    return;
  }
  if (value.kind != TomlKind::list || value.items.size() != 2) {
    walk.Error(value.at,
               fmt::format("{} must be \"face\" or two datums [\"...\", \"...\"]; found {}",
                           walk.What("middle"), Shown(value)));
    return;
  }
  measure.from = walk.Names("middle");
  if (measure.from[0] == measure.from[1]) {
    walk.Error(value.items[1].at, fmt::format("{} must name two different datums; found {} twice",
                                              walk.What("middle"), Quoted(measure.from[0])));
    return;
  }
  std::array<DatumKind, 2> kinds{};
  for (std::size_t i = 0; i < 2; ++i) {
    if (measure.from[i].empty()) continue;
    const auto what = fmt::format("item {} of {}", i + 1, walk.What("middle"));
    const auto datum = FindDatum(measure.from[i], value.items[i].at, what, scope, walk.context());
    if (!datum.name.empty()) measure.from[i] = datum.name;
    kinds[i] = datum.kind;
  }
  const auto around = [](DatumKind kind) {
    return kind == DatumKind::edge || kind == DatumKind::line || kind == DatumKind::middle;
  };
  const bool mixed = (around(kinds[0]) && kinds[1] == DatumKind::end) ||
                     (around(kinds[1]) && kinds[0] == DatumKind::end);
  if (mixed) {
    walk.Error(value.at, fmt::format("{} has nothing half way: one of its datums is read along the "
                                     "part, the other around it",
                                     walk.What("middle")));
  }
}

void ReadInLine(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope) {
  const auto name = walk.Text("in_line", 60);
  if (!name) return;
  const auto datum =
      FindDatum(*name, walk.PlaceOf("in_line"), walk.What("in_line"), scope, walk.context());
  measure.from = {datum.name.empty() ? *name : datum.name};
  const bool line = datum.kind == DatumKind::edge || datum.kind == DatumKind::line ||
                    datum.kind == DatumKind::middle;
  if (!line) return;
  walk.Error(walk.PlaceOf("in_line"),
             fmt::format("{} must be an end, a fitting or an earlier point; "
                         "found {}",
                         walk.What("in_line"), Quoted(*name)));
}

void ReadLine(TableWalk& walk, MeasureRow& measure, const MeasureScope& scope) {
  const auto name = walk.Text("line", 60);
  if (!name) return;
  measure.line = *name;
  if (!Flat(scope) && !Known(scope)) return;
  if (Flat(scope)) {
    if (*name == "middle") return;
    walk.Error(walk.PlaceOf("line"),
               fmt::format("{} must be \"middle\", the middle of the face by "
                           "eye: part {} is not round; found {}",
                           walk.What("line"), Quoted(PartOf(scope).name), Quoted(*name)));
    return;
  }
  const auto& words = SourceOf(scope).words;
  const auto line = words.Line(*name);
  if (line) {
    measure.line = *line;
    return;
  }
  walk.Error(walk.PlaceOf("line"),
             fmt::format("{} must be {}, the lines of part {}; found {}{}", walk.What("line"),
                         OneOf(words.lines), Quoted(PartOf(scope).name), Quoted(*name),
                         Meant(*name, words.lines)));
}

void ReadByMethod(TableWalk& walk, const std::string& key, MeasureRow& measure,
                  const MeasureScope& scope) {
  if (key == "tape" || key == "rule" || key == "square") {
    measure.method = key == "tape" ? Method::tape : (key == "rule" ? Method::rule : Method::square);
    ReadDistance(walk, key, measure, scope);
  } else if (key == "protractor") {
    measure.method = Method::protractor;
    ReadProtractor(walk, measure, scope);
  } else if (key == "middle") {
    measure.method = Method::middle;
    ReadMiddle(walk, measure, scope);
  } else if (key == "in_line") {
    measure.method = Method::in_line;
    ReadInLine(walk, measure, scope);
  } else {
    measure.method = Method::line;
    ReadLine(walk, measure, scope);
  }
}

}  // namespace

MeasureRow ReadMeasure(TableWalk walk, const MeasureScope& scope) {
  MeasureRow measure;
  measure.at = walk.node().at;
  std::vector<std::string> given;
  for (const auto& key : MethodWords()) {
    if (walk.Has(key)) given.push_back(key);
  }
  if (given.empty()) {
    std::string meant;
    for (const auto& entry : walk.node().entries) {
      if (meant.empty()) meant = Meant(entry.key, MethodWords());
    }
    walk.Error(measure.at, fmt::format("{} has no method; give {}{}", walk.where(),
                                       OneOf(MethodWords()), meant));
    return measure;
  }
  if (given.size() > 1) {
    walk.Error(measure.at, fmt::format("{} has {} methods ({}); give one", walk.where(),
                                       given.size(), Listed(given)));
    return measure;
  }
  walk.Find(given.front());
  ReadByMethod(walk, given.front(), measure, scope);
  walk.Finish();
  return measure;
}

}  // namespace holeward
