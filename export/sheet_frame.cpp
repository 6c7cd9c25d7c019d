#include "export/sheet_frame.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/paper.h"
#include "export/symbols.h"
#include "export/title_row.h"
#include "export/vehicle_plan.h"

namespace holeward {
namespace {

constexpr double kHeaderHeight = 21.0;
constexpr double kBarStrip = 13.0;
constexpr double kGap = 2.0;
constexpr std::size_t kMostLimitLines = 8;
constexpr double kWidestSide = 100.0;  ///< of LEFT and RIGHT
constexpr double kWideFrame = 250.0;   ///< from here on cautions and title block stand side by side
constexpr double kMapWidth = 22.0;
constexpr double kTightSpacing = 1.5;  ///< of the limits' lines, in letter heights

/// The axis is the paper's, as `--bars` wants it.
std::string BarWords(char axis, const Words& words) {
  return words.Say("Check bar 150 mm ({}). Accept 149.5 to 150.5, else do not use this print.",
                   axis);
}
constexpr const char* kBarHelp = Told(
    "Drawn as seen from outside: stick on with the printed face outward. "
    "If a bar measures otherwise: set the print dialog to 100 % (actual size), turn scaling and "
    "fit "
    "to page off, choose this paper size, print again and measure both bars with a steel rule. If "
    "it still misses, use another printer.");

std::string CautionText(const TemplateSheetInput& input) {
  std::string text;
  for (const std::string& caution :
       input.cautions.empty() ? StandardCautions(input.words) : input.cautions) {
    if (!text.empty()) text += ' ';
    text += caution;
  }
  return text;
}

std::string SheetTitle(const TemplateSheetInput& input) {
  return input.packed ? input.words.Say("all templates") : input.words.Own(input.template_name);
}

/// How to print; of a set made for one printer, which printer that is.
std::string PrintText(const TemplateSheetInput& input) {
  if (!input.bars) return input.words.Say("Print at 100 %, scaling off");
  return input.words.Say(
      "CORRECTED for the printer whose check bars measured {} mm (x) by {} mm (y). Print on no "
      "other, at 100 %, scaling off",
      input.bars->x, input.bars->y);
}

struct CautionLines {
  std::vector<std::string> cautions;
  std::vector<std::string> print;
  std::vector<std::string> bars;

  [[nodiscard]] double Height() const {
    const std::size_t lines = cautions.size() + print.size() + bars.size() + 1;
    return static_cast<double>(lines) * kText25 * kLineSpacing + 1.0;
  }
};

CautionLines BreakCautions(const TemplateSheetInput& input, double width) {
  return {WrapText(CautionText(input), width, kText25),
          WrapText(PrintText(input), width, kText25, true),
          WrapText(input.words.Say(kBarHelp), width, kText25)};
}

// ---- Header ----

/// The little map of the tiles: this page filled, each with its page number.
void DrawMap(const Box& area, const TilePlace& tile, Drawing* drawing) {
  const Vec2 size = area.Size();
  const double cell = std::min({size.x() / tile.columns, size.y() / tile.rows, 9.0});
  const Vec2 low = area.Centre() - Vec2(tile.columns, tile.rows) * cell / 2.0;
  for (int row = 0; row < tile.rows; ++row) {
    for (int column = 0; column < tile.columns; ++column) {
      const Vec2 corner = low + Vec2(column, row) * cell;
      const Box box{corner, corner + Vec2::Constant(cell)};
      const bool here = row == tile.row && column == tile.column;
      if (here) drawing->Add(Group::frame, Fill{CornersOf(box), Ink::black});
      drawing->AddBox(Group::frame, box);
      const double height = std::min(kText25, cell * 0.5);
      if (height < 1.0) continue;
      Text number =
          TextAt(std::to_string(tile.pages[tile.Index(column, row)]),
                 {box.Centre().x(), box.Centre().y() - height / 2.0}, height, here, AlignX::centre);
      number.ink = here ? Ink::white : Ink::black;
      drawing->Add(Group::text, number);
    }
  }
}

/// "NOT RELEASED" with its reason in two lines, or in three small ones where it takes them.
FewLines ReasonLines(const TemplateSheetInput& input, double width) {
  const std::string reason = input.words.Say("NOT RELEASED: {}", input.reason);
  const FewLines two = InFewLines(reason, width, 2, true);
  return two.lines.back().ends_with("…") ? InFewLines(reason, width, 3, true) : two;
}

/// What is left of the header beside the side and the vehicle's plan, and beside the map if there
/// is one.
Box DrawSideAndMap(const Box& header, const TemplateSheetInput& input, const TilePlace& tile,
                   Drawing* drawing) {
  Box word = DrawSide(header, input.side, input.words, drawing);
  const bool left = input.side == Side::left;
  const double plan = VehiclePlanWidth(header.Size().y());
  Box beside = header;
  beside.low.x() = left ? word.high.x() + 3.0 : word.low.x() - 3.0 - plan;
  DrawVehiclePlan(beside, {input.side, input.axle}, input.words, drawing);
  (left ? word.high : word.low).x() = beside.low.x() + (left ? plan : 0.0);
  Box rest = header;
  (left ? rest.low : rest.high).x() = left ? word.high.x() + 4.0 : word.low.x() - 4.0;
  if (!tile.Tiled()) return rest;
  Box map = rest;
  (left ? map.low : map.high).x() = left ? rest.high.x() - kMapWidth : rest.low.x() + kMapWidth;
  (left ? rest.high : rest.low).x() += left ? -kMapWidth - 2.0 : kMapWidth + 2.0;
  DrawMap(map, tile, drawing);
  return rest;
}

void DrawHeader(const Box& header, const TemplateSheetInput& input, const FrameWords& words,
                Drawing* drawing) {
  const Box rest = DrawSideAndMap(header, input, words.tile, drawing);
  const bool left = input.side == Side::left;
  const double width = rest.Size().x();
  const double x = left ? rest.low.x() : rest.high.x();
  double y = rest.high.y();
  const auto line = [&](const FittedText& fit, bool bold) {
    y -= fit.height;
    drawing->Add(Group::text,
                 TextAt(fit.words, {x, y}, fit.height, bold, left ? AlignX::left : AlignX::right));
    y -= fit.height * 0.65;
  };
  // A reason for not releasing needs room for its lines.
  const FewLines reason = input.released ? FewLines{} : ReasonLines(input, width);
  const bool crowded = reason.lines.size() > 2;
  std::vector<double> heights = {kText7, kText5, kText35, kText25};
  if (!input.released) heights.erase(heights.begin(), heights.begin() + (crowded ? 2 : 1));
  line(FitText(SheetTitle(input), width, heights, true), true);
  line(FitText(fmt::format("{} · {}", input.words.Own(input.part), words.pieces), width,
               {crowded ? kText25 : kText35, kText25, kText18}),
       false);
  if (input.released) {
    line(FitText(input.words.Say("Seen from outside. Stick on with the printed face outward."),
                 width, {kText25, kText18}),
         false);
    return;
  }
  for (const std::string& text : reason.lines) line({text, reason.height}, true);
}

// ---- Check bars ----

/// Draws a bar along `way`, its ticks and numbers toward `aside`, its words on the other side.
CheckBar DrawBar(const Vec2& from, const Vec2& way, const Vec2& aside, Drawing* drawing) {
  CheckBar bar{from, from + kCheckBar * way};
  const double turn = std::atan2(way.y(), way.x());
  drawing->AddLine(Group::frame, bar.from, bar.to, kMiddleWidth);
  for (int tick = 0; tick <= 15; ++tick) {
    const Vec2 at = from + 10.0 * tick * way;
    const bool end = tick == 0 || tick == 15;
    const double length = end ? 3.0 : (tick % 5 == 0 ? 2.2 : 1.4);
    drawing->AddLine(Group::frame, at - (end ? length : 0.0) * aside, at + length * aside,
                     end ? kMiddleWidth : kNarrowWidth);
    if (tick % 5 != 0) continue;
    // The numbers read along the bar, their feet away from it.
    Text number = TextAt(std::to_string(10 * tick), at + (3.6 + kText18) * aside, kText18, false,
                         AlignX::centre);
    number.turn_rad = turn;
    drawing->Add(Group::text, number);
  }
  return bar;
}

void DrawBarWords(const CheckBar& bar, const std::string& words, const Vec2& aside,
                  Drawing* drawing) {
  Text text = TextAt(words, (bar.from + bar.to) / 2.0 - 1.6 * aside, kText25, true, AlignX::centre);
  const Vec2 way = bar.to - bar.from;
  text.turn_rad = std::atan2(way.y(), way.x());
  drawing->Add(Group::text, text);
}

void DrawBars(const PageParts& parts, const Words& words, SheetPage* page) {
  const Vec2 across = Vec2::UnitX();
  const Vec2 up = Vec2::UnitY();
  const Vec2 level(parts.bar_across.low.x() + 1.0, parts.bar_across.low.y() + 7.0);
  page->bar_across = DrawLevelBar(level, page->on_its_side ? 'y' : 'x', words, &page->drawing);
  // Upright bar: turned counter-clockwise, words to the left (above, as read), numbers to the
  // right.
  const Vec2 upright(parts.bar_up.low.x() + 6.0, parts.bar_up.low.y() + 1.0);
  page->bar_up = DrawBar(upright, up, across, &page->drawing);
  DrawBarWords(page->bar_up, BarWords(page->on_its_side ? 'x' : 'y', words), across,
               &page->drawing);
}

// ---- Cautions, legend, title block ----

void DrawCautions(const Box& box, const TemplateSheetInput& input, Drawing* drawing) {
  const CautionLines lines = BreakCautions(input, box.Size().x());
  double y = box.high.y() - kText25;
  const auto line = [&](const std::string& words, bool bold) {
    drawing->Add(Group::text, TextAt(words, {box.low.x(), y}, kText25, bold));
    y -= kText25 * kLineSpacing;
  };
  line(input.words.Say("CAUTION"), true);
  for (const std::string& words : lines.cautions) line(words, false);
  y -= 1.0;
  for (const std::string& words : lines.print) line(words, true);
  for (const std::string& words : lines.bars) line(words, false);
}

struct LimitLines {
  double height = kText18;
  std::vector<std::string> lines;

  [[nodiscard]] double Height() const {
    return static_cast<double>(lines.size()) * height * kTightSpacing + 2.0;
  }
};

/// The limits at the larger height if they fit the room, else at the smaller one, shortened if they
/// are longer than any limits are.
LimitLines BreakLimits(const TemplateSheetInput& input, const Vec2& room) {
  // Bottom and front change when a part droops: the posture is said in full, however long.
  const std::string posture =
      input.posture.empty()
          ? ""
          : input.words.Say("Posture of the vehicle: {}.", input.words.Own(input.posture)) + " ";
  const std::string words = posture + input.words.Say("Limits used: {}", input.limits);
  const double width = room.x() - 2.0 * kTitlePad;
  LimitLines limits{kText25, WrapText(words, width, kText25)};
  if (limits.Height() <= room.y()) return limits;
  limits = {kText18, WrapText(words, width, kText18)};
  if (limits.lines.size() > kMostLimitLines) {
    limits.lines.resize(kMostLimitLines);
    limits.lines.back() = FitText(limits.lines.back() + " …", width, {kText18}).words;
  }
  return limits;
}

/// Height of a title block, its limits at the smaller height.
double TitleHeight(const TemplateSheetInput& input, double width) {
  return 3.0 * kTitleRowHeight + BreakLimits(input, {width, 0.0}).Height();
}

void DrawTitle(const Box& box, const TemplateSheetInput& input, const FrameWords& words,
               Drawing* drawing) {
  const Words& say = input.words;
  const std::vector<std::vector<TitleCell>> rows = {
      {{say.Say("Job"), say.Own(input.job_title), 0.56},
       {say.Say("Set · revision"), fmt::format("{} · {}", input.set_number, input.set_revision),
        0.27},
       {say.Say("Page"), say.Say("{} of {}", words.page, words.pages), 0.17}},
      {{say.Say("Side"), SideWord(input.side, say), 0.16},
       {say.Say("Part"), say.Own(input.part), 0.30},
       {say.Say("Template"), SheetTitle(input), 0.35},
       {say.Say("Date"), input.date, 0.19}},
      {{say.Say("Job and program hash"), input.hash, 0.50},
       {say.Say("Program"), input.program, 0.50}}};
  Box row{{box.low.x(), box.high.y() - kTitleRowHeight}, box.high};
  for (const std::vector<TitleCell>& cells : rows) {
    DrawTitleRow(row, cells, drawing);
    row.low.y() -= kTitleRowHeight;
    row.high.y() -= kTitleRowHeight;
  }
  const Box last{box.low, {box.high.x(), row.high.y()}};
  drawing->AddBox(Group::frame, last);
  const LimitLines limits = BreakLimits(input, last.Size());
  double y = last.high.y() - 1.2 - limits.height;
  for (const std::string& text : limits.lines) {
    drawing->Add(Group::text, TextAt(text, {last.low.x() + kTitlePad, y}, limits.height));
    y -= limits.height * kTightSpacing;
  }
  drawing->AddBox(Group::frame, box, kWideWidth);
}

}  // namespace

Box DrawSide(const Box& header, Side side, const Words& words, Drawing* drawing) {
  // As large as leaves room beside it.
  const FittedText word =
      FitText(SideWord(side, words), kWidestSide, {kText14, kText10, kText7}, true);
  const double width = TextWidth(word.words, word.height, true) + 10.0;
  Box box = header;
  const bool left = side == Side::left;
  if (left) {
    box.high.x() = box.low.x() + width;
    drawing->Add(Group::frame, Fill{CornersOf(box), Ink::black});
  } else {
    box.low.x() = box.high.x() - width;
    drawing->AddBox(Group::frame, box.Grown(-0.5), kHeavyWidth);
    drawing->AddBox(Group::frame, box.Grown(-1.9), kMiddleWidth);
  }
  Text text = TextAt(word.words, {box.Centre().x(), box.Centre().y() - word.height / 2.0},
                     word.height, true, AlignX::centre);
  text.ink = left ? Ink::white : Ink::black;
  drawing->Add(Group::text, text);
  return box;
}

CheckBar DrawLevelBar(const Vec2& from, char axis, const Words& words, Drawing* drawing) {
  const Vec2 down = -Vec2::UnitY();
  const CheckBar bar = DrawBar(from, Vec2::UnitX(), down, drawing);
  DrawBarWords(bar, BarWords(axis, words), down, drawing);
  return bar;
}

std::string SideWord(Side side, const Words& words) {
  return side == Side::left ? words.Say("LEFT") : words.Say("RIGHT");
}

std::vector<std::string> StandardCautions(const Words& words) {
  return {
      words.Say("Wear eye and breathing protection."),
      words.Say("Test tools hold stored energy: release it before you handle them."),
      words.Say(
          "Keep clear of fuel, brake and electrical lines; sparks and hot chips can start a fire."),
      words.Say("A hole in a highly stressed arm is a matter of its strength."),
      words.Say("The vehicle maker's instructions, local codes and licensed practice decide.")};
}

namespace {

/// Cautions and title block beside each other.
struct LowerBand {
  double height = 0.0;
  double middle = 0.0;  ///< where the title block begins
};

/// The lowest band: longer texts get the wider share, whatever the language.
LowerBand LowestBand(const TemplateSheetInput& input, double left, double right) {
  LowerBand best;
  for (const double share : {0.5, 0.53, 0.46}) {
    const double middle = left + share * (right - left);
    const double height = std::max(TitleHeight(input, right - middle),
                                   BreakCautions(input, middle - 4.0 - left).Height());
    if (best.height == 0.0 || height < best.height - 1e-9) best = {height, middle};
  }
  return best;
}

}  // namespace

PageParts DividePage(double width, double height, const TemplateSheetInput& input) {
  PageParts parts;
  // Half of the widest line drawn on it stays inside the margin too.
  parts.frame = Box{{0.0, 0.0}, {width, height}}.Grown(-kPaperMargin - kWideWidth / 2.0);
  const Box& frame = parts.frame;
  parts.header = {{frame.low.x(), frame.high.y() - kHeaderHeight}, frame.high};
  const double top = parts.header.low.y() - kGap;
  parts.bar_up = {frame.low, {frame.low.x() + kBarStrip, top}};
  const double left = parts.bar_up.high.x() + kGap;
  const bool wide = frame.Size().x() >= kWideFrame;

  double y = frame.low.y();
  if (wide) {
    const LowerBand band = LowestBand(input, left, frame.high.x());
    parts.title = {{band.middle, y}, {frame.high.x(), y + band.height}};
    parts.cautions = {{left, y}, {band.middle - 4.0, y + band.height}};
    y += band.height + kGap;
    parts.bar_across = {{left, y}, {left + kCheckBar + 4.0, y + kBarStrip}};
    parts.legend = {{left + kCheckBar + 8.0, y}, {frame.high.x(), y + kBarStrip}};
    y += kBarStrip + kGap;
  } else {
    parts.title = {{left, y}, {frame.high.x(), y + TitleHeight(input, frame.high.x() - left)}};
    y = parts.title.high.y() + kGap;
    const double caution_height = BreakCautions(input, frame.high.x() - left).Height();
    parts.cautions = {{left, y}, {frame.high.x(), y + caution_height}};
    y += caution_height + kGap;
    parts.legend = {{left, y}, {frame.high.x(), y + kLegendHeight}};
    y += kLegendHeight + kGap;
    parts.bar_across = {{left, y}, {frame.high.x(), y + kBarStrip}};
    y += kBarStrip + kGap;
  }
  parts.drawing = {{left, y}, {frame.high.x(), top}};
  return parts;
}

void DrawFrame(const PageParts& parts, const TemplateSheetInput& input, const FrameWords& words,
               SheetPage* page) {
  Drawing* drawing = &page->drawing;
  DrawHeader(parts.header, input, words, drawing);
  drawing->AddLine(Group::frame, {parts.frame.low.x(), parts.header.low.y() - kGap / 2.0},
                   {parts.frame.high.x(), parts.header.low.y() - kGap / 2.0}, kMiddleWidth);
  DrawBars(parts, input.words, page);
  DrawLegend(parts.legend, input.words, drawing);
  DrawCautions(parts.cautions, input, drawing);
  DrawTitle(parts.title, input, words, drawing);
}

void DrawBanner(const Box& area, const Words& words, Drawing* drawing) {
  const std::string banner = words.Say("NOT RELEASED");
  const Vec2 size = area.Size();
  // A long roll carries the words again and again, so that no piece cut from it lacks them.
  const int across = std::max(1, static_cast<int>(std::round(size.x() / 420.0)));
  const int up = std::max(1, static_cast<int>(std::round(size.y() / (1.3 * size.x() / across))));
  const Vec2 cell(size.x() / across, size.y() / up);
  const double turn = std::clamp(std::atan2(cell.y(), cell.x()), 0.2, 0.9);
  const double unit = TextWidth(banner, 1.0, true);
  const double height = 0.92 * std::min(cell.x() / (unit * std::cos(turn) + std::sin(turn)),
                                        cell.y() / (unit * std::sin(turn) + std::cos(turn)));
  for (int row = 0; row < up; ++row) {
    for (int column = 0; column < across; ++column) {
      const Vec2 centre = area.low + cell.cwiseProduct(Vec2(column + 0.5, row + 0.5));
      Text text = TextAt(banner, centre + height / 2.0 * Vec2(std::sin(turn), -std::cos(turn)),
                         height, true, AlignX::centre);
      text.turn_rad = turn;
      text.outline = kNarrowWidth;
      drawing->Add(Group::banner, text);
    }
  }
}

}  // namespace holeward
