#include "export/template_sheet.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "export/bank_card.h"
#include "export/page_map.h"
#include "export/page_pack.h"
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
  std::set<int> named;
  for (const PiecePlace& place : plan.places) {
    if (!named.insert(place.piece).second) continue;
    names += fmt::format("{}{}", names.empty() ? "" : ", ", PieceName(pieces[place.piece], words));
  }
  return names;
}

/// How the pages of a sheet are divided, worked out once a size: breaking the texts takes long.
class DividedPages {
 public:
  explicit DividedPages(const TemplateSheetInput& input) : input_(input) {}

  const PageParts& Of(const PageSize& size) {
    const auto [known, is_new] = parts_.try_emplace({size.width, size.height});
    if (is_new) known->second = DividePage(size.width, size.height, input_);
    return known->second;
  }

 private:
  const TemplateSheetInput& input_;
  std::map<std::pair<double, double>, PageParts> parts_;
};

/// What every page of a sheet is drawn from.
struct SheetSource {
  const TemplateSheetInput& input;
  const std::vector<DevelopedPiece>& pieces;
  DividedPages divided;
};

struct DrawnPage {
  SheetPage page;
  std::vector<SheetMark> marks;
};

Result<DrawnPage> DrawAsPlanned(const PlannedPage& plan, SheetSource& source,
                                const FrameWords& words) {
  const TemplateSheetInput& input = source.input;
  SheetPage page;
  page.number = words.page;
  page.on_its_side = !plan.size.roll && plan.size.width > plan.size.height;
  page.drawing.width = plan.size.width;
  page.drawing.height = plan.size.height;
  const PageParts& parts = source.divided.Of(plan.size);
  if (!input.released) DrawBanner(parts.drawing, input.words, &page.drawing);
  DrawFrame(parts, input, words, &page);
  page.card = plan.card;
  if (plan.card) DrawBankCard(*plan.card, input.words, &page.drawing);
  Result<std::vector<SheetMark>> marks =
      DrawPieces(plan, parts.drawing, input, source.pieces, &page);
  if (!marks) return tl::unexpected<Error>(marks.error());
  return DrawnPage{std::move(page), std::move(*marks)};
}

/// The pieces that share a paper: their places among all.
struct PaperShare {
  Paper paper;
  std::vector<int> of;
};

std::vector<PaperShare> PapersOf(const TemplateSheetInput& input, std::size_t pieces) {
  std::vector<PaperShare> papers;
  for (int i = 0; i < static_cast<int>(pieces); ++i) {
    const Paper& paper = input.piece_papers.empty() ? input.paper : input.piece_papers[i];
    const auto known = std::find_if(papers.begin(), papers.end(), [&](const PaperShare& share) {
      return share.paper.name == paper.name && share.paper.roll_width == paper.roll_width;
    });
    if (known == papers.end()) {
      papers.push_back({paper, {i}});
    } else {
      known->of.push_back(i);
    }
  }
  return papers;
}

/// The pages of the pieces that share a paper. @param others as for PackPages
Result<PackedPages> PlanOnPaper(const TemplateSheetInput& input, const PaperShare& share,
                                std::optional<int> others, std::vector<DevelopedPiece>* all) {
  const Result<PageSize> size = SizeOf(share.paper);
  if (!size) return tl::unexpected<Error>(size.error());
  const PageSize room = input.bars ? LayoutSize(*size, input.bars->Scale()) : *size;
  std::vector<DevelopedPiece> pieces;
  for (const int piece : share.of) pieces.push_back((*all)[piece]);
  PackedPages plans = input.packed && !room.roll
                          ? PackPages(input, room, others, &pieces)
                          : PackedPages{PlanPages(input, room, &pieces), false};
  for (std::size_t i = 0; i < share.of.size(); ++i) (*all)[share.of[i]] = pieces[i];
  for (PlannedPage& plan : plans.pages) {
    for (PiecePlace& place : plan.places) place.piece = share.of[place.piece];
  }
  return plans;
}

/// How the map of a packed set is given.
enum class MapPlace { none, on_first_page, own_page };

struct AllPages {
  std::vector<PlannedPage> plans;
  MapPlace map = MapPlace::none;
};

/// The pages of all pieces, paper by paper; `pieces` are turned as they are planned.
/// @param beside the map may share the first page with pieces
Result<AllPages> PlanAll(const TemplateSheetInput& input, bool beside,
                         std::vector<DevelopedPiece>* pieces) {
  AllPages all;
  const std::vector<PaperShare> papers = PapersOf(input, pieces->size());
  // The first paper last: its first page may carry the map, which counts the others' pages.
  for (std::size_t i = papers.size(); i-- > 0;) {
    const bool may = i == 0 && beside && input.packed;
    const auto others = may ? std::optional<int>(static_cast<int>(all.plans.size())) : std::nullopt;
    const Result<PackedPages> share = PlanOnPaper(input, papers[i], others, pieces);
    if (!share) return tl::unexpected<Error>(share.error());
    all.plans.insert(all.plans.begin(), share->pages.begin(), share->pages.end());
    if (share->with_map) all.map = MapPlace::on_first_page;
  }
  if (input.packed && all.map == MapPlace::none && all.plans.size() > 1) {
    all.map = MapPlace::own_page;
  }
  NumberTiles(all.map == MapPlace::own_page ? 2 : 1, &all.plans);
  return all;
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

/// How many labels found no room but over lines; all of them if one found none at all.
std::ptrdiff_t Crowding(const Result<DrawnPage>& drawn) {
  if (!drawn) return std::numeric_limits<std::ptrdiff_t>::max();
  return std::count_if(drawn->page.labels.begin(), drawn->page.labels.end(),
                       [](const SheetLabel& label) { return label.over_lines; });
}

/// A page with its bank card, unless labels had to make way for that.
Result<DrawnPage> DrawPage(const PlannedPage& plan, SheetSource& source, const FrameWords& words) {
  Result<DrawnPage> drawn = DrawAsPlanned(plan, source, words);
  if (!plan.card || Crowding(drawn) == 0) return drawn;
  PlannedPage without = plan;
  without.card.reset();
  return DrawAsPlanned(without, source, words);
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

namespace {

/// True if without the map the page's labels would keep off more lines.
bool MapCrowds(const PlannedPage& plan, const Result<DrawnPage>& drawn, SheetSource& source,
               const FrameWords& words) {
  if (Crowding(drawn) == 0) return false;
  PlannedPage without = plan;
  without.map.reset();
  return Crowding(DrawPage(without, source, words)) < Crowding(drawn);
}

/// Draws the planned pages into the sheet; nothing if the map crowds the labels of its page.
Result<std::optional<TemplateSheet>> DrawPages(const AllPages& all, const TemplateSheetInput& input,
                                               const std::vector<DevelopedPiece>& pieces) {
  const std::vector<PlannedPage>& plans = all.plans;
  SheetSource source{input, pieces, DividedPages(input)};
  TemplateSheet sheet;
  const bool apart = all.map == MapPlace::own_page;
  if (apart) sheet.pages.push_back(MapPage(plans, input, pieces));
  const int count = static_cast<int>(sheet.pages.size() + plans.size());
  for (const PlannedPage& plan : plans) {
    FrameWords words{static_cast<int>(sheet.pages.size()) + 1, count,
                     PieceNames(plan, pieces, input.words), plan.Tile()};
    Result<DrawnPage> drawn = DrawPage(plan, source, words);
    if (plan.map && MapCrowds(plan, drawn, source, words)) {
      return std::optional<TemplateSheet>{};
    }
    if (!drawn) return tl::unexpected<Error>(drawn.error());
    if (plan.map) DrawFramedMap({plans, pieces, input.words, 1}, *plan.map, &drawn->page.drawing);
    sheet.marks.insert(sheet.marks.end(), drawn->marks.begin(), drawn->marks.end());
    sheet.pages.push_back(std::move(drawn->page));
  }
  return std::optional<TemplateSheet>(std::move(sheet));
}

}  // namespace

Result<TemplateSheet> MakeTemplateSheet(const TemplateSheetInput& input) {
  const Result<void> sound = Check(input);
  if (!sound) return tl::unexpected<Error>(sound.error());
  TemplateSheet sheet;
  for (const bool beside : {true, false}) {
    std::vector<DevelopedPiece> pieces = input.pieces;
    const Result<AllPages> all = PlanAll(input, beside, &pieces);
    if (!all) return tl::unexpected<Error>(all.error());
    Result<std::optional<TemplateSheet>> drawn = DrawPages(*all, input, pieces);
    if (!drawn) return tl::unexpected<Error>(drawn.error());
    if (!*drawn) continue;
    sheet = std::move(**drawn);
    break;
  }
  for (const DevelopedPiece& piece : input.pieces) {
    sheet.stretch_max = std::max(sheet.stretch_max, piece.stretch_max);
    sheet.stretch_rms = std::max(sheet.stretch_rms, piece.stretch_rms);
    for (const Misfit& misfit : piece.misfits) sheet.misfits.push_back({piece.name, misfit});
  }
  sheet.bars = input.bars;
  if (input.bars) StretchPages(*input.bars, &sheet);
  return sheet;
}

}  // namespace holeward
