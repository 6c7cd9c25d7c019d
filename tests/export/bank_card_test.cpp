#include "export/bank_card.h"

#include <algorithm>

#include <gtest/gtest.h>

#include "export/page_plan.h"
#include "export/pdf.h"
#include "export/template_sheet.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kReadBack = 0.005;  ///< mm, what reading a PDF back may lose

DevelopedPiece Marked(const std::string& name, double width, double height) {
  DevelopedPiece piece = Rectangle(name, width, height);
  piece.marks = {Mark("D1", {width / 2.0, height / 2.0}, {3.5})};
  return piece;
}

// ISO/IEC 7810: size ID-1 is 85.60 mm by 53.98 mm.
TEST(BankCard, IsOfItsStandardsSizeAsReadBackFromThePdf) {
  const Result<TemplateSheet> sheet = MakeTemplateSheet(Input({Marked("one", 80, 60)}));
  ASSERT_TRUE(sheet) << sheet.error().message;
  ASSERT_TRUE(sheet->pages[0].card.has_value());
  const Box card = *sheet->pages[0].card;
  EXPECT_NEAR(card.Size().x(), 85.60, 1e-9);
  EXPECT_NEAR(card.Size().y(), 53.98, 1e-9);
  const Scratch scratch;
  const auto lines =
      LinesOf(scratch.Put("sheet.pdf", *ToPdf(sheet->Drawings(), {"t", "2026-11-25"})))[0];
  const Vec2 low = card.low;
  const Vec2 high = card.high;
  const double r = kCardCorner;
  EXPECT_TRUE(HasLine(lines, {low.x() + r, low.y()}, {high.x() - r, low.y()}, kReadBack));
  EXPECT_TRUE(HasLine(lines, {low.x() + r, high.y()}, {high.x() - r, high.y()}, kReadBack));
  EXPECT_TRUE(HasLine(lines, {high.x(), low.y() + r}, {high.x(), high.y() - r}, kReadBack));
  const bool cutter = std::any_of(sheet->pages[0].drawing.items.begin(),
                                  sheet->pages[0].drawing.items.end(), [&](const Item& item) {
                                    const auto* stroke = std::get_if<Stroke>(&item.what);
                                    return stroke != nullptr && item.group != Group::frame &&
                                           stroke->points.size() > 20 &&
                                           (stroke->points[0] - (low + Vec2(0.0, r))).norm() < 1e-9;
                                  });
  EXPECT_FALSE(cutter) << "no plotter cuts it out";
}

TEST(BankCard, StandsClearOfPiecesMarksAndLabels) {
  int cards = 0;
  int without = 0;
  for (const double width : {40.0, 75.0, 120.0, 170.0, 215.0, 300.0}) {
    for (const double height : {20.0, 55.0, 70.0, 100.0, 239.0}) {
      const TemplateSheetInput input = Input({Marked("one", width, height), Marked("two", 60, 30)});
      const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
      ASSERT_TRUE(sheet) << sheet.error().message;
      std::vector<DevelopedPiece> pieces = input.pieces;
      const std::vector<PlannedPage> plans = PlanPages(input, *SizeOf(input.paper), &pieces);
      ASSERT_EQ(plans.size(), sheet->pages.size());
      for (std::size_t i = 0; i < plans.size(); ++i) {
        const SheetPage& page = sheet->pages[i];
        if (!page.card) ++without;
        if (!page.card) continue;
        ++cards;
        const Box clear = page.card->Grown(2.9);
        for (const PiecePlace& place : plans[i].places) {
          const Box piece{place.window.low + place.shift, place.window.high + place.shift};
          EXPECT_FALSE(page.card->Grown(15.0).Overlaps(piece)) << width << " x " << height;
        }
        for (const SheetLabel& label : page.labels) {
          EXPECT_FALSE(clear.Overlaps(label.box)) << label.words;
          EXPECT_FALSE(label.over_lines) << label.words;
        }
        for (const Box& mark : page.mark_boxes) EXPECT_FALSE(clear.Overlaps(mark));
        const Box area = DividePage(plans[i].size.width, plans[i].size.height, input).drawing;
        EXPECT_TRUE(area.Contains(*page.card));
      }
    }
  }
  EXPECT_GT(cards, 15);
  EXPECT_GT(without, 5) << "left out where there is no room";
}

TEST(BankCard, IsCorrectedWithTheBars) {
  TemplateSheetInput input = Input({Marked("one", 80, 60)});
  input.bars = PrinterBars{149.2, 149.6};
  const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  ASSERT_TRUE(sheet && sheet->pages[0].card);
  EXPECT_NEAR(sheet->pages[0].card->Size().x(), 85.60 * 150.0 / 149.2, 1e-9);
  EXPECT_NEAR(sheet->pages[0].card->Size().y(), 53.98 * 150.0 / 149.6, 1e-9);
}

}  // namespace
}  // namespace holeward
