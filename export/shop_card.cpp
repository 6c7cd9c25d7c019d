#include "export/shop_card.h"

#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "export/lettering.h"
#include "export/said.h"
#include "export/upper.h"

namespace holeward {
namespace {

constexpr double kRow = 19.0;
constexpr double kHead = 7.0;
constexpr double kPad = 1.5;

struct CardCell {
  std::string top;     ///< the large line
  std::string bottom;  ///< a second one; may be empty
};

struct Column {
  const char* caption;
  double share;  ///< of the row's width
};

constexpr Column kColumns[] = {{Told("hole"), 0.15},           {Told("first drill, stop"), 0.19},
                               {Told("wire, at least"), 0.15}, {Told("last drill, stop"), 0.19},
                               {Told("close with"), 0.18},     {Told("verdict"), 0.14}};

CardCell StageCell(const ShopStage& stage, const Words& say) {
  const HoleCheck& c = stage.check;
  return {ShopDiameter(c.diameter, false),
          c.stop ? say.Say("stop {:g}", std::round(*c.stop * 10.0) / 10.0) : say.Say("NO STOP")};
}

/// Cells of a row; stages between the first and the last have no place in it.
std::vector<CardCell> CellsOf(const ShopPoint& point, const Words& say) {
  const bool pilot = point.stages.size() > 1;
  CardCell probe{"-", ""};
  if (pilot) {
    switch (point.probe.kind) {
      case ShopProbe::Kind::depth: probe = {fmt::format("{:.1f}", point.probe.depth), ""}; break;
      case ShopProbe::Kind::free: probe = {say.Say("free"), say.Say("no touch")}; break;
      case ShopProbe::Kind::not_computed: probe = {say.Say("not"), say.Say("computed")}; break;
    }
  }
  CardCell close{say.Say("ask"), ""};
  if (point.after == "sealant") close.top = say.Say("sealant");
  if (point.after == "plug") {
    close.top = say.Say("plug");
    close.bottom = say.Say("for {}", ShopDiameter(point.stages.back().check.diameter, false));
  }
  if (point.after == "drain") close = {say.Say("open"), say.Say("as a drain")};
  if (!point.Clear()) {
    const CardCell held{say.Say("DO NOT"), say.Say("DRILL")};
    const CardCell none{"-", ""};
    return {{point.name, say.Own(point.part)},  held, none, held, none,
            {SaidLoud(*point.verdict, say), ""}};
  }
  const CardCell first = pilot ? StageCell(point.stages.front(), say) : CardCell{"-", ""};
  return {{point.name, say.Own(point.part)},   first, probe,
          StageCell(point.stages.back(), say), close, {Upper(say.Say("clear")), ""}};
}

/// A name too long for large letters, in as many lines as it takes: two holes must not look alike
/// because their names are cut short.
void DrawLong(const std::string& words, const Box& box, Drawing* drawing) {
  double height = kText25;
  auto lines = WrapText(words, box.Size().x(), height, true);
  if (1.4 * height * static_cast<double>(lines.size()) > box.Size().y() - 1.0) {
    height = kText18;
    lines = WrapText(words, box.Size().x(), height, true);
  }
  double y = box.high.y() - 1.2 - height;
  for (const std::string& line : lines) {
    BoldLetter(line, {box.low.x(), y}, height, drawing);
    y -= 1.4 * height;
  }
}

void DrawRow(const std::vector<CardCell>& cells, const FlowArea& area) {
  double x = area.box.low.x();
  for (std::size_t i = 0; i < cells.size(); ++i) {
    const double width = area.box.Size().x() * kColumns[i].share;
    const Box box{{x, area.box.low.y()}, {x + width, area.box.high.y()}};
    area.drawing->AddBox(Group::frame, box);
    const double room = width - 2.0 * kPad;
    if (TextWidth(cells[i].top, kText35, true) > room) {
      DrawLong(cells[i].top, {box.low + Vec2(kPad, 0.0), box.high - Vec2(kPad, 0.0)}, area.drawing);
      x += width;
      continue;
    }
    const FittedText top = FitText(cells[i].top, room, {kText7, kText5, kText35}, true);
    const bool two = !cells[i].bottom.empty();
    const double base = two ? box.high.y() - 2.0 - kText7 + (kText7 - top.height) / 2.0
                            : box.Centre().y() - top.height / 2.0;
    BoldLetter(top.words, {x + kPad, base}, top.height, area.drawing);
    if (two) {
      const FittedText low =
          FitText(cells[i].bottom, room, {kText5, kText35, kText25, kText18}, true);
      BoldLetter(low.words, {x + kPad, box.low.y() + 2.0}, low.height, area.drawing);
    }
    x += width;
  }
}

void DrawHead(const FlowArea& area, const Words& say) {
  double x = area.box.low.x();
  for (const Column& column : kColumns) {
    const double width = area.box.Size().x() * column.share;
    const FittedText fit =
        FitText(say.Say(column.caption), width - 1.0 - kPad, {kText25, kText18}, true);
    BoldLetter(fit.words, {x + kPad, area.box.low.y() + 1.5}, fit.height, area.drawing);
    x += width;
  }
}

}  // namespace

void SetCard(const ShopInput& input, const ShopSide& side, Flow* flow) {
  const Words& say = input.facts.words;
  std::vector<std::string> tests;
  std::vector<std::string> held;
  std::vector<std::string> more;  // holes of more than two stages
  bool headed = false;
  for (const ShopPoint& point : side.points) {
    if (point.use == PointUse::test) (point.Clear() ? tests : held).push_back(point.name);
    if (!point.Drilled()) continue;
    if (!headed || !flow->Fits(kRow)) {
      if (headed) flow->Break();
      DrawHead(flow->Block(kHead), say);
      headed = true;
    }
    DrawRow(CellsOf(point, say), flow->Block(kRow));
    for (std::size_t i = 1; i + 1 < point.stages.size(); ++i) {
      const CardCell between = StageCell(point.stages[i], say);
      more.push_back(fmt::format("{}: {}, {}", point.name, between.top, between.bottom));
    }
  }
  const auto large = [&](const std::string& words) {
    const double width = flow->Block(0.0).box.Size().x();
    for (const std::string& line : WrapText(words, width, kText5, true)) {
      const FlowArea area = flow->Block(kText5 * 1.7);
      BoldLetter(line, area.box.low + Vec2(0.0, 1.0), kText5, area.drawing);
    }
  };
  if (!more.empty()) large(say.Say("In between: {}.", fmt::format("{}", fmt::join(more, "; "))));
  if (!tests.empty()) {
    large(say.Say("Test {} with tip {}.", fmt::format("{}", fmt::join(tests, ", ")),
                  ShopDiameter(input.test.tip, false)));
  }
  if (!held.empty()) large(say.Say("DO NOT TEST {}.", fmt::format("{}", fmt::join(held, ", "))));
  large(say.Say("All lengths in mm. Eyes and breath protected. Wire touches early: STOP."));
}

}  // namespace holeward
