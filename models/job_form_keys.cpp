#include "models/job_form_keys.h"

#include <algorithm>
#include <initializer_list>
#include <utility>

#include "models/toml_tree.h"

namespace holeward {
namespace {

using Names = std::vector<std::string>;

const Names kBasis = {"measured", "drawn", "assumed"};
const Names kSides = {"left", "right"};
const Names kPlace = {"x", "y", "z"};
const Names kEnds = {"start", "finish"};
const Names kWays = {"up", "down", "front", "rear", "inboard", "outboard"};
const Names kFaces = {"top", "bottom", "underside", "front", "rear", "inboard", "outboard"};

}  // namespace

std::vector<KeySpec> HeadKeys() {
  return {{"holeward", FieldKind::number, {}, "1, always"},
          {"title", FieldKind::words},
          {"units", FieldKind::choice, {"mm", "in"}, "mm"}};
}

std::vector<KeySpec> PartKeys() {
  return {{"section", FieldKind::choice, {"box", "round", "channel", "outline", "solid"}},
          {"shared", FieldKind::value, {"true", "false"}, "false"},
          {"wall", FieldKind::number},
          {"width", FieldKind::number},
          {"height", FieldKind::number},
          {"corner", FieldKind::value},
          {"diameter", FieldKind::number},
          {"from", FieldKind::list, {}, "", kPlace},
          {"to", FieldKind::list, {}, "", kPlace},
          {"start", FieldKind::words},
          {"finish", FieldKind::words},
          {"ends", FieldKind::list, {"open", "closed"}, "open", kEnds},
          {"between", FieldKind::choice, {"smooth", "straight"}, "smooth"},
          {"coating", FieldKind::number, {}, "0"},
          {"basis", FieldKind::choice, kBasis, "measured"},
          {"wall_basis", FieldKind::choice, kBasis, "as basis"},
          {"up", FieldKind::list, {}, "0, 0, 1", kPlace},
          {"lies", FieldKind::choice, {"across", "along", "upright"}, "by its run"},
          {"open", FieldKind::choice, kFaces, "channel only"},
          {"outline", FieldKind::rows, {}, "outline only: a corner a line, a, b"},
          {"file", FieldKind::words, {}, "solid only"},
          {"body", FieldKind::words, {}, "solid only: the only one"},
          {"size", FieldKind::list, {}, "solid only", kPlace},
          {"healing", FieldKind::value, {"true", "false"}, "solid only"}};
}

std::vector<KeySpec> FittingKeys() {
  return {{"name", FieldKind::words},
          {"kind", FieldKind::choice, {"eye", "stud", "bracket", "plate", "seam", "hole"}},
          {"station", FieldKind::number},
          {"face", FieldKind::choice, kFaces},
          {"aside", FieldKind::number, {}, "0"},
          {"diameter", FieldKind::number},
          {"length", FieldKind::number},
          {"axis", FieldKind::value, kWays, "or x, y, z"},
          {"size", FieldKind::list, {}, "", {"along", "around"}},
          {"height", FieldKind::number, {}, "not known"},
          {"weld", FieldKind::number, {}, "0"},
          {"basis", FieldKind::choice, kBasis, "measured"},
          {"only", FieldKind::choice, kSides, "both sides"}};
}

std::vector<KeySpec> InnerKeys() {
  return {{"name", FieldKind::words},
          {"kind", FieldKind::choice, {"bar", "sleeve"}, "bar"},
          {"body", FieldKind::words, {}, "in a solid: in place of the sizes"},
          {"diameter", FieldKind::number},
          {"bore", FieldKind::number},
          {"offset", FieldKind::list, {}, "0", kPlace},
          {"reach", FieldKind::list, {}, "the whole length", {"from", "to"}},
          {"path", FieldKind::rows, {}, "straight; bent: a place a line, x, y, z"},
          {"basis", FieldKind::choice, kBasis, "measured"}};
}

std::vector<KeySpec> LapKeys() {
  return {{"name", FieldKind::words},
          {"wall", FieldKind::number},
          {"reach", FieldKind::list, {}, "the whole length", {"from", "to"}},
          {"basis", FieldKind::choice, kBasis, "measured"}};
}

std::vector<KeySpec> SectionKeys() {
  return {{"centre", FieldKind::list, {}, "", kPlace},
          {"width", FieldKind::number, {}, "that of the part"},
          {"height", FieldKind::number, {}, "that of the part"},
          {"corner", FieldKind::value, {}, "that of the part"},
          {"diameter", FieldKind::number, {}, "that of the part"},
          {"outline", FieldKind::rows, {}, "outline only: a corner a line, a, b"}};
}

std::vector<KeySpec> DatumKeys() {
  return {{"name", FieldKind::words},
          {"point", FieldKind::list, {}, "on the skin", kPlace},
          {"plane", FieldKind::list, {}, "on a flat face", kPlace},
          {"edge", FieldKind::list, {}, "on an edge", kPlace},
          {"axis", FieldKind::list, {}, "on the axis of a cylinder", kPlace},
          {"body", FieldKind::words, {}, "of the file: the part itself"}};
}

std::vector<KeySpec> FaceKeys() {
  return {{"name", FieldKind::words}, {"at", FieldKind::list, {}, "on the flat", kPlace}};
}

std::vector<KeySpec> NeighbourKeys() {
  return {{"name", FieldKind::words},
          {"path", FieldKind::rows, {}, "a place a line: x, y, z"},
          {"diameter", FieldKind::number},
          {"basis", FieldKind::choice, kBasis, "measured"},
          {"only", FieldKind::choice, kSides, "both sides"}};
}

std::vector<KeySpec> TemplateKeys() {
  return {{"name", FieldKind::words},
          {"part", FieldKind::choice},
          {"points", FieldKind::list, {}, "every point of the part"},
          {"align", FieldKind::list, {}, "proposed"},
          {"backing", FieldKind::number, {}, "0"},
          {"paper", FieldKind::value, {"A4", "A3", "Letter", "Tabloid", "A4 or Letter"}, "A4"},
          {"gap", FieldKind::number, {}, "2 mm"},
          {"hold", FieldKind::choice, {"sticker", "strap", "magnet"}, "sticker"},
          {"strap", FieldKind::number, {}, "25 mm"},
          {"magnet", FieldKind::number, {}, "20 mm"}};
}

std::vector<KeySpec> VehicleKeys() {
  return {{"described_side", FieldKind::choice, kSides, "left"},
          {"sides", FieldKind::list, kSides, "left, right"},
          {"posture", FieldKind::words},
          {"axle", FieldKind::choice, {"front", "rear"}, "the whole side"}};
}

std::vector<KeySpec> LimitKeys() {
  return {{"clearance", FieldKind::number, {}, "5 mm"},
          {"side", FieldKind::number, {}, "1 mm"},
          {"edge_distance", FieldKind::number, {}, "2 diameters"},
          {"spacing", FieldKind::number, {}, "3 diameters"},
          {"seat_gap", FieldKind::number, {}, "0.3 mm"},
          {"through", FieldKind::number, {}, "1 mm"},
          {"wrap_error", FieldKind::number, {}, "0.5 mm"}};
}

std::vector<KeySpec> MarkingKeys() {
  std::vector<KeySpec> keys;
  for (const auto& [key, hint] :
       std::initializer_list<std::pair<const char*, const char*>>{{"tape", "1 mm"},
                                                                  {"rule", "0.5 mm"},
                                                                  {"square", "0.5 mm"},
                                                                  {"protractor", "2 degrees"},
                                                                  {"line", "2 mm"},
                                                                  {"middle", "1 mm"},
                                                                  {"in_line", "1 mm"},
                                                                  {"punch", "0.5 mm"},
                                                                  {"template", "1 mm"},
                                                                  {"tilt", "5 degrees"},
                                                                  {"depth", "0.5 mm"},
                                                                  {"run_on", "12 mm"},
                                                                  {"wall", "0.2 mm"},
                                                                  {"outline", "1 mm"},
                                                                  {"inner_body", "2 mm"}}) {
    keys.push_back({key, FieldKind::spread, {}, hint, {"both ways", "minus", "plus"}});
  }
  return keys;
}

std::vector<KeySpec> DistributionKeys() {
  std::vector<KeySpec> keys;
  for (const char* key : {"readings", "datum", "punch", "template", "tilt", "wall", "outline",
                          "inner_body", "depth", "run_on"}) {
    keys.push_back(
        {key, FieldKind::choice, {"rectangular", "triangular", "normal"}, "rectangular"});
  }
  return keys;
}

std::vector<KeySpec> TestToolKeys() {
  return {{"tip", FieldKind::number, {}, "3 mm"},
          {"foot", FieldKind::number, {}, "8 mm"},
          {"body.diameter", FieldKind::number, {}, "32 mm"},
          {"body.length", FieldKind::number, {}, "180 mm"}};
}

std::vector<KeySpec> DrillToolKeys() {
  return {{"point_angle", FieldKind::number, {}, "118 degrees"},
          {"chuck.diameter", FieldKind::number, {}, "42 mm"},
          {"chuck.length", FieldKind::number, {}, "220 mm"},
          {"kind", FieldKind::choice, {"twist", "step"}, "twist"},
          {"steps", FieldKind::rows, {}, "a step a line: diameter, length"},
          {"projection", FieldKind::value, {}, "60 mm"},
          {"collar.diameter", FieldKind::number, {}, "16 mm"},
          {"collar.length", FieldKind::number, {}, "10 mm"}};
}

const PartRow* PartOf(const Job& job, const std::string& name) {
  const auto part = std::find_if(job.parts.begin(), job.parts.end(),
                                 [&](const PartRow& p) { return p.name == name; });
  return part == job.parts.end() ? nullptr : &*part;
}

std::string ShownOf(std::string_view text, const TomlSpot* spot) {
  if (spot == nullptr) return "";
  const std::string raw(text.substr(spot->span.from, spot->span.to - spot->span.from));
  if (spot->kind != TomlSpot::Kind::value || raw.empty()) return raw;
  if (raw.front() != '"' && raw.front() != '\'') return raw;
  const auto tree = ParseToml("key = " + raw + "\n");
  const auto* node = std::get_if<TomlNode>(&tree);
  return node == nullptr ? raw : node->entries.front().value.text;
}

std::string RawOf(std::string_view text, const TomlSpot* spot) {
  if (spot == nullptr) return "";
  return std::string(text.substr(spot->span.from, spot->span.to - spot->span.from));
}

std::string KeyAt(const TomlPath& path, std::size_t i) {
  const auto* key = i < path.size() ? std::get_if<std::string>(&path[i]) : nullptr;
  return key == nullptr ? "" : *key;
}

}  // namespace holeward
