#include "export/template_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "export/bank_card.h"
#include "export/page_map.h"
#include "export/page_plan.h"
#include "export/piece_drawing.h"
#include "export/said.h"

namespace holeward {
namespace {

constexpr double kRollMapHeight = 297.0;  ///< of the map on a roll, mm

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

std::string PieceNames(const PlannedPage& plan, const std::vector<DevelopedPiece>& pieces,
                       const Words& words) {
  std::string names;
  for (const PiecePlace& place : plan.places) {
    names += fmt::format("{}{}", names.empty() ? "" : ", ", PieceName(pieces[place.piece], words));
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
  if (!input.released) DrawBanner(parts.drawing, input.words, &page.drawing);
  DrawFrame(parts, input, words, &page);
  page.card = plan.card;
  if (plan.card) DrawBankCard(*plan.card, input.words, &page.drawing);
  Result<std::vector<SheetMark>> marks = DrawPieces(plan, parts.drawing, input, pieces, &page);
  if (!marks) return tl::unexpected<Error>(marks.error());
  return DrawnPage{std::move(page), std::move(*marks)};
}

/// The pages of the pieces that share a paper; `of` are their places among all.
Result<std::vector<PlannedPage>> PlanOnPaper(const TemplateSheetInput& input, const Paper& paper,
                                             const std::vector<int>& of, int first_page,
                                             std::vector<DevelopedPiece>* all) {
  const Result<PageSize> size = SizeOf(paper);
  if (!size) return tl::unexpected<Error>(size.error());
  const PageSize room = input.bars ? LayoutSize(*size, input.bars->Scale()) : *size;
  std::vector<DevelopedPiece> pieces;
  for (const int piece : of) pieces.push_back((*all)[piece]);
  TemplateSheetInput share = input;
  share.first_page = first_page;
  std::vector<PlannedPage> plans = PlanPages(share, room, &pieces);
  for (std::size_t i = 0; i < of.size(); ++i) (*all)[of[i]] = pieces[i];
  for (PlannedPage& plan : plans) {
    for (PiecePlace& place : plan.places) place.piece = of[place.piece];
  }
  return plans;
}

/// The pages of all pieces, paper by paper; `pieces` are turned as they are planned.
Result<std::vector<PlannedPage>> PlanAll(const TemplateSheetInput& input,
                                         std::vector<DevelopedPiece>* pieces) {
  std::vector<std::pair<Paper, std::vector<int>>> papers;
  for (int i = 0; i < static_cast<int>(pieces->size()); ++i) {
    const Paper& paper = input.piece_papers.empty() ? input.paper : input.piece_papers[i];
    const auto known = std::find_if(papers.begin(), papers.end(), [&](const auto& entry) {
      return entry.first.name == paper.name && entry.first.roll_width == paper.roll_width;
    });
    if (known == papers.end()) {
      papers.push_back({paper, {i}});
    } else {
      known->second.push_back(i);
    }
  }
  std::vector<PlannedPage> plans;
  for (const auto& [paper, of] : papers) {
    const int first = static_cast<int>(plans.size()) + (input.packed ? 2 : 1);
    auto more = PlanOnPaper(input, paper, of, first, pieces);
    if (!more) return more;
    plans.insert(plans.end(), more->begin(), more->end());
  }
  return plans;
}

/// The page in front of a packed set.
SheetPage MapPage(const std::vector<PlannedPage>& plans, const TemplateSheetInput& input,
                  const std::vector<DevelopedPiece>& pieces) {
  SheetPage page;
  // Upright, on the paper of the first page.
  const PageSize paper = plans.front().size;
  const bool turn = !paper.roll && paper.width > paper.height;
  page.drawing.width = turn ? paper.height : paper.width;
  page.drawing.height = paper.roll ? kRollMapHeight : turn ? paper.width : paper.height;
  const PageParts parts = DividePage(page.drawing.width, page.drawing.height, input);
  if (!input.released) DrawBanner(parts.drawing, input.words, &page.drawing);
  DrawFrame(parts, input,
            {1,
             static_cast<int>(plans.size()) + 1,
             input.words.Say("map of the pages, not to scale"),
             {}},
            &page);
  DrawPageMap({plans, pieces, input.words, 2}, parts.drawing.Grown(-2.0), &page.drawing);
  return page;
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

TemplateSheetInput PackedInput(const std::vector<TemplateSheetInput>& templates) {
  TemplateSheetInput all = templates.front();
  all.packed = true;
  all.template_name = "all templates";
  all.part.clear();
  all.pieces.clear();
  std::set<std::string> parts;
  for (const TemplateSheetInput& one : templates) {
    if (parts.insert(one.part).second)
      all.part += (all.part.empty() ? "" : ", ") + all.words.Own(one.part);
    for (DevelopedPiece piece : one.pieces) {
      const std::string sheet = all.words.Own(one.template_name);
      piece.name = one.pieces.size() == 1
                       ? sheet
                       : fmt::format("{}: {}", sheet, PieceName(piece, all.words));
      piece.only.clear();
      all.pieces.push_back(std::move(piece));
      all.piece_parts.push_back(one.part);
      all.piece_papers.push_back(one.paper);
    }
  }
  return all;
}

std::vector<Drawing> TemplateSheet::Drawings() const {
  std::vector<Drawing> drawings;
  for (const SheetPage& page : pages) drawings.push_back(page.drawing);
  return drawings;
}

Result<TemplateSheet> MakeTemplateSheet(const TemplateSheetInput& input) {
  const Result<void> sound = Check(input);
  if (!sound) return tl::unexpected<Error>(sound.error());
  std::vector<DevelopedPiece> pieces = input.pieces;
  const auto planned = PlanAll(input, &pieces);
  if (!planned) return tl::unexpected<Error>(planned.error());
  const std::vector<PlannedPage>& plans = *planned;

  TemplateSheet sheet;
  if (input.packed) sheet.pages.push_back(MapPage(plans, input, pieces));
  const int count = static_cast<int>(sheet.pages.size() + plans.size());
  for (const PlannedPage& plan : plans) {
    FrameWords words{static_cast<int>(sheet.pages.size()) + 1, count,
                     PieceNames(plan, pieces, input.words), plan.tile};
    Result<DrawnPage> drawn = DrawPage(plan, input, pieces, words);
    if (!drawn) return tl::unexpected<Error>(drawn.error());
    sheet.marks.insert(sheet.marks.end(), drawn->marks.begin(), drawn->marks.end());
    sheet.pages.push_back(std::move(drawn->page));
  }
  for (const DevelopedPiece& piece : pieces) {
    sheet.stretch_max = std::max(sheet.stretch_max, piece.stretch_max);
    sheet.stretch_rms = std::max(sheet.stretch_rms, piece.stretch_rms);
    for (const Misfit& misfit : piece.misfits) sheet.misfits.push_back({piece.name, misfit});
  }
  sheet.bars = input.bars;
  if (input.bars) StretchPages(*input.bars, &sheet);
  return sheet;
}

}  // namespace holeward
