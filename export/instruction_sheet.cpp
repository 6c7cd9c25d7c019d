#include "export/instruction_sheet.h"

#include <algorithm>
#include <cctype>
#include <memory>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "export/clearance_flow.h"
#include "export/lettering.h"
#include "export/said.h"
#include "export/sheet_frame.h"
#include "export/shop_card.h"
#include "export/shop_own_steps.h"
#include "export/shop_words.h"
#include "export/upper.h"
#include "geometry/parallel.h"

namespace holeward {
namespace {

constexpr double kSignalWidth = 39.0;  ///< of the field with the signal word
constexpr double kLine = kText25 * 1.6;
constexpr double kBarBand = 17.0;   ///< at the foot of a gauge page, for its check bar
constexpr double kColumnGap = 8.0;  ///< between the two columns of a gauge page
/// Less room than this left on a page: the next section starts on a new one.
constexpr double kSectionRoom = 95.0;
constexpr double kNarrowDrill = 70.0;  ///< up to this long, drills stand in two columns

// Pages are kept by pointer: a Flow draws on one while others are added.
using Pages = std::vector<std::unique_ptr<ReportPage>>;

/// A side's pages, and what stands on them; pages counted from 1 within the side.
struct SidePages {
  Pages pages;
  std::vector<GaugePage> gauge_pages;
  std::vector<GaugePlace> gauges;
};

/// Draws one side.
class SideArtist {
 public:
  SideArtist(const ShopInput& input, const ShopSide& side)
      : input_(input), side_(side), say_(input.facts.words) {}

  Result<SidePages> Draw() {
    Section section;
    Flow flow = Pages(&section, say_.Say("Before you begin"));
    DrawBefore(&flow);
    DrawPoints(&section, &flow);
    DrawSteps();
    if (const auto gauges = DrawGauges(); !gauges) return tl::unexpected<Error>(gauges.error());
    DrawCard();
    return std::move(out_);
  }

 private:
  /// Starts a page under a title.
  ReportPage* Start(const std::string& title) {
    PageFacts facts = input_.facts;
    const Words& say = facts.words;
    facts.document = say.Say("Instructions");
    ReportHeader header;
    header.title = title;
    header.line = input_.posture.empty() ? say.Own(facts.head.title)
                                         : say.Say("Vehicle: {}", say.Own(input_.posture));
    header.side = side_.side;
    out_.pages.push_back(std::make_unique<ReportPage>(StartPage(facts, header)));
    return out_.pages.back().get();
  }

  /// What the pages of a flow are headed.
  struct Section {
    std::string title;
    bool begun = false;  ///< stands on a page already
  };

  /// A flow whose pages carry the title of the section they begin with.
  Flow Pages(Section* section, const std::string& title) {
    section->title = title;
    return Flow([this, section]() -> FlowArea {
      ReportPage* page =
          Start(section->begun ? say_.Say("{}, continued", section->title) : section->title);
      section->begun = true;
      return {&page->drawing, page->body};
    });
  }

  /// Goes on to another section: under a heading where the page has room, else on a new page.
  static void Begin(const std::string& title, Section* section, Flow* flow) {
    *section = {title, false};
    if (flow->Fits(kSectionRoom)) {
      flow->Heading(title);
      section->begun = true;
    } else {
      flow->Break();
    }
  }

  void DrawHazard(const Hazard& hazard, Flow* flow) const;
  void SetVariants(Flow* flow) const;
  void DrawBefore(Flow* flow) const;
  void DrawPoints(Section* section, Flow* flow) const;
  void DrawPictures(Section* section, Flow* flow) const;
  void DrawSteps();
  Result<bool> DrawGauges();
  void DrawCard();

  const ShopInput& input_;
  const ShopSide& side_;
  const Words& say_;
  SidePages out_;
};

/// The general warning sign, a triangle with an exclamation mark, for hazards to people.
void DrawTriangle(const Vec2& centre, double height, Ink ink, Drawing* drawing) {
  const double half = height / std::sqrt(3.0);
  const Vec2 foot(0.0, -height / 2.0);
  const Vec2 top(0.0, height / 2.0);
  drawing->Add(
      Group::frame,
      Fill{{centre + top, centre + foot - Vec2(half, 0.0), centre + foot + Vec2(half, 0.0)}, ink});
  Text mark =
      TextAt("!", centre + foot + Vec2(0.0, height * 0.12), height * 0.55, true, AlignX::centre);
  mark.ink = ink == Ink::black ? Ink::white : Ink::black;
  drawing->Add(Group::text, mark);
}

/// The field with the signal word. Which word it is shows in the word, in the field's look and in
/// the triangle, never in a colour.
void DrawSignal(const Box& box, Signal signal, const Words& say, Drawing* drawing) {
  const bool dark = signal == Signal::warning || signal == Signal::danger;
  if (dark) drawing->Add(Group::frame, Fill{CornersOf(box), Ink::black});
  const double pen = signal == Signal::notice ? kNarrowWidth : kExtraWidth;
  drawing->AddBox(Group::frame, box, pen);
  if (signal == Signal::danger) {
    // A white frame within the black field: the worst looks unlike the next.
    drawing->Add(Group::frame, Fill{CornersOf(box.Grown(-0.8)), Ink::white});
    drawing->Add(Group::frame, Fill{CornersOf(box.Grown(-1.4)), Ink::black});
  }
  const Ink ink = dark ? Ink::white : Ink::black;
  const bool people = signal != Signal::notice;
  if (people) DrawTriangle({box.low.x() + 4.5, box.Centre().y()}, 5.0, ink, drawing);
  const double left = box.low.x() + (people ? 9.0 : 3.0);
  const FittedText fit =
      FitText(Said(signal, say), box.high.x() - left - 1.0, {kText35, kText25}, true);
  Text word = TextAt(fit.words, {left, box.Centre().y() - fit.height / 2.0}, fit.height, true);
  word.ink = ink;
  drawing->Add(Group::text, word);
}

void SideArtist::DrawHazard(const Hazard& hazard, Flow* flow) const {
  const double width = flow->Block(0.0).box.Size().x() - kSignalWidth - 3.0;
  const auto bold = WrapText(hazard.hazard, width, kText25, true);
  const auto plain = WrapText(hazard.avoid, width, kText25);
  const double height = kLine * static_cast<double>(bold.size() + plain.size()) + 1.5;
  const FlowArea area = flow->Block(std::max(height, 8.0) + 1.5);
  const Box box{area.box.low + Vec2(0.0, 1.5), area.box.high};
  DrawSignal({box.low, {box.low.x() + kSignalWidth, box.high.y()}}, hazard.signal, say_,
             area.drawing);
  Vec2 at(box.low.x() + kSignalWidth + 3.0, box.high.y() - 0.8 - kText25);
  for (const std::string& line : bold) {
    BoldLetter(line, at, kText25, area.drawing);
    at.y() -= kLine;
  }
  for (const std::string& line : plain) {
    Letter(line, at, kText25, area.drawing);
    at.y() -= kLine;
  }
}

// Which of the sets is for this vehicle: asked before anything else.
void SideArtist::SetVariants(Flow* flow) const {
  if (input_.variants.empty()) return;
  flow->Heading(say_.Say("Is this the right set?"));
  flow->Paragraph(say_.Own(input_.variant_question), true);
  for (const VariantRow& row : input_.variants) {
    const bool here = row.set == input_.facts.head.set_number;
    flow->Paragraph(
        here ? say_.Say("{}: this set, {}", say_.Own(row.sign), row.set)
             : say_.Say("{}: set {}. Stop: do not use this one", say_.Own(row.sign), row.set));
  }
}

void SideArtist::DrawBefore(Flow* flow) const {
  SetVariants(flow);
  flow->Heading(say_.Say("Cautions"));
  for (const Hazard& hazard : HazardsOf(input_, side_)) DrawHazard(hazard, flow);
  flow->Heading(say_.Say("Tools and materials"));
  FlowTable table{{say_.Say("what"), say_.Say("for")}, {false, false}, {}};
  for (const ToolLine& tool : ToolsOf(input_, side_)) table.rows.push_back({tool.item, tool.use});
  flow->Table(table);
}

std::string TiesOf(const ShopPoint& point, bool inches) {
  std::vector<std::string> ties;
  for (const ShopTie& tie : point.ties) {
    std::string words = fmt::format("{} {}", tie.to, ShopLength(tie.straight, inches));
    if (tie.allowed) words += fmt::format(" ±{:.1f}", *tie.allowed);
    ties.push_back(std::move(words));
  }
  return ties.empty() ? "-" : fmt::format("{}", fmt::join(ties, "; "));
}

/// With a capital letter in front and a full stop behind.
std::string Sentence(std::string words) {
  if (words.empty()) return words;
  words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
  return words.back() == '.' ? words : words + ".";
}

/// Capitals tell what is not clear from what is; a reference point has no verdict.
std::string VerdictWords(const std::optional<Verdict>& verdict, const Words& say) {
  return verdict ? SaidLoud(*verdict, say) : "-";
}

FlowTable PointTable(const ShopSide& side, bool inches, const Words& say) {
  FlowTable table{{say.Say("point"), say.Say("use"), say.Say("part, face"), say.Say("its rule"),
                   say.Say("ties: straight to"), say.Say("verdict")},
                  {false, false, false, false, false, false},
                  {},
                  true};
  for (const ShopPoint& point : side.points) {
    table.rows.push_back({point.name, Said(point.use, say), say.OwnList({point.part, point.face}),
                          point.rule, TiesOf(point, inches), VerdictWords(point.verdict, say)});
  }
  return table;
}

std::string DuringWords(const ShopPoint& point, const Words& say) {
  if (point.during == "access") return say.Say("access");
  return point.during == "drain" ? say.Say("drain") : say.Say("nothing");
}

FlowTable ScheduleOf(const ShopSide& side, bool inches, const Words& say) {
  FlowTable table;
  table.header = {say.Say("hole"),           say.Say("part, face"), say.Say("stage"),
                  say.Say("drill size"),     say.Say("stop"),       say.Say("stop from"),
                  say.Say("wire, at least"), say.Say("during"),     say.Say("close with"),
                  say.Say("verdict")};
  table.right.assign(table.header.size(), false);
  table.ruled = true;
  for (const ShopPoint& point : side.points) {
    for (std::size_t i = 0; i < point.stages.size(); ++i) {
      const HoleCheck& c = point.stages[i].check;
      const bool pilot = i == 0 && point.stages.size() > 1;
      const bool last = i + 1 == point.stages.size();
      table.rows.push_back(
          {point.name, i == 0 ? say.OwnList({point.part, point.face}) : "", std::to_string(c.stage),
           ShopDiameter(c.diameter, inches),
           c.stop ? ShopLength(*c.stop, inches) : say.Say("NO STOP"), Said(c.stop_from, say),
           pilot ? ProbeWords(point.probe, inches, say) : "", last ? DuringWords(point, say) : "",
           last ? CloseWords(point, inches, say) : "", VerdictWords(c.verdict, say)});
    }
  }
  return table;
}

void SideArtist::DrawPoints(Section* section, Flow* flow) const {
  Begin(say_.Say("Points and ties"), section, flow);
  if (side_.points.empty()) flow->Paragraph(say_.Say("The job has no point on this side."));
  if (!side_.points.empty()) flow->Table(PointTable(side_, input_.inches, say_));
  flow->Paragraph(say_.Say(
      "Ties are straight distances from mark to mark. Off by more than the figure behind ±, one of "
      "the two marks is not where it belongs: measure both again."));
  flow->Paragraph(
      say_.Say("What is not clear is not drilled or tested, whatever else this sheet says."), true);
  DrawPictures(section, flow);
}

void SideArtist::DrawPictures(Section* section, Flow* flow) const {
  std::vector<PointCard> cards;
  for (const ShopPoint& point : side_.points) {
    if (!point.picture) continue;
    const std::string ties = TiesOf(point, input_.inches);
    cards.push_back({fmt::format("{}  {}, {}", point.name, Said(point.use, say_),
                                 say_.OwnList({point.part, point.face})),
                     Sentence(point.rule), ties == "-" ? "" : say_.Say("Ties, straight: {}", ties),
                     &*point.picture});
  }
  if (cards.empty()) return;
  Begin(say_.Say("How each point is measured"), section, flow);
  SetPointCards(cards, flow);
}

void SideArtist::DrawSteps() {
  Section section;
  Flow flow = Pages(&section, say_.Say("Step by step"));
  int number = 0;
  for (const ShopStep& step : StepsOf(input_, side_)) {
    flow.Heading(fmt::format("{}  {}", ++number, step.title));
    if (step.hazard) DrawHazard(*step.hazard, &flow);
    for (const std::string& sentence : step.sentences) {
      flow.Paragraph(sentence, sentence.rfind(say_.Say("DO NOT"), 0) == 0);
    }
    if (!step.table.rows.empty()) flow.Table(step.table);
  }
  if (const std::string time = OwnTime(input_, side_); !time.empty()) flow.Paragraph(time, true);
  const FlowTable holes = ScheduleOf(side_, input_.inches, say_);
  if (!holes.rows.empty()) {
    // On one page if it fits one.
    if (!flow.Fits(15.0 + 1.5 * kLine * static_cast<double>(holes.rows.size()))) flow.Break();
    flow.Heading(say_.Say("Hole schedule"));
    flow.Table(holes);
  }
}

/// What the lines of the gauge are, above its check bar.
void DrawGaugeHelp(const std::optional<PrinterBars>& bars, const Words& say, ReportPage* page) {
  std::string words = say.Say(
      "Heavy frame: the collar, its left face lands on the skin. Lay the drill on with its tip at "
      "the tip drawn and set that face. Thick line at the right: the jaws of the chuck.");
  if (bars) {
    words += " " + say.Say(
                       "CORRECTED for the printer whose check bars measured {} mm (x) by {} mm "
                       "(y): print on no "
                       "other.",
                       bars->x, bars->y);
  }
  const auto lines = WrapText(words, page->body.Size().x(), kText25);
  double y = page->body.low.y() + kLine * static_cast<double>(lines.size());
  page->body.low.y() = y + 1.0;
  for (const std::string& line : lines) {
    Letter(line, {page->body.low.x(), y - kText25}, kText25, &page->drawing);
    y -= kLine;
  }
}

Result<bool> SideArtist::DrawGauges() {
  const std::vector<GaugeSetting> settings = SettingsOf(side_, input_.facts.words);
  if (settings.empty()) return true;
  const bool narrow = std::all_of(settings.begin(), settings.end(), [](const GaugeSetting& s) {
    return s.projection <= kNarrowDrill;
  });
  bool left = true;  // the next area is a left column
  Flow flow([&]() -> FlowArea {
    if (left) {
      ReportPage* page = Start(say_.Say("Setting gauge, full size"));
      const CheckBar bar = DrawLevelBar(page->body.low + Vec2(2.0, kBarBand / 2.0), 'x',
                                        input_.facts.words, &page->drawing);
      out_.gauge_pages.push_back({side_.side, static_cast<int>(out_.pages.size()), bar});
      page->body.low.y() += kBarBand;
      DrawGaugeHelp(input_.bars, say_, page);
    }
    const Box& body = out_.pages.back()->body;
    Box area = body;
    const double column = (body.Size().x() - kColumnGap) / 2.0;
    if (narrow && left) area.high.x() = body.low.x() + column;
    if (narrow && !left) area.low.x() = body.high.x() - column;
    left = !narrow || !left;
    return {&out_.pages.back()->drawing, area};
  });
  for (const GaugeSetting& setting : settings) {
    const double width = flow.Block(0.0).box.Size().x();
    auto place = DrawGauge(setting, input_, flow.Block(GaugeHeight(setting, input_, width)));
    if (!place) return tl::unexpected<Error>(place.error());
    place->page = static_cast<int>(out_.pages.size());
    out_.gauges.push_back(std::move(*place));
  }
  return true;
}

void SideArtist::DrawCard() {
  const bool used = std::any_of(side_.points.begin(), side_.points.end(),
                                [](const ShopPoint& p) { return p.use != PointUse::reference; });
  if (!used) return;
  Section section;
  Flow flow = Pages(&section, say_.Say("Card for under the lift"));
  SetCard(input_, side_, &flow);
}

/// Stretches a gauge page about its middle so that the printer's fault is made up for.
void StretchGauges(const PrinterBars& bars, InstructionSheet* sheet) {
  for (GaugePage& page : sheet->gauge_pages) {
    Drawing& drawing = sheet->pages[static_cast<std::size_t>(page.page - 1)];
    drawing.scale = bars.Scale();
    drawing.shift =
        (Vec2::Ones() - drawing.scale).cwiseProduct(Vec2(drawing.width, drawing.height)) / 2.0;
    page.bar = {drawing.OnPage(page.bar.from), drawing.OnPage(page.bar.to)};
  }
  for (GaugePlace& place : sheet->gauges) {
    const Drawing& drawing = sheet->pages[static_cast<std::size_t>(place.page - 1)];
    place.end = drawing.OnPage({place.end, 0.0}).x();
    place.tip = drawing.OnPage(place.tip);
    if (place.stop_face) place.stop_face = drawing.OnPage(*place.stop_face);
  }
}

}  // namespace

Result<InstructionSheet> MakeInstructionSheet(const ShopInput& input) {
  if (const std::string what = FirstNotFinite(input); !what.empty()) {
    return Fail(ErrorKind::computed, fmt::format("{} is not a finite number", what));
  }
  auto sides = MadeOfEach(input.sides.size(),
                          [&](std::size_t i) { return SideArtist(input, input.sides[i]).Draw(); });
  InstructionSheet sheet;
  Pages pages;
  for (Result<SidePages>& side : sides) {
    if (!side) return tl::unexpected<Error>(side.error());
    const int before = static_cast<int>(pages.size());
    for (GaugePage& page : side->gauge_pages) {
      page.page += before;
      sheet.gauge_pages.push_back(page);
    }
    for (GaugePlace& place : side->gauges) {
      place.page += before;
      sheet.gauges.push_back(place);
    }
    std::move(side->pages.begin(), side->pages.end(), std::back_inserter(pages));
  }
  const int count = static_cast<int>(pages.size());
  for (int i = 0; i < count; ++i) {
    NumberPage(i + 1, count, input.facts.words, pages[static_cast<std::size_t>(i)].get());
    sheet.pages.push_back(std::move(pages[static_cast<std::size_t>(i)]->drawing));
  }
  if (input.bars) StretchGauges(*input.bars, &sheet);
  return sheet;
}

}  // namespace holeward
