// Reads [[point]].
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reading.h"
#include "models/solid_file.h"

namespace holeward {
namespace {

const char* UseWord(PointUse use) {
  switch (use) {
    case PointUse::reference: return "reference";
    case PointUse::test: return "test";
    case PointUse::drill: return "drill";
  }
  return "reference";
}

std::optional<PointUse> ReadUse(TableWalk& walk) {
  const auto word = walk.Choice("use", {"reference", "test", "drill"}, Need::required);
  if (word == "reference") return PointUse::reference;
  if (word == "test") return PointUse::test;
  if (word == "drill") return PointUse::drill;
  return std::nullopt;
}

void ReadFace(TableWalk& walk, PointRow& point, const JobReadingState& state,
              std::optional<std::size_t> part) {
  if (part && state.sources[*part].shape_known) {
    const PartWords& words = state.sources[*part].words;
    if (words.section == SectionKind::round) {
      walk.Refuse("face", fmt::format("{} is for parts with flats; part {} is round",
                                      walk.What("face"), Quoted(point.part)));
      return;
    }
    walk.CallMissing("face", fmt::format("\"face\" ({})", OneOf(words.faces)));
    const auto face = walk.Text("face", 60, Need::required);
    if (!face) return;
    point.face = words.Face(*face);
    if (point.face) return;
    walk.Error(walk.PlaceOf("face"),
               fmt::format("{} must be {}, the faces of part {}; found {}{}", walk.What("face"),
                           OneOf(words.faces), Quoted(point.part), Quoted(*face),
                           Meant(*face, words.faces)));
    return;
  }
  (void)walk.Text("face", 60);
}

void CheckStages(TableWalk& walk, const PointRow& point, const JobReadingState& state,
                 std::optional<std::size_t> part) {
  const auto& drill = point.drill;
  const TomlNode& list = *walk.Find("drill");
  for (std::size_t i = 1; i < drill.size(); ++i) {
    if (drill[i] > drill[i - 1]) continue;
    walk.Error(list.items[i].at,
               fmt::format("the stages of {} must grow, pilot first; found {} "
                           "after {}",
                           walk.What("drill"), Shown(list.items[i]), Shown(list.items[i - 1])));
  }
  const bool known = part && state.sources[*part].shape_known;
  if (known && drill.back() >= state.sources[*part].widest) {
    walk.Error(
        list.items.back().at,
        fmt::format("the last stage of {} must be less than part {} is wide ({:.6g}); found {}",
                    walk.What("drill"), Quoted(point.part),
                    state.sources[*part].widest / state.context.unit_mm, Shown(list.items.back())));
  }
  const auto& projection = state.job.drill.projection;
  if (projection.size() > 1 && projection.size() != drill.size()) {
    walk.Error(list.at,
               fmt::format("{} has {} stages, but \"projection\" in [tool.drill] gives {}; "
                           "give one for all, or one a stage",
                           walk.What("drill"), drill.size(), projection.size()));
  }
}

void CheckStop(TableWalk& walk, const PointRow& point, const JobReadingState& state) {
  const auto& depth = point.stop.depth;
  const auto& projection = state.job.drill.projection;
  const TomlNode& value = *walk.Find("stop");
  if (depth.size() > 1 && depth.size() != point.drill.size()) {
    walk.Error(value.at,
               fmt::format("{} must be one number or one for each of the {} stages; found {}",
                           walk.What("stop"), point.drill.size(), depth.size()));
    return;
  }
  for (std::size_t i = 0; i < depth.size(); ++i) {
    const double most = depth.size() == 1 ? *std::min_element(projection.begin(), projection.end())
                                          : projection[std::min(i, projection.size() - 1)];
    if (depth[i] <= most) continue;
    const TomlNode& shown = value.kind == TomlKind::list ? value.items[i] : value;
    walk.Error(shown.at,
               fmt::format("{} must not be more than the drill shows from its chuck ({:.6g}); "
                           "found {}",
                           walk.What("stop"), most / state.context.unit_mm, Shown(shown)));
  }
}

void ReadStop(TableWalk& walk, PointRow& point, const JobReadingState& state) {
  const TomlNode* value = walk.Find("stop");
  if (!value) return;
  if (value->kind == TomlKind::text) {
    if (value->text == "none") {
      point.stop.kind = StopRow::Kind::none;
    } else {
      walk.Error(value->at, fmt::format("{} must be a depth, a list of one a stage, or \"none\"; "
                                        "found {}",
                                        walk.What("stop"), Shown(*value)));
    }
    return;
  }
  const bool fits = value->IsNumber() || value->kind == TomlKind::list;
  if (!fits) {
    walk.Error(value->at,
               fmt::format("{} must be a depth, a list of one a stage, or \"none\"; found "
                           "{}",
                           walk.What("stop"), Shown(*value)));
    return;
  }
  point.stop.kind = StopRow::Kind::given;
  point.stop.depth = walk.Numbers("stop", SizeBounds(), true);
  const std::size_t given = value->kind == TomlKind::list ? value->items.size() : 1;
  if (point.stop.depth.size() == given && given > 0 && !point.drill.empty()) {
    CheckStop(walk, point, state);
  }
}

bool RefusedSide(TableWalk& walk, const TomlNode& value, const std::string& what) {
  const bool side = value.kind == TomlKind::text && (value.text == "left" || value.text == "right");
  if (side) walk.Error(value.at, LeftRightRefused(what, value.text));
  return side;
}

void ReadLean(TableWalk& walk, const TomlNode& table, AxisRow& axis) {
  TableWalk lean(table, walk.What("axis"), walk.context());
  axis.kind = AxisRow::Kind::lean;
  const TomlNode* toward = lean.Find("toward", Need::required);
  if (toward && !RefusedSide(walk, *toward, lean.What("toward"))) {
    axis.direction =
        ReadChoice(*toward, lean.What("toward"), DirectionWords(), walk.context()).value_or("");
  }
  const Bounds angle{
      "an angle greater than 0 and less than 90 degrees", Measured::degrees, 0.0, true, 90.0, true};
  axis.lean_rad = lean.Number("lean", angle, Need::required).value_or(0.0);
  lean.Finish();
}

void ReadAxis(TableWalk& walk, AxisRow& axis) {
  const TomlNode* value = walk.Find("axis");
  if (!value || RefusedSide(walk, *value, walk.What("axis"))) return;
  if (value->kind == TomlKind::table) {
    ReadLean(walk, *value, axis);
    return;
  }
  std::vector<std::string> words{"normal"};
  words.insert(words.end(), DirectionWords().begin(), DirectionWords().end());
  const auto word =
      ReadChoice(*value, walk.What("axis"), words, walk.context(), "{ toward, lean }");
  if (!word || word == "normal") return;
  axis.kind = AxisRow::Kind::direction;
  axis.direction = *word;
}

void ReadDrillKeys(TableWalk& walk, PointRow& point, const JobReadingState& state,
                   std::optional<std::size_t> part) {
  point.drill = walk.Numbers("drill", SizeBounds(), false, Need::required);
  const TomlNode* list = walk.Find("drill");
  // Stages that could not be read would shift the ones behind them.
  if (list && list->items.size() != point.drill.size()) point.drill.clear();
  if (!point.drill.empty()) CheckStages(walk, point, state, part);
  ReadStop(walk, point, state);
  ReadAxis(walk, point.axis);
  point.during = walk.Choice("during", {"access", "drain", "nothing"}).value_or("nothing");
  point.after = walk.Choice("after", {"plug", "sealant", "drain"}).value_or("");
}

void ReadUseKeys(TableWalk& walk, PointRow& point, const JobReadingState& state,
                 std::optional<std::size_t> part, std::optional<PointUse> use) {
  static const std::vector<std::string> kDrillKeys{"drill", "stop", "axis", "during", "after"};
  if (!use) {
    walk.Accept(kDrillKeys);
  } else if (*use == PointUse::drill) {
    ReadDrillKeys(walk, point, state, part);
  } else {
    for (const auto& key : kDrillKeys) {
      walk.Refuse(key, fmt::format("{} is for drill points only; this is a {} point",
                                   walk.What(key), UseWord(*use)));
    }
  }
}

// Two readings that both run round the part, or both only follow the other, leave it free.
void CheckRule(TableWalk& walk, const PointRow& point) {
  const auto around = [](const MeasureRow& m) {
    return m.method == Method::line || m.method == Method::protractor ||
           (m.method == Method::middle && m.across_face);
  };
  if (around(point.rule[0]) && around(point.rule[1])) {
    walk.Error(point.rule_at, fmt::format("the two measures of {} both read around the part; one "
                                          "must read along it",
                                          walk.where()));
  }
  const bool in_line =
      point.rule[0].method == Method::in_line && point.rule[1].method == Method::in_line;
  if (in_line) {
    walk.Error(point.rule_at, fmt::format("the two measures of {} are both in_line; one must say "
                                          "where along or around the part",
                                          walk.where()));
  }
}

}  // namespace

void ReadRule(TableWalk& walk, PointRow& point, const MeasureScope& scope) {
  const TomlNode* rule = walk.Find("rule", Need::required);
  if (!rule) return;
  point.rule_at = rule->at;
  if (rule->kind != TomlKind::list || rule->items.size() != 2) {
    walk.Error(rule->at, fmt::format("{} must be a list of exactly two measures; found {}",
                                     walk.What("rule"), Shown(*rule)));
    return;
  }
  TableWalk probe(walk.node(), walk.where(), walk.context());
  for (std::size_t i = 0; i < 2; ++i) {
    const TomlNode& measure = rule->items[i];
    const auto where = fmt::format("measure {} of {}", i + 1, walk.where());
    if (measure.kind == TomlKind::table) {
      point.rule[i] = ReadMeasure(TableWalk(measure, where, walk.context()), scope);
    } else {
      walk.Error(measure.at, fmt::format("{} must be a table such as {{ tape = 60, from = \"...\", "
                                         "toward = \"rear\" }}; found {}",
                                         where, Shown(measure)));
    }
  }
  if (probe.Sound()) CheckRule(walk, point);
}

namespace {

// Ends and fittings of a part take their names before its points do.
std::vector<NameBook> DatumNames(JobReadingState& state) {
  std::vector<NameBook> books(state.job.parts.size());
  const TomlNode* parts = state.root->Find("part");
  for (std::size_t i = 0; i < books.size(); ++i) {
    const PartRow& part = state.job.parts[i];
    const TomlNode* node = parts ? parts->Find(part.name) : nullptr;
    if (!node) continue;
    const auto of = fmt::format(" of part {}", Quoted(part.name));
    state.sources[i].names_known = !part.start.empty() && !part.finish.empty();
    books[i].Claim(part.start, "an end" + of, node->PlaceOf("start"), state.context);
    if (part.finish != part.start) {
      books[i].Claim(part.finish, "an end" + of, node->PlaceOf("finish"), state.context);
    }
    const TomlNode* fittings = node->Find("fitting");
    std::size_t next = 0;
    for (const auto& fitting : part.fittings) {
      const std::size_t count = fittings ? fittings->items.size() : 0;
      while (next < count && fittings->items[next].kind != TomlKind::table) ++next;
      // Holes found in the part's body stand after those of the file.
      const Location at = next < count ? fittings->items[next].PlaceOf("name") : part.at;
      ++next;
      if (fitting.name.empty()) state.sources[i].names_known = false;
      if (fitting.name.empty()) continue;
      books[i].Claim(fitting.name, "a fitting" + of, at, state.context);
      CheckReserved(fitting.name, at, state.context);
    }
    for (const DatumRow& datum : DatumsOf(part)) {
      books[i].Claim(datum.place.name, "a datum" + of, datum.at, state.context);
      CheckReserved(datum.place.name, datum.at, state.context);
    }
  }
  return books;
}

}  // namespace

void ReadPoints(TableWalk& root, JobReadingState& state) {
  std::vector<NameBook> datum_names = DatumNames(state);
  ReadFittingRules(state);
  NameBook names;
  const auto tables = root.Tables("point");
  state.point_nodes = tables;
  for (std::size_t i = 0; i < tables.size(); ++i) {
    TableWalk walk(*tables[i], ItemName(*tables[i], "point", i, ""), state.context);
    PointRow point;
    point.at = tables[i]->at;
    point.name = walk.Name("name").value_or("");
    const auto use = ReadUse(walk);
    point.use = use.value_or(PointUse::reference);
    const auto part = ReadPartName(walk, state, point.part);
    const Location name_at = walk.PlaceOf("name");
    CheckReserved(point.name, name_at, state.context);
    if (names.Claim(point.name, "a point", name_at, state.context) && part) {
      datum_names[*part].Claim(point.name, "a point", name_at, state.context);
    }
    ReadFace(walk, point, state, part);
    point.only = ReadOnly(walk);
    ReadRule(walk, point, {&state, part, point.face, point.name, point.only});
    ReadUseKeys(walk, point, state, part, use);
    walk.Finish();
    state.job.points.push_back(std::move(point));
  }
}

}  // namespace holeward
