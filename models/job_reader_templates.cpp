// Reads [[template]].
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reading.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

const std::vector<std::string>& PaperWords() {
  static const std::vector<std::string> kWords{"A4 or Letter", "A4", "A3", "Letter", "Tabloid"};
  return kWords;
}

void ReadPaper(TableWalk& walk, Paper& paper) {
  const TomlNode* value = walk.Find("paper");
  if (!value) return;
  if (value->kind == TomlKind::table) {
    // Narrower than this no check bar of 150 mm and no margin fit on it.
    const Bounds width{
        "a width from 200 mm to 2000 mm", Measured::length, 200.0, false, 2000.0, false};
    TableWalk roll(*value, walk.What("paper"), walk.context());
    paper.name = "roll";
    paper.roll_width = roll.Number("roll", width, Need::required).value_or(0.0);
    roll.Finish();
    return;
  }
  const auto name =
      ReadChoice(*value, walk.What("paper"), PaperWords(), walk.context(), "{ roll = width }");
  if (name) paper.name = *name;
}

std::vector<std::string> PointsOf(const JobReadingState& state, const std::string& part) {
  std::vector<std::string> names;
  for (const auto& point : state.job.points) {
    if (point.part == part && !point.name.empty()) names.push_back(point.name);
  }
  return names;
}

void CheckPoint(TableWalk& walk, const JobReadingState& state, const TemplateRow& row,
                std::size_t i) {
  const auto& name = row.points[i];
  const Location at = walk.node().Find("points")->items[i].at;
  if (std::count(row.points.begin(), row.points.begin() + static_cast<std::ptrdiff_t>(i), name) >
      0) {
    walk.Error(at, fmt::format("{} names {} twice", walk.What("points"), Quoted(name)));
    return;
  }
  const auto own = PointsOf(state, row.part);
  if (std::find(own.begin(), own.end(), name) != own.end()) return;
  const auto& all = state.job.points;
  const auto other = std::find_if(all.begin(), all.end(),
                                  [&](const PointRow& point) { return point.name == name; });
  if (other != all.end()) {
    walk.Error(at, fmt::format("point {} in {} is on part {}, not on part {}", Quoted(name),
                               walk.What("points"), Quoted(other->part), Quoted(row.part)));
    return;
  }
  const auto meant = Meant(name, own);
  walk.Error(at, fmt::format("item {} of {} must be a point of part {}; found {}{} Points: {}",
                             i + 1, walk.What("points"), Quoted(row.part), Quoted(name),
                             meant.empty() ? "." : meant, Listed(own)));
}

void CheckPoints(TableWalk& walk, const JobReadingState& state, const TemplateRow& row) {
  for (std::size_t i = 0; i < row.points.size(); ++i) {
    if (!row.points[i].empty()) CheckPoint(walk, state, row, i);
  }
  if (!walk.Has("points") && PointsOf(state, row.part).empty()) {
    walk.Error(walk.node().at, fmt::format("{} has nothing to show: part {} has no point",
                                           walk.where(), Quoted(row.part)));
  }
}

// The faces that a template's points are on; the edges of these are what it can be aligned to.
std::vector<std::string> FacesOf(const JobReadingState& state, const TemplateRow& row) {
  std::vector<std::string> faces;
  for (const auto& point : state.job.points) {
    if (!row.Shows(point.part, point.name) || !point.face) continue;
    if (std::find(faces.begin(), faces.end(), *point.face) == faces.end())
      faces.push_back(*point.face);
  }
  return faces;
}

std::vector<std::string> AlignWords(const JobReadingState& state, const TemplateRow& row,
                                    std::size_t index) {
  const PartRow& part = state.job.parts[index];
  const PartWords& words = state.sources[index].words;
  std::vector<std::string> names{part.start, part.finish};
  for (const auto& fitting : part.fittings) names.push_back(fitting.name);
  for (const DatumRow& datum : DatumsOf(part)) {  // no sheet is laid by a place of a body's
    if (datum.place.form != NamedPlace::Form::place) names.push_back(datum.place.name);
  }
  names.insert(names.end(), words.lines.begin(), words.lines.end());
  for (const auto& face : FacesOf(state, row)) {
    for (const auto& edge : words.EdgesOf(face)) {
      if (std::find(names.begin(), names.end(), edge) == names.end()) names.push_back(edge);
    }
  }
  const auto points = PointsOf(state, row.part);
  names.insert(names.end(), points.begin(), points.end());
  std::erase(names, std::string());
  return names;
}

void CheckAlign(TableWalk& walk, const JobReadingState& state, TemplateRow& row,
                std::size_t index) {
  if (!state.sources[index].shape_known || !state.sources[index].names_known) return;
  const auto offered = AlignWords(state, row, index);
  for (std::size_t i = 0; i < row.align.size(); ++i) {
    auto& name = row.align[i];
    if (name.empty()) continue;
    if (const auto line = state.sources[index].words.Line(name)) name = *line;
    const Location at = walk.node().Find("align")->items[i].at;
    if (std::count(row.align.begin(), row.align.begin() + static_cast<std::ptrdiff_t>(i), name) >
        0) {
      walk.Error(at, fmt::format("{} names {} twice", walk.What("align"), Quoted(name)));
      continue;
    }
    if (std::find(offered.begin(), offered.end(), name) != offered.end()) continue;
    const auto meant = Meant(name, offered);
    walk.Error(at, fmt::format("item {} of {} must be a datum of part {}; found {}{} Datums: {}",
                               i + 1, walk.What("align"), Quoted(row.part), Quoted(name),
                               meant.empty() ? "." : meant, Listed(offered)));
  }
}

// What keeps the sheet on the part, and the size of what does.
void ReadHold(TableWalk& walk, TemplateRow& row) {
  const auto hold = walk.Choice("hold", {"sticker", "strap", "magnet"});
  if (hold == "strap") row.hold = Hold::strap;
  if (hold == "magnet") row.hold = Hold::magnet;
  const Bounds size{"a length from 5 mm to 60 mm", Measured::length, 5.0, false, 60.0, false};
  auto read = [&](const char* key, Hold of, double& value) {
    if (row.hold == of) {
      value = walk.Number(key, size).value_or(value);
    } else {
      walk.Refuse(key, fmt::format("{} has a sense only with hold = \"{}\"", walk.What(key), key));
    }
  };
  read("strap", Hold::strap, row.strap);
  read("magnet", Hold::magnet, row.magnet);
}

}  // namespace

void ReadTemplates(TableWalk& root, JobReadingState& state) {
  NameBook names;
  const auto tables = root.Tables("template");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], ItemName(*tables[i], "template", i, ""), state.context);
    TemplateRow row;
    row.at = tables[i]->at;
    row.name = walk.Name("name").value_or("");
    names.Claim(row.name, "a template", walk.PlaceOf("name"), state.context);
    const auto part = ReadPartName(walk, state, row.part);
    row.points = walk.Names("points");
    if (part) CheckPoints(walk, state, row);
    row.align = walk.Names("align");
    if (part) CheckAlign(walk, state, row, *part);
    row.backing = walk.Number("backing", LengthBounds()).value_or(0.0);
    row.gap = walk.Number("gap", LengthBounds()).value_or(row.gap);
    ReadHold(walk, row);
    ReadPaper(walk, row.paper);
    walk.Finish();
    state.job.templates.push_back(std::move(row));
  }
}

}  // namespace holeward
