#include "export/template_sheet.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "export/bank_card.h"
#include "export/page_plan.h"
#include "export/piece_drawing.h"

namespace holeward {
namespace {

bool IsFinite(const DevelopedPiece& piece) {
  const auto finite = [](const Vec2& p) { return p.allFinite(); };
  const auto all = [&](const std::vector<Vec2>& points) {
    return std::all_of(points.begin(), points.end(), finite);
  };
  return finite(piece.front) && finite(piece.up) && std::isfinite(piece.stretch_max) &&
         std::isfinite(piece.worst_length_error) &&
         std::all_of(piece.lines.begin(), piece.lines.end(),
                     [&](const FlatLine& line) { return all(line.points); }) &&
         std::all_of(piece.marks.begin(), piece.marks.end(), [&](const FlatMark& mark) {
           return finite(mark.at) && all(mark.outline) &&
                  std::all_of(mark.diameters.begin(), mark.diameters.end(),
                              [](double d) { return std::isfinite(d) && d > 0.0; });
         });
}

Result<void> Check(const TemplateSheetInput& input) {
  const auto fail = [&](const std::string& what) {
    return Fail(ErrorKind::computed, fmt::format("template \"{}\": {}", input.template_name, what));
  };
  if (input.pieces.empty()) return fail("there is no piece to draw");
  for (const DevelopedPiece& piece : input.pieces) {
    const bool drawn = std::any_of(piece.lines.begin(), piece.lines.end(),
                                   [](const FlatLine& line) { return line.points.size() > 1; });
    if (!drawn) return fail(fmt::format("piece \"{}\" has no outline", piece.name));
    if (!IsFinite(piece)) {
      return fail(fmt::format("piece \"{}\" holds a length that is not finite", piece.name));
    }
  }
  return {};
}

std::string PieceNames(const PlannedPage& plan, const std::vector<DevelopedPiece>& pieces) {
  std::string names;
  for (const PiecePlace& place : plan.places) {
    names += fmt::format("{}{}", names.empty() ? "" : ", ", pieces[place.piece].name);
  }
  return names;
}

struct DrawnPage {
  SheetPage page;
  std::vector<SheetMark> marks;
};

Result<DrawnPage> DrawAsPlanned(const PlannedPage& plan, const TemplateSheetInput& input,
                                const std::vector<DevelopedPiece>& pieces,
                                const FrameWords& words) {
  SheetPage page;
  page.number = words.page;
  page.on_its_side = !plan.size.roll && plan.size.width > plan.size.height;
  page.drawing.width = plan.size.width;
  page.drawing.height = plan.size.height;
  const PageParts parts = DividePage(plan.size.width, plan.size.height, input);
  if (!input.released) DrawBanner(parts.drawing, &page.drawing);
  DrawFrame(parts, input, words, &page);
  page.card = plan.card;
  if (plan.card) DrawBankCard(*plan.card, &page.drawing);
  Result<std::vector<SheetMark>> marks = DrawPieces(plan, parts.drawing, input, pieces, &page);
  if (!marks) return tl::unexpected<Error>(marks.error());
  return DrawnPage{std::move(page), std::move(*marks)};
}

/// A page with its bank card, unless labels had to make way for that.
Result<DrawnPage> DrawPage(const PlannedPage& plan, const TemplateSheetInput& input,
                           const std::vector<DevelopedPiece>& pieces, const FrameWords& words) {
  Result<DrawnPage> drawn = DrawAsPlanned(plan, input, pieces, words);
  const auto crowded = [](const SheetLabel& label) { return label.over_lines; };
  const bool fine =
      drawn && std::none_of(drawn->page.labels.begin(), drawn->page.labels.end(), crowded);
  if (fine || !plan.card) return drawn;
  PlannedPage without = plan;
  without.card.reset();
  return DrawAsPlanned(without, input, pieces, words);
}

}  // namespace

std::vector<Drawing> TemplateSheet::Drawings() const {
  std::vector<Drawing> drawings;
  for (const SheetPage& page : pages) drawings.push_back(page.drawing);
  return drawings;
}

Result<TemplateSheet> MakeTemplateSheet(const TemplateSheetInput& input) {
  const Result<void> sound = Check(input);
  if (!sound) return tl::unexpected<Error>(sound.error());
  const Result<PageSize> paper = SizeOf(input.paper);
  if (!paper) return tl::unexpected<Error>(paper.error());
  std::vector<DevelopedPiece> pieces = input.pieces;
  const PageSize room = input.bars ? LayoutSize(*paper, input.bars->Scale()) : *paper;
  const std::vector<PlannedPage> plans = PlanPages(input, room, &pieces);

  TemplateSheet sheet;
  for (const PlannedPage& plan : plans) {
    FrameWords words{static_cast<int>(sheet.pages.size()) + 1, static_cast<int>(plans.size()),
                     PieceNames(plan, pieces), plan.tile};
    Result<DrawnPage> drawn = DrawPage(plan, input, pieces, words);
    if (!drawn) return tl::unexpected<Error>(drawn.error());
    sheet.marks.insert(sheet.marks.end(), drawn->marks.begin(), drawn->marks.end());
    sheet.pages.push_back(std::move(drawn->page));
  }
  for (const DevelopedPiece& piece : pieces) {
    sheet.stretch_max = std::max(sheet.stretch_max, piece.stretch_max);
    sheet.stretch_rms = std::max(sheet.stretch_rms, piece.stretch_rms);
  }
  sheet.bars = input.bars;
  if (input.bars) StretchPages(*input.bars, &sheet);
  return sheet;
}

}  // namespace holeward
