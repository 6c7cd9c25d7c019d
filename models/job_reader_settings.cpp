// Reads [set], [vehicle], [limits], [marking] and [tool].
#include <algorithm>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

constexpr std::size_t kLongestLine = 200;
constexpr std::size_t kLongestNumber = 60;

Side SideOf(const std::string& word) { return word == "right" ? Side::right : Side::left; }

void ReadSet(TableWalk walk, Job& job) {
  job.set_number = walk.Text("number", kLongestNumber).value_or("");
  job.set_revision = walk.Text("revision", kLongestNumber).value_or("");
  walk.Finish();
}

void ReadSides(TableWalk& walk, Job& job) {
  const TomlNode* list = walk.Find("sides");
  if (!list) return;
  if (list->kind != TomlKind::list || list->items.empty() || list->items.size() > 2) {
    walk.Error(list->at, fmt::format("{} must be a list of left, right or both; found {}",
                                     walk.What("sides"), Shown(*list)));
    return;
  }
  job.sides.clear();
  for (std::size_t i = 0; i < list->items.size(); ++i) {
    const auto what = fmt::format("item {} of {}", i + 1, walk.What("sides"));
    const auto word = ReadChoice(list->items[i], what, {"left", "right"}, walk.context());
    if (!word) continue;
    const bool twice =
        std::find(job.sides.begin(), job.sides.end(), SideOf(*word)) != job.sides.end();
    if (twice)
      walk.Error(list->items[i].at, fmt::format("{} names {} twice", walk.What("sides"), *word));
    if (!twice) job.sides.push_back(SideOf(*word));
  }
  // Which side the coordinates are of would be a guess.
  const bool only_right = job.sides == std::vector<Side>{Side::right};
  if (only_right && !walk.Has("described_side")) {
    walk.Error(list->at, fmt::format("{} names only right, but \"described_side\" is left out; say "
                                     "for which side the parts are described",
                                     walk.What("sides")));
  }
}

void ReadVehicle(TableWalk walk, Job& job) {
  const auto described = walk.Choice("described_side", {"left", "right"});
  if (described) job.described_side = SideOf(*described);
  ReadSides(walk, job);
  if (const auto axle = walk.Choice("axle", {"front", "rear"})) {
    job.axle = *axle == "front" ? Axle::front : Axle::rear;
  }
  job.posture = walk.Text("posture", kLongestLine).value_or("");
  walk.Finish();
}

void ReadLimits(TableWalk walk, Limits& limits) {
  limits.clearance = walk.Number("clearance", LengthBounds()).value_or(limits.clearance);
  limits.side = walk.Number("side", LengthBounds()).value_or(limits.side);
  limits.edge_distance = walk.Number("edge_distance", CountBounds()).value_or(limits.edge_distance);
  limits.spacing = walk.Number("spacing", CountBounds()).value_or(limits.spacing);
  limits.seat_gap = walk.Number("seat_gap", LengthBounds()).value_or(limits.seat_gap);
  limits.through = walk.Number("through", LengthBounds()).value_or(limits.through);
  limits.wrap_error = walk.Number("wrap_error", LengthBounds()).value_or(limits.wrap_error);
  walk.Finish();
}

// An even or lopsided error; notes it (or its half) if it is set to 0.
void ReadError(TableWalk& walk, const std::string& key, const Bounds& bounds, HalfWidth& error,
               std::vector<std::string>& zeroed) {
  const TomlNode* value = walk.Find(key);
  if (!value) return;
  if (value->kind != TomlKind::table) {
    const auto words = fmt::format("{} or {{ minus, plus }}", bounds.words);
    Bounds either = bounds;
    either.words = words.c_str();
    const auto half = ReadNumber(*value, walk.What(key), either, walk.context());
    if (half) error = HalfWidth::Even(*half);
    if (half && *half == 0.0) zeroed.push_back(key);
    return;
  }
  TableWalk pair(*value, walk.What(key), walk.context());
  const auto minus = pair.Number("minus", bounds, Need::required);
  const auto plus = pair.Number("plus", bounds, Need::required);
  pair.Finish();
  if (!minus || !plus) return;
  error = {*minus, *plus};
  if (*minus == 0.0 && *plus == 0.0) {
    zeroed.push_back(key);
  } else if (*minus == 0.0 || *plus == 0.0) {
    zeroed.push_back(key + (*minus == 0.0 ? ".minus" : ".plus"));
  }
}

void ReadDistributions(TableWalk walk, ErrorDistributions& distributions) {
  const auto known = {Distribution::rectangular, Distribution::triangular, Distribution::normal};
  std::vector<std::string> words;
  for (const Distribution one : known) words.emplace_back(Word(one));
  for (const DistributionKey& key : kDistributionKeys) {
    const auto word = walk.Choice(key.key, words);
    for (const Distribution one : known) {
      if (word == Word(one)) distributions.*key.of = one;
    }
  }
  walk.Finish();
}

void ReadMarking(TableWalk walk, Job& job) {
  Marking& m = job.marking;
  auto& zeroed = job.zeroed_errors;
  const Bounds angle{"an angle from 0 to 45 degrees", Measured::degrees, 0.0, false, 45.0, false};
  const Bounds length = LengthBounds();
  ReadError(walk, "tape", length, m.tape, zeroed);
  ReadError(walk, "rule", length, m.rule, zeroed);
  ReadError(walk, "square", length, m.square, zeroed);
  ReadError(walk, "protractor", angle, m.protractor_rad, zeroed);
  ReadError(walk, "line", length, m.line, zeroed);
  ReadError(walk, "middle", length, m.middle, zeroed);
  ReadError(walk, "in_line", length, m.in_line, zeroed);
  ReadError(walk, "punch", length, m.punch, zeroed);
  ReadError(walk, "template", length, m.sheet, zeroed);
  ReadError(walk, "tilt", angle, m.tilt_rad, zeroed);
  ReadError(walk, "depth", length, m.depth, zeroed);
  if (const auto run_on = walk.Number("run_on", length)) {
    m.run_on = *run_on;
    if (*run_on == 0.0) zeroed.emplace_back("run_on");
  }
  ReadError(walk, "wall", length, m.wall, zeroed);
  ReadError(walk, "outline", length, m.outline, zeroed);
  ReadError(walk, "inner_body", length, m.inner_body, zeroed);
  if (const auto* distribution = walk.Table("distribution")) {
    ReadDistributions(TableWalk(*distribution, "[marking.distribution]", walk.context()),
                      m.distribution);
  }
  walk.Finish();
}

void ReadBody(TableWalk& walk, const std::string& key, ToolBody& body) {
  const TomlNode* table = walk.Table(key);
  if (!table) return;
  TableWalk sizes(*table, walk.What(key), walk.context());
  body.diameter = sizes.Number("diameter", SizeBounds(), Need::required).value_or(body.diameter);
  body.length = sizes.Number("length", SizeBounds(), Need::required).value_or(body.length);
  sizes.Finish();
}

void ReadTestTool(TableWalk walk, TestTool& test) {
  test.tip = walk.Number("tip", SizeBounds()).value_or(test.tip);
  test.foot = walk.Number("foot", SizeBounds()).value_or(test.foot);
  ReadBody(walk, "body", test.body);
  if (walk.Sound() && test.foot < test.tip) {
    walk.Error(walk.PlaceOf(walk.Has("foot") ? "foot" : "tip"),
               fmt::format("\"foot\" in {} must not be smaller than \"tip\"", walk.where()));
  }
  walk.Finish();
}

void ReadSteps(TableWalk& walk, DrillTool& drill) {
  const TomlNode* list = walk.Find("steps", Need::required);
  if (!list) return;
  if (list->kind != TomlKind::list || list->items.empty()) {
    walk.Error(list->at, fmt::format("{} must be a list of steps [diameter, length] from the tip; "
                                     "found {}",
                                     walk.What("steps"), Shown(*list)));
    return;
  }
  for (std::size_t i = 0; i < list->items.size(); ++i) {
    const TomlNode& step = list->items[i];
    const auto what = fmt::format("step {} of {}", i + 1, walk.where());
    if (step.kind != TomlKind::list || step.items.size() != 2) {
      walk.Error(step.at,
                 fmt::format("{} must be [diameter, length]; found {}", what, Shown(step)));
      continue;
    }
    const auto d =
        ReadNumber(step.items[0], "the diameter of " + what, SizeBounds(), walk.context());
    const auto l = ReadNumber(step.items[1], "the length of " + what, SizeBounds(), walk.context());
    if (!d || !l) continue;
    if (!drill.steps.empty() && *d <= drill.steps.back().diameter) {
      walk.Error(step.at, fmt::format("{} must be thicker than the step before it", what));
    }
    drill.steps.push_back({*d, *l});
  }
}

void ReadDrillTool(TableWalk walk, DrillTool& drill) {
  const Bounds point{
      "an angle from 60 to 180 degrees", Measured::degrees, 60.0, false, 180.0, false};
  drill.point_angle_rad = walk.Number("point_angle", point).value_or(drill.point_angle_rad);
  ReadBody(walk, "chuck", drill.chuck);
  const auto kind = walk.Choice("kind", {"twist", "step"});
  if (kind == "step") {
    drill.kind = DrillKind::step;
    ReadSteps(walk, drill);
  } else if (!kind && walk.Has("kind")) {
    walk.Find("steps");
  } else {
    walk.Refuse("steps", fmt::format("\"steps\" in {} is for kind = \"step\" only", walk.where()));
  }
  const auto projection = walk.Numbers("projection", SizeBounds(), true);
  if (!projection.empty()) drill.projection = projection;
  ReadBody(walk, "collar", drill.collar);
  walk.Finish();
}

void ReadTools(TableWalk walk, Job& job) {
  if (const auto* test = walk.Table("test")) {
    ReadTestTool(TableWalk(*test, "[tool.test]", walk.context()), job.test);
  }
  if (const auto* drill = walk.Table("drill")) {
    ReadDrillTool(TableWalk(*drill, "[tool.drill]", walk.context()), job.drill);
  }
  walk.Finish();
}

}  // namespace

void ReadSettings(TableWalk& root, JobReadingState& state) {
  Job& job = state.job;
  WalkContext& context = state.context;
  if (const auto* set = root.Table("set")) ReadSet(TableWalk(*set, "[set]", context), job);
  if (const auto* vehicle = root.Table("vehicle")) {
    ReadVehicle(TableWalk(*vehicle, "[vehicle]", context), job);
  }
  if (const auto* limits = root.Table("limits")) {
    ReadLimits(TableWalk(*limits, "[limits]", context), job.limits);
  }
  if (const auto* marking = root.Table("marking")) {
    ReadMarking(TableWalk(*marking, "[marking]", context), job);
  }
  if (const auto* tool = root.Table("tool")) ReadTools(TableWalk(*tool, "[tool]", context), job);
}

}  // namespace holeward
