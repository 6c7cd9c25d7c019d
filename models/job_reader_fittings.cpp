// Reads the fittings of a part.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

std::optional<FittingKind> KindOf(const std::optional<std::string>& word) {
  if (word == "eye") return FittingKind::eye;
  if (word == "stud") return FittingKind::stud;
  if (word == "bracket") return FittingKind::bracket;
  if (word == "plate") return FittingKind::plate;
  if (word == "seam") return FittingKind::seam;
  if (word == "hole") return FittingKind::hole;
  return std::nullopt;
}

// A direction word or [x, y, z], as a unit vector.
std::optional<Vec3> ReadEyeAxis(TableWalk& walk, Side described) {
  const TomlNode* value = walk.Find("axis");
  if (!value) return std::nullopt;
  if (value->kind == TomlKind::text) {
    if (value->text == "left" || value->text == "right") {
      walk.Error(value->at, LeftRightRefused(walk.What("axis"), value->text));
      return std::nullopt;
    }
    const auto word = ReadChoice(*value, walk.What("axis"), DirectionWords(), walk.context());
    return word ? DirectionOf(*word, described) : std::nullopt;
  }
  const auto axis = ReadPlace(*value, walk.What("axis"), walk.context());
  if (!axis) return std::nullopt;
  if (axis->norm() > 1e-6) return axis->normalized();
  walk.Error(value->at, fmt::format("{} must have a length", walk.What("axis")));
  return std::nullopt;
}

// The face (round: line) a fitting sits on, by its canonical name.
void ReadFace(TableWalk& walk, FittingRow& fitting, const PartSource& source) {
  const auto face = walk.Text("face", 60, Need::required);
  if (!face || !source.shape_known) return;
  fitting.face = source.words.FaceOrLine(*face);
  if (fitting.face) return;
  const bool round = source.words.section == SectionKind::round;
  const auto& offered = round ? source.words.lines : source.words.faces;
  walk.Error(
      walk.PlaceOf("face"),
      fmt::format("{} must be {}, the {} of this part; found {}{}", walk.What("face"),
                  OneOf(offered), round ? "lines" : "faces", Quoted(*face), Meant(*face, offered)));
}

void ReadSize(TableWalk& walk, FittingRow& fitting, const PartSource& source) {
  const TomlNode* value = walk.Find("size", Need::required);
  if (!value) return;
  if (value->kind != TomlKind::list || value->items.size() != 2) {
    walk.Error(value->at, fmt::format("{} must be [along, around], two lengths greater than 0; "
                                      "found {}",
                                      walk.What("size"), Shown(*value)));
    return;
  }
  static constexpr const char* kWay[] = {"along", "around"};
  const double most[] = {source.length, source.girth};
  for (int i = 0; i < 2; ++i) {
    const auto what = fmt::format("the size {} of {}", kWay[i], walk.where());
    fitting.size[i] = ReadNumber(value->items[i], what, SizeBounds(), walk.context()).value_or(0.0);
    if (!source.shape_known || fitting.size[i] <= most[i]) continue;
    walk.Error(value->items[i].at,
               fmt::format("{} is more than the part has ({:.6g}); found {}", what,
                           most[i] / walk.context().unit_mm, Shown(value->items[i])));
  }
}

// A stud's height may be called its length; both are off the skin.
void ReadStudHeight(TableWalk& walk, FittingRow& fitting) {
  const auto length = walk.Number("length", SizeBounds());
  const auto height = walk.Number("height", SizeBounds());
  if (length && height) {
    walk.Error(walk.PlaceOf("height"),
               fmt::format("\"length\" and \"height\" in {} are the same for "
                           "a stud; give one",
                           walk.where()));
  }
  fitting.height = length ? length : height;
  fitting.length = fitting.height.value_or(0.0);
}

// A fillet all round; what has none says why.
void ReadWeld(TableWalk& walk, FittingRow& fitting) {
  if (fitting.kind == FittingKind::eye) {
    walk.Refuse("weld", fmt::format("{} has no sense: an eye is measured by its centre; give its "
                                    "weld as a seam",
                                    walk.What("weld")));
  } else if (fitting.kind == FittingKind::seam) {
    walk.Refuse("weld", fmt::format("{} has no sense: the size of a seam is that of the weld "
                                    "itself, from toe to toe",
                                    walk.What("weld")));
  } else if (fitting.kind == FittingKind::hole) {
    walk.Refuse("weld", fmt::format("{} has no sense: a hole has no weld", walk.What("weld")));
  } else {
    fitting.weld = walk.Number("weld", LengthBounds()).value_or(0.0);
  }
}

void ReadByKind(TableWalk& walk, FittingRow& fitting, const PartSource& source, Side described) {
  if (fitting.kind == FittingKind::eye) {
    fitting.diameter = walk.Number("diameter", SizeBounds(), Need::required).value_or(0.0);
    fitting.length = walk.Number("length", SizeBounds(), Need::required).value_or(0.0);
    fitting.axis = ReadEyeAxis(walk, described);
    ReadWeld(walk, fitting);
    return;
  }
  ReadFace(walk, fitting, source);
  fitting.aside = walk.Number("aside", CoordinateBounds()).value_or(0.0);
  if (source.shape_known && 2.0 * std::abs(fitting.aside) > source.girth) {
    walk.Error(walk.PlaceOf("aside"),
               fmt::format("{} is more than half way round the part", walk.What("aside")));
  }
  if (fitting.kind == FittingKind::stud || fitting.kind == FittingKind::hole) {
    fitting.diameter = walk.Number("diameter", SizeBounds(), Need::required).value_or(0.0);
    if (source.shape_known && fitting.diameter >= source.widest) {
      walk.Error(walk.PlaceOf("diameter"),
                 fmt::format("{} must be less than the part is wide ({:.6g}); found {}",
                             walk.What("diameter"), source.widest / walk.context().unit_mm,
                             Shown(*walk.Find("diameter"))));
    }
    if (fitting.kind == FittingKind::stud) ReadStudHeight(walk, fitting);
    ReadWeld(walk, fitting);
    return;
  }
  ReadSize(walk, fitting, source);
  fitting.height = walk.Number("height", SizeBounds());
  ReadWeld(walk, fitting);
}

FittingRow ReadFitting(TableWalk walk, const PartSource& source, Side described) {
  FittingRow fitting;
  fitting.at = walk.node().at;
  fitting.name = walk.Name("name").value_or("");
  const auto kind = KindOf(
      walk.Choice("kind", {"eye", "stud", "bracket", "plate", "seam", "hole"}, Need::required));
  const bool by_rule = walk.Has("rule") && kind != FittingKind::eye;
  if (kind == FittingKind::eye) {
    walk.Refuse("rule", fmt::format("{} has no sense: an eye is measured by its centre; give its "
                                    "station",
                                    walk.What("rule")));
  } else {
    walk.Find("rule");
  }
  const auto station =
      walk.Number("station", LengthBounds(), by_rule ? Need::optional : Need::required);
  walk.CallMissing("station", "\"station\" or \"rule\"");
  if (by_rule) {
    for (const char* key : {"station", "aside"}) {
      walk.Refuse(key, fmt::format("{} cannot stand beside \"rule\", which places the fitting",
                                   walk.What(key)));
    }
  }
  fitting.station = station.value_or(0.0);
  if (station && source.shape_known && *station > source.length) {
    walk.Error(walk.PlaceOf("station"),
               fmt::format("{} lies beyond the part, which is about {:.6g} long; found {}",
                           walk.What("station"), source.length / walk.context().unit_mm,
                           Shown(*walk.Find("station"))));
  }
  if (kind) {
    fitting.kind = *kind;
    ReadByKind(walk, fitting, source, described);
  } else {
    walk.Accept({"rule", "face", "diameter", "length", "axis", "size", "height", "aside", "weld"});
  }
  fitting.basis = ReadBasis(walk, "basis", Basis::measured);
  fitting.only = ReadOnly(walk);
  walk.Finish();
  return fitting;
}

}  // namespace

void ReadFittings(TableWalk& walk, PartRow& part, const PartSource& source,
                  JobReadingState& state) {
  const auto tables = walk.Tables("fitting");
  for (std::size_t i = 0; i < tables.size(); ++i) {
    const auto where = ItemName(*tables[i], "fitting", i, walk.where());
    part.fittings.push_back(ReadFitting(TableWalk(*tables[i], where, walk.context()), source,
                                        state.job.described_side));
  }
}

void ReadFittingRules(JobReadingState& state) {
  const TomlNode* parts = state.root->Find("part");
  for (std::size_t i = 0; parts && i < state.job.parts.size(); ++i) {
    PartRow& part = state.job.parts[i];
    const TomlNode* node = parts->Find(part.name);
    const TomlNode* fittings = node ? node->Find("fitting") : nullptr;
    if (!fittings || fittings->kind != TomlKind::list) continue;
    std::size_t k = 0;
    for (const TomlNode& table : fittings->items) {
      if (table.kind != TomlKind::table || k >= part.fittings.size()) continue;
      FittingRow& fitting = part.fittings[k++];
      if (!table.Find("rule") || fitting.kind == FittingKind::eye) continue;
      TableWalk walk(table, ItemName(table, "fitting", k - 1, fmt::format("[part.{}]", part.name)),
                     state.context);
      PointRow point;
      ReadRule(walk, point, {&state, i, fitting.face, fitting.name, fitting.only});
      fitting.rule = point.rule;
      fitting.rule_at = point.rule_at;
    }
  }
}

}  // namespace holeward
