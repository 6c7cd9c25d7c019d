#include "export/clearance_frame.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/lettering.h"
#include "export/limit_words.h"
#include "export/paper.h"
#include "export/sheet_frame.h"
#include "export/title_row.h"
#include "export/upper.h"

namespace holeward {
namespace {

constexpr double kPageWidth = 210.0;   // A4, ISO 216
constexpr double kPageHeight = 297.0;  // A4, ISO 216
constexpr double kHeaderHeight = 21.0;
constexpr double kGap = 2.0;
constexpr double kTightSpacing = 1.5;  ///< of small print, in letter heights

double DrawBadge(const Box& header, const std::string& words, Drawing* drawing) {
  const FittedText fit = FitText(words, 58.0, {kText14, kText10, kText7, kText5}, true);
  const double width = TextWidth(fit.words, fit.height, true) + 10.0;
  const Box box{header.low, {header.low.x() + width, header.high.y()}};
  drawing->Add(Group::frame, Fill{CornersOf(box), Ink::black});
  Text text;
  text.words = fit.words;
  text.at = {box.Centre().x(), box.Centre().y() - fit.height / 2.0};
  text.height = fit.height;
  text.bold = true;
  text.align = AlignX::centre;
  text.ink = Ink::white;
  drawing->Add(Group::text, text);
  return box.high.x() + 4.0;
}

double DrawVerdictBox(const Box& header, const std::string& verdict, Drawing* drawing) {
  const std::string words = Upper(verdict);
  const double width = TextWidth(words, kText7, true) + 10.0;
  const Box box{{header.high.x() - width, header.low.y()}, header.high};
  drawing->AddBox(Group::frame, box.Grown(-0.5), kHeavyWidth);
  drawing->AddBox(Group::frame, box.Grown(-1.9), kMiddleWidth);
  BoldLetter(words, {box.Centre().x(), box.Centre().y() - kText7 / 2.0}, kText7, drawing,
             AlignX::centre);
  return box.low.x() - 4.0;
}

void DrawHeader(const Box& header, const PageFacts& input, const ReportHeader& words,
                Drawing* drawing) {
  double left = header.low.x();
  double right = header.high.x();
  if (words.side) {
    const Box side = DrawSide(header, *words.side, input.words, drawing);
    (*words.side == Side::left ? left : right) =
        *words.side == Side::left ? side.high.x() + 4.0 : side.low.x() - 4.0;
  } else {
    if (!words.badge.empty()) left = DrawBadge(header, words.badge, drawing);
    if (!words.verdict.empty()) right = DrawVerdictBox(header, words.verdict, drawing);
  }
  const double width = right - left;
  double y = header.high.y();
  const auto line = [&](const FittedText& fit, bool bold) {
    y -= fit.height;
    bold ? BoldLetter(fit.words, {left, y}, fit.height, drawing)
         : Letter(fit.words, {left, y}, fit.height, drawing);
    y -= fit.height * 0.65;
  };
  const double height = input.released ? kText7 : kText5;
  line(FitText(words.title, width, {height, kText5, kText35, kText25}, true), true);
  line(FitText(words.line, width, {kText35, kText25, kText18}), false);
  if (input.released) return;
  const FewLines reason =
      InFewLines(input.words.Say("NOT RELEASED: {}", input.reason), width, 2, true);
  for (const std::string& text : reason.lines) line({text, reason.height}, true);
}

std::string CautionText(const PageFacts& input) {
  std::string text = input.words.Say("CAUTION");
  for (const std::string& caution :
       input.cautions.empty() ? StandardCautions(input.words) : input.cautions) {
    text += " " + caution;
  }
  return text;
}

/// Lines of small print, the topmost below `top`; gives the base line of the one that would follow.
double SmallPrint(const std::vector<std::string>& lines, const Vec2& top, Drawing* drawing) {
  double y = top.y() - kText18;
  for (const std::string& line : lines) {
    Letter(line, {top.x(), y}, kText18, drawing);
    y -= kText18 * kTightSpacing;
  }
  return y;
}

double SmallHeight(const std::vector<std::string>& lines) {
  return static_cast<double>(lines.size()) * kText18 * kTightSpacing;
}

/// The limits in small print, the last line shortened where there are more than any limits take.
std::vector<std::string> LimitLines(const PageFacts& input, double width) {
  constexpr std::size_t kMost = 7;
  auto lines = WrapText(input.words.Say("Limits used: {}", input.limits), width, kText18);
  if (lines.size() <= kMost) return lines;
  lines.resize(kMost);
  lines.back() = FitText(lines.back() + " …", width, {kText18}).words;
  return lines;
}

/// Draws title block and cautions at the foot; sets the number's cell and the body's lower end.
void DrawFoot(const Box& frame, const PageFacts& input, ReportPage* page) {
  Drawing* drawing = &page->drawing;
  const Words& say = input.words;
  const double width = frame.Size().x();
  const auto limits = LimitLines(input, width - 2.0 * kTitlePad);
  const double limits_height = SmallHeight(limits) + 1.6;
  const Box title{frame.low,
                  {frame.high.x(), frame.low.y() + limits_height + 2.0 * kTitleRowHeight}};
  Box row{{title.low.x(), title.high.y() - kTitleRowHeight}, title.high};
  page->number_cell =
      DrawTitleRow(row,
                   {{say.Say("Job"), say.Own(input.head.title), 0.56},
                    {say.Say("Set · revision"),
                     fmt::format("{} · {}", input.head.set_number, input.head.set_revision), 0.27},
                    {say.Say("Page"), "", 0.17}},
                   drawing);
  row.low.y() -= kTitleRowHeight;
  row.high.y() -= kTitleRowHeight;
  DrawTitleRow(row,
               {{say.Say("Document"), input.document, 0.22},
                {say.Say("Date"), input.date, 0.15},
                {say.Say("Job and program hash"), input.head.hash, 0.40},
                {say.Say("Program"), input.head.program, 0.23}},
               drawing);
  SmallPrint(limits, {title.low.x() + kTitlePad, row.low.y() - 0.8}, drawing);
  drawing->AddBox(Group::frame, title, kWideWidth);
  const auto cautions = WrapText(CautionText(input), width, kText18);
  const double top = title.high.y() + kGap + SmallHeight(cautions);
  SmallPrint(cautions, {frame.low.x(), top}, drawing);
  page->body.low = {frame.low.x(), top + kGap};
}

}  // namespace

void Letter(const std::string& words, const Vec2& at, double height, Drawing* drawing,
            AlignX align) {
  drawing->Add(Group::text, TextAt(words, at, height, false, align));
}

void BoldLetter(const std::string& words, const Vec2& at, double height, Drawing* drawing,
                AlignX align) {
  drawing->Add(Group::text, TextAt(words, at, height, true, align));
}

double RoundedDown(double bound) { return std::floor(bound * 10.0) / 10.0 + 0.0; }

std::string SidesWord(const std::vector<Side>& sides, const Words& words) {
  if (sides.size() > 1) return words.Say("LEFT AND RIGHT ALIKE");
  return sides.empty() ? "" : SideWord(sides.front(), words);
}

PageFacts FactsOf(const ClearanceReportInput& input) {
  return {input.head,     "Clearance report", input.date,     input.limits,
          input.released, input.reason,       input.cautions, {}};
}

ReportPage StartPage(const PageFacts& input, const ReportHeader& header) {
  ReportPage page;
  page.drawing.width = kPageWidth;
  page.drawing.height = kPageHeight;
  const Box frame = Box{{0.0, 0.0}, {kPageWidth, kPageHeight}}.Grown(-kPaperMargin);
  const Box top{{frame.low.x(), frame.high.y() - kHeaderHeight}, frame.high};
  if (!input.released) {
    DrawBanner({{frame.low.x(), frame.low.y() + 45.0}, {frame.high.x(), top.low.y() - 3.0}},
               input.words, &page.drawing);
  }
  DrawHeader(top, input, header, &page.drawing);
  const double rule = top.low.y() - kGap / 2.0;
  page.drawing.AddLine(Group::frame, {frame.low.x(), rule}, {frame.high.x(), rule}, kMiddleWidth);
  page.body.high = {frame.high.x(), rule - kGap};
  DrawFoot(frame, input, &page);
  return page;
}

void NumberPage(int page, int pages, const Words& words, ReportPage* to) {
  const Box& cell = to->number_cell;
  BoldLetter(words.Say("{} of {}", page, pages), {cell.low.x() + kTitlePad, cell.low.y() + 1.2},
             kText25, &to->drawing);
}

}  // namespace holeward
