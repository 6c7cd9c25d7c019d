// Finds what a name refers to among the datums of a part, and says what is there if it is nothing.
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reading.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

bool IsEdgeName(std::string_view name) { return name.ends_with(" edge"); }

std::vector<std::string> Offered(const MeasureScope& scope) {
  const PartRow& part = scope.state->job.parts[*scope.part];
  const PartWords& words = scope.state->sources[*scope.part].words;
  std::vector<std::string> names{part.start, part.finish};
  for (const auto& fitting : part.fittings) names.push_back(fitting.name);
  for (const DatumRow& datum : DatumsOf(part)) names.push_back(datum.place.name);
  if (words.section == SectionKind::round) {
    names.insert(names.end(), words.lines.begin(), words.lines.end());
  } else {
    if (scope.face) {
      const auto edges = words.EdgesOf(*scope.face);
      names.insert(names.end(), edges.begin(), edges.end());
    }
    names.emplace_back("middle");
  }
  for (const auto& point : scope.state->job.points) {
    if (point.part == part.name) names.push_back(point.name);
  }
  std::erase(names, std::string());
  // A name given twice is told where it is given.
  std::vector<std::string> once;
  for (const auto& name : names) {
    if (std::find(once.begin(), once.end(), name) == once.end()) once.push_back(name);
  }
  return once;
}

// What is wrong with a name that is a point, but not an earlier one of this part.
std::string WhyNotThatPoint(const std::string& name, const std::string& what,
                            const MeasureScope& scope) {
  if (name == scope.point)
    return fmt::format("{} is the point itself; a point starts from an earlier one", what);
  for (const TomlNode* node : scope.state->point_nodes) {
    const TomlNode* its_name = node->Find("name");
    if (!its_name || its_name->text != name) continue;
    const TomlNode* its_part = node->Find("part");
    const auto part = its_part ? its_part->text : std::string();
    const auto& own = scope.state->job.parts[*scope.part].name;
    if (part != own) {
      return fmt::format(
          "{} is point {} of part {}; a point starts from an earlier point of its own "
          "part {}",
          what, Quoted(name), Quoted(part), Quoted(own));
    }
    return fmt::format(
        "{} is point {}, which comes later in the file (line {}); a point starts from "
        "an earlier one",
        what, Quoted(name), node->at.line);
  }
  return {};
}

// A point whose part is missing or wrong may well be the one meant; its own error is told.
bool PartOfPointUnknown(const std::string& name, const MeasureScope& scope) {
  return std::any_of(scope.state->point_nodes.begin(), scope.state->point_nodes.end(),
                     [&](const TomlNode* node) {
                       const TomlNode* its_name = node->Find("name");
                       const TomlNode* part = node->Find("part");
                       return its_name && its_name->text == name && name != scope.point &&
                              !(part && scope.state->Part(part->text));
                     });
}

std::string WhyNoDatum(const std::string& name, const std::string& what,
                       const MeasureScope& scope) {
  if (const auto why = WhyNotThatPoint(name, what, scope); !why.empty()) return why;
  const PartRow& part = scope.state->job.parts[*scope.part];
  const PartWords& words = scope.state->sources[*scope.part].words;
  const auto offered = Offered(scope);
  const auto meant = Meant(name, offered);
  if (IsEdgeName(name) && scope.face) {
    const auto edges = words.EdgesOf(*scope.face);
    return fmt::format(
        "{} must be an edge of the {} of part {}, which has {}; found {}", what,
        *scope.face == "top" || *scope.face == "underside" ? *scope.face : *scope.face + " face",
        Quoted(part.name), edges.empty() ? "none" : OneOf(edges), Quoted(name));
  }
  return fmt::format("{} must be a datum of part {}; found {}{} Datums: {}", what,
                     Quoted(part.name), Quoted(name), meant.empty() ? "." : meant, Listed(offered));
}

// A datum that is there on one side only cannot place a point on both.
void CheckOnly(const std::optional<Side>& datum, const std::string& name, Location at,
               const std::string& what, const MeasureScope& scope, WalkContext& context) {
  if (!datum || scope.only == datum) return;
  const char* side = *datum == Side::left ? "left" : "right";
  context.Add(at, fmt::format("{} is {}, which is on the {} side only; the point must be limited "
                              "with only = \"{}\" too",
                              what, Quoted(name), side, side));
}

// A place of the skin is read from as a fitting's centre is.
DatumKind KindOf(NamedPlace::Form form) {
  switch (form) {
    case NamedPlace::Form::section: return DatumKind::end;
    case NamedPlace::Form::line: return DatumKind::line;
    case NamedPlace::Form::place: break;
  }
  return DatumKind::fitting;
}

std::optional<FoundDatum> FindOnPart(const std::string& name, const MeasureScope& scope) {
  const PartRow& part = scope.state->job.parts[*scope.part];
  const PartSource& source = scope.state->sources[*scope.part];
  if (name == part.start || name == part.finish) return FoundDatum{DatumKind::end, name, nullptr};
  for (const auto& fitting : part.fittings) {
    if (fitting.name == name) return FoundDatum{DatumKind::fitting, name, &fitting};
  }
  for (const DatumRow& datum : DatumsOf(part)) {
    if (datum.place.name == name) return FoundDatum{KindOf(datum.place.form), name, nullptr};
  }
  if (!source.shape_known) return std::nullopt;
  if (source.words.section == SectionKind::round) {
    if (const auto line = source.words.Line(name))
      return FoundDatum{DatumKind::line, *line, nullptr};
    return std::nullopt;
  }
  if (name == "middle") return FoundDatum{DatumKind::middle, name, nullptr};
  if (scope.face && source.words.Edge(*scope.face, name)) {
    return FoundDatum{DatumKind::edge, name, nullptr};
  }
  return std::nullopt;
}

}  // namespace

FoundDatum FindDatum(const std::string& name, Location at, const std::string& what,
                     const MeasureScope& scope, WalkContext& context) {
  if (!scope.part) return {};
  if (const auto found = FindOnPart(name, scope)) {
    if (found->fitting) CheckOnly(found->fitting->only, name, at, what, scope, context);
    return *found;
  }
  const auto& points = scope.state->job.points;
  const auto point = std::find_if(points.begin(), points.end(), [&](const PointRow& earlier) {
    return earlier.name == name && earlier.part == scope.state->job.parts[*scope.part].name;
  });
  if (point != points.end()) {
    CheckOnly(point->only, name, at, what, scope, context);
    return {DatumKind::point, name, nullptr};
  }
  if (PartOfPointUnknown(name, scope)) return {};
  const PartSource& source = scope.state->sources[*scope.part];
  const bool round = source.words.section == SectionKind::round;
  // What an unsound part or a wrong face would offer is not known; the cause is told already.
  const bool sure =
      source.shape_known && source.names_known && (round || scope.face || !IsEdgeName(name));
  if (sure || !WhyNotThatPoint(name, what, scope).empty()) {
    context.Add(at, WhyNoDatum(name, what, scope));
  }
  return {};
}

}  // namespace holeward
