#include "export/shop_words.h"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "export/said.h"
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

std::string ToolOf(Method method, const Words& say) {
  switch (method) {
    case Method::tape:
    case Method::middle: return say.Say("thin measuring tape");
    case Method::square: return say.Say("try square");
    case Method::protractor: return say.Say("protractor for round parts");
    case Method::rule:
    case Method::in_line:
    case Method::line: break;
  }
  return "";
}

std::string MeasuringTools(const ShopInput& input) {
  const Words& say = input.facts.words;
  // The check bars and ties need the rule whatever the points are read with.
  std::vector<std::string> tools = {say.Say("Steel rule, 300 mm")};
  for (const Method method : input.methods) {
    const std::string tool = ToolOf(method, say);
    if (tool.empty() || std::count(tools.begin(), tools.end(), tool) > 0) continue;
    tools.push_back(tool);
  }
  return List(tools);
}

/// Every drill once, with what it drills at which stop.
void AddDrills(const ShopInput& input, const ShopSide& side, std::vector<ToolLine>* tools) {
  const Words& say = input.facts.words;
  std::map<double, std::vector<std::string>> uses;
  for (const ShopPoint& point : side.points) {
    for (const ShopStage& stage : point.stages) {
      const auto& stop = stage.check.stop;
      uses[stage.check.diameter].push_back(
          stop ? say.Say("{} stop {}", point.name, ShopLength(*stop, input.inches))
               : say.Say("{} without stop", point.name));
    }
  }
  for (const auto& [diameter, holes] : uses) {
    const std::string size = ShopDiameter(diameter, input.inches);
    tools->push_back({input.drill.kind == DrillKind::step ? say.Say("Step drill up to {}", size)
                                                          : say.Say("Twist drill {}", size),
                      fmt::format("{}", fmt::join(holes, "; "))});
  }
  tools->push_back({say.Say("Depth stop: collar {} x {}",
                            ShopDiameter(input.drill.collar.diameter, input.inches),
                            ShopLength(input.drill.collar.length, input.inches)),
                    say.Say("or a tube over the drill: see the setting gauge")});
}

void AddClosing(const ShopInput& input, const ShopSide& side, std::vector<ToolLine>* tools) {
  const Words& say = input.facts.words;
  std::map<double, std::vector<std::string>> plugs;
  for (const ShopPoint& point : side.points) {
    if (point.Drilled() && point.after == "plug") {
      plugs[point.stages.back().check.diameter].push_back(point.name);
    }
  }
  for (const auto& [diameter, holes] : plugs) {
    tools->push_back(
        {say.Say("{} x plug for {}", holes.size(), ShopDiameter(diameter, input.inches)),
         List(holes)});
  }
  const auto sealed = Holes(side, [](const ShopPoint& p) { return p.after == "sealant"; });
  if (!sealed.empty()) tools->push_back({say.Say("Sealant of the campaign"), List(sealed)});
}

// ---- Steps

ShopStep MarkStep(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  ShopStep step{say.Say("Mark"), {}, {}, StandardStep::mark};
  if (!input.posture.empty()) {
    step.sentences.push_back(
        say.Say("The words bottom, front and up hold for the vehicle as it must stand: {}.",
                say.Own(input.posture)));
  }
  if (side.templates.empty()) {
    step.sentences.push_back(
        say.Say("Mark every point by its rule in the table of points, reference points first."));
    return step;
  }
  step.sentences.push_back(say.Say(
      "Measure the check bars of each printed template both ways with the steel rule. Cut the "
      "template out, line it up with what the table names, and smooth it on with the printed face "
      "outward."));
  step.table.header = {say.Say("template"), say.Say("part"), say.Say("shows"),
                       say.Say("line it up with")};
  step.table.right = {false, false, false, false};
  for (const ShopTemplate& sheet : side.templates) {
    step.table.rows.push_back(
        {say.Own(sheet.name), say.Own(sheet.part), List(sheet.points),
         sheet.align.empty() ? say.Say("what is written on it") : say.OwnList(sheet.align)});
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
        say.Say("On no template, to be marked by the rule: {}.", List(by_hand)));
  }
  return step;
}

ShopStep TestStep(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  ShopStep step{say.Say("Test"), {}, {}, StandardStep::test};
  std::vector<std::string> sound;
  std::vector<std::string> others;
  for (const ShopPoint& point : side.points) {
    if (point.use != PointUse::test) continue;
    (point.Clear() ? sound : others).push_back(point.name);
  }
  if (!sound.empty()) {
    step.sentences.push_back(say.Say(
        "Test {} with the tip of {}. Its foot of {} must sit flat, the body square to the skin. "
        "Write result and remaining thickness on the record sheet before going on.",
        List(sound), ShopDiameter(input.test.tip, input.inches),
        ShopDiameter(input.test.foot, input.inches)));
  }
  if (!others.empty()) {
    step.sentences.push_back(say.Say("DO NOT TEST, not clear: {}.", List(others)));
  }
  if (Drills(side)) {
    step.sentences.push_back(
        say.Say("If a test fails, do not drill that part: the person responsible decides first."));
  }
  return step;
}

std::string NotClear(const ShopPoint& point, const Words& say) {
  return say.Say("DO NOT DRILL: {}", Said(*point.verdict, say));
}

/// The holes of one kind of stage: the first of several, or the last.
FlowTable StageTable(const ShopInput& input, const ShopSide& side, bool pilot) {
  const Words& say = input.facts.words;
  FlowTable table{{say.Say("hole"), say.Say("part, face"), say.Say("drill size"),
                   say.Say("stop set to"), say.Say("verdict")},
                  {false, false, false, false, false},
                  {}};
  for (const ShopPoint& point : side.points) {
    const std::size_t count = point.stages.size();
    const std::size_t from = pilot || count < 2 ? 0 : 1;
    const std::size_t to = pilot ? std::min<std::size_t>(count, count > 1 ? 1 : 0) : count;
    for (std::size_t i = from; i < to; ++i) {
      const HoleCheck& c = point.stages[i].check;
      table.rows.push_back(
          {point.name, say.OwnList({point.part, point.face}),
           ShopDiameter(c.diameter, input.inches),
           c.stop ? ShopLength(*c.stop, input.inches) : say.Say("NO STOP: hold back"),
           point.Clear() ? say.Say("clear") : NotClear(point, say)});
    }
  }
  return table;
}

std::vector<ShopStep> DrillSteps(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  std::vector<ShopStep> steps;
  FlowTable pilots = StageTable(input, side, true);
  if (!pilots.rows.empty()) {
    steps.push_back(
        {say.Say("Pilot holes"),
         {say.Say("Lay each drill on the setting gauge and set its stop. Hold the drill along "
                  "the intended axis; let it cut, do not push.")},
         std::move(pilots),
         StandardStep::pilot});
    FlowTable wire{{say.Say("hole"), say.Say("wire passes at least")}, {false, false}, {}};
    for (const ShopPoint& point : side.points) {
      if (point.stages.size() < 2) continue;
      wire.rows.push_back({point.name, ProbeWords(point.probe, input.inches, say)});
    }
    steps.push_back(
        {say.Say("Probe with the marked wire"),
         {say.Say("Mark a stiff wire with tape at the depth below, measured from its end, and "
                  "pass it through each pilot hole along the hole. The mark must reach the "
                  "skin before the wire touches anything. If it touches earlier, STOP: this "
                  "part is not the one that was checked; do not drill the final size.")},
         std::move(wire),
         StandardStep::probe});
  }
  steps.push_back({say.Say("Final holes"),
                   {say.Say("Change the drill, set its stop again on the gauge, drill each hole.")},
                   StageTable(input, side, false),
                   StandardStep::final_size});
  steps.push_back(
      {say.Say("Deburr and protect the edge"),
       {say.Say("Take the burr off both rims you can reach, remove chips from the hollow, coat "
                "the bare edge at once.")},
       {},
       StandardStep::deburr});
  return steps;
}

ShopStep TreatStep(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  ShopStep step{say.Say("Treat"), {}, {}, StandardStep::treat};
  const auto access = Holes(side, [](const ShopPoint& p) { return p.during == "access"; });
  const auto drain = Holes(side, [](const ShopPoint& p) { return p.during == "drain"; });
  if (!access.empty()) {
    step.sentences.push_back(say.Say("Bring the treatment in through {}.", List(access)));
  }
  if (!drain.empty()) {
    step.sentences.push_back(
        say.Say("Let it run out at {}; keep that hole open until it has.", List(drain)));
  }
  return step;
}

ShopStep CloseStep(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  ShopStep step{
      say.Say("Close"), {say.Say("Close each hole as the table says.")}, {}, StandardStep::close};
  step.table.header = {say.Say("hole"), say.Say("close with")};
  step.table.right = {false, false};
  for (const ShopPoint& point : side.points) {
    if (point.Drilled())
      step.table.rows.push_back({point.name, CloseWords(point, input.inches, say)});
  }
  return step;
}

/// The caution for what lies near, by name where the job knows it.
std::string LookOut(const ShopInput& input) {
  const Words& say = input.facts.words;
  if (input.neighbours.empty()) {
    return say.Say(
        "Look and feel behind and inside the part; move or shield lines. Keep an extinguisher at "
        "hand.");
  }
  return say.Say(
      "Look and feel behind and inside the part ({}); move or shield lines. Keep an extinguisher "
      "at hand.",
      say.OwnList(input.neighbours));
}

}  // namespace

std::string Said(Signal signal, const Words& say) {
  switch (signal) {
    case Signal::danger: return say.Say("DANGER");
    case Signal::warning: return say.Say("WARNING");
    case Signal::caution: return say.Say("CAUTION");
    case Signal::notice: return say.Say("NOTICE");
  }
  return say.Say("NOTICE");
}

std::vector<Hazard> HazardsOf(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  std::vector<Hazard> hazards = {
      {Signal::warning, say.Say("A vehicle that falls crushes."),
       say.Say("Stand it on a lift or stands made for it, never on a jack alone.")},
      {Signal::warning,
       say.Say("A weakened or wrongly drilled suspension part can break on the road."),
       say.Say("The vehicle maker's instructions, local codes and licensed practice decide whether "
               "it may "
               "be tested or drilled. Compare the part with these sheets; if it differs, stop.")},
      {Signal::warning,
       say.Say("Fuel, brake and electrical lines can be hit; fuel and old wax burn."),
       LookOut(input)},
      {Signal::warning, say.Say("Test tools and loaded springs hold energy and can strike."),
       say.Say("Point test tools away from people and release them before you handle them. Release "
               "springs where the maker says so.")}};
  if (!input.inner_bodies.empty() && Drills(side)) {
    hazards.push_back(
        {Signal::warning,
         say.Say("A scratch in what lies inside ({}) can start a crack.",
                 say.OwnList(input.inner_bodies)),
         say.Say("Never drill without the stop at the setting of this sheet; pass the wire "
                 "before the final drill.")});
  }
  hazards.push_back(
      {Signal::caution, say.Say("Chips, rust and a drill that jumps can injure."),
       say.Say("Wear eye and breathing protection. Hold the drill with both hands, no loose "
               "gloves.")});
  if (!Holes(side, [](const ShopPoint& p) { return p.during != "nothing"; }).empty()) {
    hazards.push_back({Signal::caution, say.Say("Treatment spray irritates and can catch fire."),
                       say.Say("Air the bay, wear breathing protection, follow its data sheet.")});
  }
  hazards.push_back(
      {Signal::notice, say.Say("A print of the wrong size puts holes in the wrong place."),
       say.Say("Measure the check bars: 149.5 to 150.5 mm, or do not use the print.")});
  for (Hazard& own : OwnHazards(input, side)) hazards.push_back(std::move(own));
  std::stable_sort(hazards.begin(), hazards.end(),
                   [](const Hazard& a, const Hazard& b) { return a.signal < b.signal; });
  return hazards;
}

std::vector<ToolLine> ToolsOf(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  std::vector<ToolLine> tools = {
      {say.Say("Eye and breathing protection, gloves for cleaning"), say.Say("always")},
      {say.Say("Wire brush, cleaner, cloths"), say.Say("cleaning")}};
  std::vector<std::string> sheets;
  for (const ShopTemplate& sheet : side.templates) sheets.push_back(say.Own(sheet.name));
  if (!sheets.empty()) {
    tools.push_back({say.Say("Printed templates, {}", SidesWord({side.side}, say)), List(sheets)});
  }
  tools.push_back({MeasuringTools(input), say.Say("check bars of every print, ties, marking")});
  tools.push_back({say.Say("Chalk or paint marker, centre punch, hammer"), say.Say("marking")});
  const auto tests = Named(side, PointUse::test);
  if (!tests.empty()) {
    tools.push_back(
        {say.Say("Test tool, tip {}, foot {}", ShopDiameter(input.test.tip, input.inches),
                 ShopDiameter(input.test.foot, input.inches)),
         List(tests)});
  }
  if (Drills(side)) {
    AddDrills(input, side, &tools);
    const auto probed = Holes(side, [](const ShopPoint& p) { return p.stages.size() > 1; });
    if (!probed.empty()) tools.push_back({say.Say("Stiff wire and tape to mark it"), List(probed)});
    tools.push_back({say.Say("Deburring tool, magnet, edge coating"), say.Say("every hole")});
    const auto treated = Holes(side, [](const ShopPoint& p) { return p.during == "access"; });
    if (!treated.empty()) {
      tools.push_back({say.Say("Cavity treatment and lance of the campaign"), List(treated)});
    }
    AddClosing(input, side, &tools);
  }
  for (ToolLine& own : OwnMaterials(input, side)) tools.push_back(std::move(own));
  tools.push_back({say.Say("Record sheet"), say.Say("one a vehicle")});
  return tools;
}

std::vector<ShopStep> StepsOf(const ShopInput& input, const ShopSide& side) {
  const Words& say = input.facts.words;
  std::vector<ShopStep> steps = {
      {say.Say("Clean"),
       {say.Say("Clean the part to bare, dry skin where points and edges lie.")},
       {},
       StandardStep::clean}};
  steps.push_back(MarkStep(input, side));
  steps.push_back({say.Say("Check with the ties"),
                   {say.Say("Measure straight from mark to mark with the steel rule and compare "
                            "with the ties in the "
                            "table of points. Off by more than the figure behind ±, one of the two "
                            "marks lies where it "
                            "may not: mark it again, do not drill it.")},
                   {},
                   StandardStep::ties});
  if (side.templates.empty()) {
    steps.push_back(
        {say.Say("Punch"), {say.Say("Centre-punch every mark.")}, {}, StandardStep::punch});
  } else {
    steps.push_back(
        {say.Say("Punch through and take the sheet off"),
         {say.Say("Centre-punch every mark through the template, then take it off the part.")},
         {},
         StandardStep::punch});
  }
  if (!Named(side, PointUse::test).empty()) steps.push_back(TestStep(input, side));
  if (Drills(side)) {
    for (ShopStep& step : DrillSteps(input, side)) steps.push_back(std::move(step));
    ShopStep treat = TreatStep(input, side);
    if (!treat.sentences.empty()) steps.push_back(std::move(treat));
    steps.push_back(CloseStep(input, side));
  }
  steps.push_back({say.Say("Record"),
                   {say.Say("Fill in the record sheet and sign it; keep it with the job.")},
                   {},
                   StandardStep::record});
  return WithOwnSteps(std::move(steps), input, side);
}

}  // namespace holeward
