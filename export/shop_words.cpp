#include "export/shop_words.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "export/shop_own_steps.h"

namespace holeward {
namespace {

bool Drills(const ShopSide& side) {
  return std::any_of(side.points.begin(), side.points.end(),
                     [](const ShopPoint& p) { return p.Drilled(); });
}

std::vector<std::string> Named(const ShopSide& side, PointUse use) {
  std::vector<std::string> names;
  for (const ShopPoint& point : side.points) {
    if (point.use == use) names.push_back(point.name);
  }
  return names;
}

/// Names of the drilled points for which `is` holds.
template <class Is>
std::vector<std::string> Holes(const ShopSide& side, const Is& is) {
  std::vector<std::string> names;
  for (const ShopPoint& point : side.points) {
    if (point.Drilled() && is(point)) names.push_back(point.name);
  }
  return names;
}

std::string List(const std::vector<std::string>& names) {
  return fmt::format("{}", fmt::join(names, ", "));
}

// ---- Tools

const char* ToolOf(Method method) {
  switch (method) {
    case Method::tape:
    case Method::middle: return "thin measuring tape";
    case Method::square: return "try square";
    case Method::protractor: return "protractor for round parts";
    case Method::rule:
    case Method::in_line:
    case Method::line: break;
  }
  return nullptr;
}

std::string MeasuringTools(const ShopInput& input) {
  // The check bars and ties need the rule whatever the points are read with.
  std::vector<std::string> tools = {"Steel rule, 300 mm"};
  for (const Method method : input.methods) {
    const char* tool = ToolOf(method);
    if (tool == nullptr || std::count(tools.begin(), tools.end(), tool) > 0) continue;
    tools.emplace_back(tool);
  }
  return List(tools);
}

/// Every drill once, with what it drills at which stop.
void AddDrills(const ShopInput& input, const ShopSide& side, std::vector<ToolLine>* tools) {
  std::map<double, std::vector<std::string>> uses;
  for (const ShopPoint& point : side.points) {
    for (const ShopStage& stage : point.stages) {
      const auto& stop = stage.check.stop;
      uses[stage.check.diameter].push_back(
          stop ? fmt::format("{} stop {}", point.name, ShopLength(*stop, input.inches))
               : fmt::format("{} without stop", point.name));
    }
  }
  const char* kind = input.drill.kind == DrillKind::step ? "Step drill up to" : "Twist drill";
  for (const auto& [diameter, holes] : uses) {
    tools->push_back({fmt::format("{} {}", kind, ShopDiameter(diameter, input.inches)),
                      fmt::format("{}", fmt::join(holes, "; "))});
  }
  tools->push_back({fmt::format("Depth stop: collar {} x {}",
                                ShopDiameter(input.drill.collar.diameter, input.inches),
                                ShopLength(input.drill.collar.length, input.inches)),
                    "or a tube over the drill: see the setting gauge"});
}

void AddClosing(const ShopInput& input, const ShopSide& side, std::vector<ToolLine>* tools) {
  std::map<double, std::vector<std::string>> plugs;
  for (const ShopPoint& point : side.points) {
    if (point.Drilled() && point.after == "plug") {
      plugs[point.stages.back().check.diameter].push_back(point.name);
    }
  }
  for (const auto& [diameter, holes] : plugs) {
    tools->push_back(
        {fmt::format("{} x plug for {}", holes.size(), ShopDiameter(diameter, input.inches)),
         List(holes)});
  }
  const auto sealed = Holes(side, [](const ShopPoint& p) { return p.after == "sealant"; });
  if (!sealed.empty()) tools->push_back({"Sealant of the campaign", List(sealed)});
}

// ---- Steps

ShopStep MarkStep(const ShopInput& input, const ShopSide& side) {
  ShopStep step{"Mark", {}, {}, StandardStep::mark};
  if (!input.posture.empty()) {
    step.sentences.push_back(
        fmt::format("The words bottom, front and up hold for the vehicle as it must stand: {}.",
                    input.posture));
  }
  if (side.templates.empty()) {
    step.sentences.emplace_back(
        "Mark every point by its rule in the table of points, reference points first.");
    return step;
  }
  step.sentences.emplace_back(
      "Measure the check bars of each printed template both ways with the steel rule. Cut the "
      "template out, line it up with what the table names, and smooth it on with the printed face "
      "outward.");
  step.table.header = {"template", "part", "shows", "line it up with"};
  step.table.right = {false, false, false, false};
  for (const ShopTemplate& sheet : side.templates) {
    step.table.rows.push_back({sheet.name, sheet.part, List(sheet.points),
                               sheet.align.empty() ? "what is written on it" : List(sheet.align)});
  }
  std::vector<std::string> by_hand;
  for (const ShopPoint& point : side.points) {
    const bool shown =
        std::any_of(side.templates.begin(), side.templates.end(), [&](const ShopTemplate& sheet) {
          return std::count(sheet.points.begin(), sheet.points.end(), point.name) > 0;
        });
    if (!shown) by_hand.push_back(point.name);
  }
  if (!by_hand.empty()) {
    step.sentences.push_back(
        fmt::format("On no template, to be marked by the rule: {}.", List(by_hand)));
  }
  return step;
}

ShopStep TestStep(const ShopInput& input, const ShopSide& side) {
  ShopStep step{"Test", {}, {}, StandardStep::test};
  std::vector<std::string> sound;
  std::vector<std::string> others;
  for (const ShopPoint& point : side.points) {
    if (point.use != PointUse::test) continue;
    (point.Clear() ? sound : others).push_back(point.name);
  }
  if (!sound.empty()) {
    step.sentences.push_back(fmt::format(
        "Test {} with the tip of {}. Its foot of {} must sit flat, the body square to the skin. "
        "Write result and remaining thickness on the record sheet before going on.",
        List(sound), ShopDiameter(input.test.tip, input.inches),
        ShopDiameter(input.test.foot, input.inches)));
  }
  if (!others.empty()) {
    step.sentences.push_back(fmt::format("DO NOT TEST, not clear: {}.", List(others)));
  }
  if (Drills(side)) {
    step.sentences.emplace_back(
        "If a test fails, do not drill that part: the person responsible decides first.");
  }
  return step;
}

std::string NotClear(const ShopPoint& point) {
  return fmt::format("DO NOT DRILL: {}", Word(*point.verdict));
}

/// The holes of one kind of stage: the first of several, or the last.
FlowTable StageTable(const ShopInput& input, const ShopSide& side, bool pilot) {
  FlowTable table{{"hole", "part, face", "drill", "stop set to", "verdict"},
                  {false, false, false, false, false},
                  {}};
  for (const ShopPoint& point : side.points) {
    const std::size_t count = point.stages.size();
    const std::size_t from = pilot || count < 2 ? 0 : 1;
    const std::size_t to = pilot ? std::min<std::size_t>(count, count > 1 ? 1 : 0) : count;
    for (std::size_t i = from; i < to; ++i) {
      const HoleCheck& c = point.stages[i].check;
      table.rows.push_back({point.name, point.part + ", " + point.face,
                            ShopDiameter(c.diameter, input.inches),
                            c.stop ? ShopLength(*c.stop, input.inches) : "NO STOP: hold back",
                            point.Clear() ? "clear" : NotClear(point)});
    }
  }
  return table;
}

std::vector<ShopStep> DrillSteps(const ShopInput& input, const ShopSide& side) {
  std::vector<ShopStep> steps;
  FlowTable pilots = StageTable(input, side, true);
  if (!pilots.rows.empty()) {
    steps.push_back({"Pilot holes",
                     {"Lay each drill on the setting gauge and set its stop. Hold the drill along "
                      "the intended axis; let it cut, do not push."},
                     std::move(pilots),
                     StandardStep::pilot});
    FlowTable wire{{"hole", "wire passes at least"}, {false, false}, {}};
    for (const ShopPoint& point : side.points) {
      if (point.stages.size() < 2) continue;
      wire.rows.push_back({point.name, ProbeWords(point.probe, input.inches)});
    }
    steps.push_back({"Probe with the marked wire",
                     {"Mark a stiff wire with tape at the depth below, measured from its end, and "
                      "pass it through each pilot hole along the hole. The mark must reach the "
                      "skin before the wire touches anything. If it touches earlier, STOP: this "
                      "part is not the one that was checked; do not drill the final size."},
                     std::move(wire),
                     StandardStep::probe});
  }
  steps.push_back({"Final holes",
                   {"Change the drill, set its stop again on the gauge, drill each hole."},
                   StageTable(input, side, false),
                   StandardStep::final_size});
  steps.push_back({"Deburr and protect the edge",
                   {"Take the burr off both rims you can reach, remove chips from the hollow, coat "
                    "the bare edge at once."},
                   {},
                   StandardStep::deburr});
  return steps;
}

ShopStep TreatStep(const ShopSide& side) {
  ShopStep step{"Treat", {}, {}, StandardStep::treat};
  const auto access = Holes(side, [](const ShopPoint& p) { return p.during == "access"; });
  const auto drain = Holes(side, [](const ShopPoint& p) { return p.during == "drain"; });
  if (!access.empty()) {
    step.sentences.push_back(fmt::format("Bring the treatment in through {}.", List(access)));
  }
  if (!drain.empty()) {
    step.sentences.push_back(
        fmt::format("Let it run out at {}; keep that hole open until it has.", List(drain)));
  }
  return step;
}

ShopStep CloseStep(const ShopInput& input, const ShopSide& side) {
  ShopStep step{"Close", {"Close each hole as the table says."}, {}, StandardStep::close};
  step.table.header = {"hole", "close with"};
  step.table.right = {false, false};
  for (const ShopPoint& point : side.points) {
    if (point.Drilled()) step.table.rows.push_back({point.name, CloseWords(point, input.inches)});
  }
  return step;
}

}  // namespace

const char* Word(Signal signal) {
  switch (signal) {
    case Signal::danger: return "DANGER";
    case Signal::warning: return "WARNING";
    case Signal::caution: return "CAUTION";
    case Signal::notice: return "NOTICE";
  }
  return "NOTICE";
}

std::vector<Hazard> HazardsOf(const ShopInput& input, const ShopSide& side) {
  std::vector<Hazard> hazards = {
      {Signal::warning, "A vehicle that falls crushes.",
       "Stand it on a lift or stands made for it, never on a jack alone."},
      {Signal::warning, "A weakened or wrongly drilled suspension part can break on the road.",
       "The vehicle maker's instructions, local codes and licensed practice decide whether it may "
       "be tested or drilled. Compare the part with these sheets; if it differs, stop."},
      {Signal::warning, "Fuel, brake and electrical lines can be hit; fuel and old wax burn.",
       fmt::format("Look and feel behind and inside the part{}; move or shield lines. Keep an "
                   "extinguisher at hand.",
                   input.neighbours.empty() ? "" : " (" + List(input.neighbours) + ")")},
      {Signal::warning, "Test tools and loaded springs hold energy and can strike.",
       "Point test tools away from people and release them before you handle them. Release "
       "springs where the maker says so."}};
  if (!input.inner_bodies.empty() && Drills(side)) {
    hazards.push_back({Signal::warning,
                       fmt::format("A scratch in what lies inside ({}) can start a crack.",
                                   List(input.inner_bodies)),
                       "Never drill without the stop at the setting of this sheet; pass the wire "
                       "before the final drill."});
  }
  hazards.push_back({Signal::caution, "Chips, rust and a drill that jumps can injure.",
                     "Wear eye and breathing protection. Hold the drill with both hands, no loose "
                     "gloves."});
  if (!Holes(side, [](const ShopPoint& p) { return p.during != "nothing"; }).empty()) {
    hazards.push_back({Signal::caution, "Treatment spray irritates and can catch fire.",
                       "Air the bay, wear breathing protection, follow its data sheet."});
  }
  hazards.push_back({Signal::notice, "A print of the wrong size puts holes in the wrong place.",
                     "Measure the check bars: 149.5 to 150.5 mm, or do not use the print."});
  for (Hazard& own : OwnHazards(input, side)) hazards.push_back(std::move(own));
  std::stable_sort(hazards.begin(), hazards.end(),
                   [](const Hazard& a, const Hazard& b) { return a.signal < b.signal; });
  return hazards;
}

std::vector<ToolLine> ToolsOf(const ShopInput& input, const ShopSide& side) {
  std::vector<ToolLine> tools = {{"Eye and breathing protection, gloves for cleaning", "always"},
                                 {"Wire brush, cleaner, cloths", "cleaning"}};
  std::vector<std::string> sheets;
  for (const ShopTemplate& sheet : side.templates) sheets.push_back(sheet.name);
  if (!sheets.empty()) {
    tools.push_back({fmt::format("Printed templates, {}", SidesWord({side.side})), List(sheets)});
  }
  tools.push_back({MeasuringTools(input), "check bars of every print, ties, marking"});
  tools.push_back({"Chalk or paint marker, centre punch, hammer", "marking"});
  const auto tests = Named(side, PointUse::test);
  if (!tests.empty()) {
    tools.push_back(
        {fmt::format("Test tool, tip {}, foot {}", ShopDiameter(input.test.tip, input.inches),
                     ShopDiameter(input.test.foot, input.inches)),
         List(tests)});
  }
  if (Drills(side)) {
    AddDrills(input, side, &tools);
    const auto probed = Holes(side, [](const ShopPoint& p) { return p.stages.size() > 1; });
    if (!probed.empty()) tools.push_back({"Stiff wire and tape to mark it", List(probed)});
    tools.push_back({"Deburring tool, magnet, edge coating", "every hole"});
    const auto treated = Holes(side, [](const ShopPoint& p) { return p.during == "access"; });
    if (!treated.empty()) {
      tools.push_back({"Cavity treatment and lance of the campaign", List(treated)});
    }
    AddClosing(input, side, &tools);
  }
  for (ToolLine& own : OwnMaterials(input, side)) tools.push_back(std::move(own));
  tools.push_back({"Record sheet", "one a vehicle"});
  return tools;
}

std::vector<ShopStep> StepsOf(const ShopInput& input, const ShopSide& side) {
  std::vector<ShopStep> steps = {{"Clean",
                                  {"Clean the part to bare, dry skin where points and edges lie."},
                                  {},
                                  StandardStep::clean}};
  steps.push_back(MarkStep(input, side));
  steps.push_back(
      {"Check with the ties",
       {"Measure straight from mark to mark with the steel rule and compare with the ties in the "
        "table of points. Off by more than the figure behind ±, one of the two marks lies where it "
        "may not: mark it again, do not drill it."},
       {},
       StandardStep::ties});
  if (side.templates.empty()) {
    steps.push_back({"Punch", {"Centre-punch every mark."}, {}, StandardStep::punch});
  } else {
    steps.push_back({"Punch through and take the sheet off",
                     {"Centre-punch every mark through the template, then take it off the part."},
                     {},
                     StandardStep::punch});
  }
  if (!Named(side, PointUse::test).empty()) steps.push_back(TestStep(input, side));
  if (Drills(side)) {
    for (ShopStep& step : DrillSteps(input, side)) steps.push_back(std::move(step));
    ShopStep treat = TreatStep(side);
    if (!treat.sentences.empty()) steps.push_back(std::move(treat));
    steps.push_back(CloseStep(input, side));
  }
  steps.push_back({"Record",
                   {"Fill in the record sheet and sign it; keep it with the job."},
                   {},
                   StandardStep::record});
  return WithOwnSteps(std::move(steps), input, side);
}

}  // namespace holeward
