#include "export/printer_bars.h"

#include <algorithm>
#include <sstream>
#include <string_view>

#include <gtest/gtest.h>

#include "export/pdf.h"
#include "export/svg.h"
#include "export/template_sheet.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kReadBack = 0.005;  ///< mm, what reading a PDF back may lose

TEST(PrinterBars, AreReadAsXByY) {
  const Result<PrinterBars> bars = ParsePrinterBars("149.2x149.6");
  ASSERT_TRUE(bars) << bars.error().message;
  EXPECT_DOUBLE_EQ(bars->x, 149.2);
  EXPECT_DOUBLE_EQ(bars->y, 149.6);
  EXPECT_DOUBLE_EQ(bars->Scale().x(), 150.0 / 149.2);
  EXPECT_DOUBLE_EQ(bars->Turned().Scale().x(), 150.0 / 149.6);
}

// The text given may be part of a longer one.
TEST(PrinterBars, AreReadNoFurtherThanTheTextGoes) {
  const std::string_view longer = "149.2x149.67";
  const Result<PrinterBars> bars = ParsePrinterBars(longer.substr(0, 11));
  ASSERT_TRUE(bars) << bars.error().message;
  EXPECT_DOUBLE_EQ(bars->y, 149.6);
}

TEST(PrinterBars, MayBeTwoPerCentOffAndNoMore) {
  EXPECT_TRUE(ParsePrinterBars("147x153"));
  for (const char* text : {"146.99x150", "150x153.01", "15x15", "5.9x5.9", "0x150"}) {
    const Result<PrinterBars> bars = ParsePrinterBars(text);
    ASSERT_FALSE(bars) << text;
    EXPECT_EQ(bars.error().kind, ErrorKind::job);
    EXPECT_NE(bars.error().message.find("more than 2 % off 150 mm"), std::string::npos);
    EXPECT_NE(bars.error().message.find("from 147 to 153 mm each is allowed"), std::string::npos);
  }
}

TEST(PrinterBars, RefuseNonsense) {
  for (const char* text :
       {"", "x", "150", "150x", "x150", "150 x 150", "-150x150", "nanx150", "150xinf",
        "150x150x150", "1.5e2x150", "150,0x150", "150X150", "0x96x150", "149.2x149.6mm",
        "1.5.0x150", ".x150", "150x..", "150.0000000000000000000000001x150"}) {
    const Result<PrinterBars> bars = ParsePrinterBars(text);
    ASSERT_FALSE(bars) << text;
    EXPECT_NE(bars.error().message.find("not two lengths"), std::string::npos) << text;
    EXPECT_NE(bars.error().message.find("from 147 to 153 mm"), std::string::npos) << text;
  }
}

TemplateSheetInput For(const PrinterBars& bars, std::vector<DevelopedPiece> pieces) {
  TemplateSheetInput input = Input(std::move(pieces));
  input.bars = bars;
  return input;
}

/// Checks bars and marks of a set read back from its PDF, as the printer would print them.
void ExpectTrueInPrint(const PrinterBars& bars, const DevelopedPiece& piece,
                       const TemplateSheet& sheet) {
  const Scratch scratch;
  const std::string pdf = scratch.Put("sheet.pdf", *ToPdf(sheet.Drawings(), {"t", "2026-11-25"}));
  const auto pages = LinesOf(pdf);
  ASSERT_EQ(pages.size(), sheet.pages.size());
  for (const SheetPage& page : sheet.pages) {
    const Vec2 measured = page.on_its_side ? Vec2(bars.y, bars.x) : Vec2(bars.x, bars.y);
    EXPECT_TRUE(
        HasLine(pages[page.number - 1], page.bar_across.from, page.bar_across.to, kReadBack));
    EXPECT_TRUE(HasLine(pages[page.number - 1], page.bar_up.from, page.bar_up.to, kReadBack));
    // The printer turns 150 mm of the file into what was measured.
    EXPECT_NEAR((page.bar_across.to - page.bar_across.from).norm() * measured.x() / 150.0, 150.0,
                1e-9);
    EXPECT_NEAR((page.bar_up.to - page.bar_up.from).norm() * measured.y() / 150.0, 150.0, 1e-9);
  }
  ASSERT_GE(sheet.marks.size(), piece.marks.size());
  const SheetMark& first = sheet.marks.front();
  const SheetPage& page = sheet.pages[first.page - 1];
  const Vec2 measured = page.on_its_side ? Vec2(bars.y, bars.x) : Vec2(bars.x, bars.y);
  const auto on_piece = [&](const std::string& name) {
    return std::find_if(piece.marks.begin(), piece.marks.end(),
                        [&](const FlatMark& m) { return m.name == name; })
        ->at;
  };
  for (const SheetMark& mark : sheet.marks) {
    const Vec2 at(mark.x, mark.y);
    const auto& lines = pages[mark.page - 1];
    const auto through = [&](const SeenLine& line) {
      return ((line.a + line.b) / 2.0 - at).norm() < kReadBack;
    };
    EXPECT_GE(std::count_if(lines.begin(), lines.end(), through), 2) << mark.name;
    if (mark.page != first.page) continue;
    const Vec2 printed = (at - Vec2(first.x, first.y)).cwiseProduct(measured) / 150.0;
    EXPECT_LT((printed - (on_piece(mark.name) - on_piece(first.name))).norm(), 1e-9) << mark.name;
  }
}

TEST(PrinterBars, MakeThePrintTrueOnBothAxesAsReadBackFromThePdf) {
  for (const PrinterBars& bars :
       {PrinterBars{149.2, 149.6}, PrinterBars{152.9, 147.1}, PrinterBars{150.8, 151.3}}) {
    for (const DevelopedPiece& piece : {FlatPiece(), TubeWrap()}) {
      const Result<TemplateSheet> sheet = MakeTemplateSheet(For(bars, {piece}));
      ASSERT_TRUE(sheet) << sheet.error().message;
      ExpectTrueInPrint(bars, piece, *sheet);
    }
  }
}

TEST(PrinterBars, AreExchangedOnAPageThatLiesOnItsSide) {
  DevelopedPiece wide = Rectangle("wide", 215.0, 40.0);
  wide.marks = {Mark("D1", {30, 20}, {3.5}), Mark("K", {190, 20}, {})};
  const PrinterBars bars{149.2, 149.6};
  const Result<TemplateSheet> sheet = MakeTemplateSheet(For(bars, {wide}));
  ASSERT_TRUE(sheet) << sheet.error().message;
  ASSERT_EQ(sheet->pages.size(), 1U);
  ASSERT_TRUE(sheet->pages[0].on_its_side);
  ExpectTrueInPrint(bars, wide, *sheet);
}

TEST(PrinterBars, KeepThePaperAndItsMargins) {
  for (const PrinterBars& bars : {PrinterBars{147, 147}, PrinterBars{153, 153}}) {
    const Result<TemplateSheet> sheet = MakeTemplateSheet(For(bars, {TubeWrap()}));
    ASSERT_TRUE(sheet) << sheet.error().message;
    for (const SheetPage& page : sheet->pages) {
      const Drawing& drawing = page.drawing;
      EXPECT_NEAR(std::min(drawing.width, drawing.height), 210.0, 1e-9);
      EXPECT_NEAR(std::max(drawing.width, drawing.height), 297.0, 1e-9);
      int drawn = 0;
      for (const Item& item : drawing.items) {
        const auto* stroke = std::get_if<Stroke>(&item.what);
        if (stroke == nullptr) continue;
        for (const Vec2& point : stroke->points) {
          ++drawn;
          const Vec2 at = drawing.OnPage(point);
          EXPECT_GE(std::min(at.x(), at.y()), 10.0 - 1e-9);
          EXPECT_LE(at.x(), drawing.width - 10.0 + 1e-9);
          EXPECT_LE(at.y(), drawing.height - 10.0 + 1e-9);
        }
      }
      EXPECT_GT(drawn, 100);
    }
  }
}

TEST(PrinterBars, AreSaidInWordsOnEachPageOfACorrectedSetOnly) {
  TemplateSheetInput input = Input({TubeWrap()});
  for (const bool corrected : {true, false}) {
    if (corrected) {
      input.bars = PrinterBars{149.2, 149.6};
    } else {
      input.bars.reset();
    }
    const TemplateSheet sheet = *MakeTemplateSheet(input);
    const Scratch scratch;
    const std::string pdf = scratch.Put("sheet.pdf", *ToPdf(sheet.Drawings(), {"t", "2026-11-25"}));
    for (const SheetPage& page : sheet.pages) {
      const std::string number = std::to_string(page.number);
      std::istringstream words(
          Output("pdftotext -f " + number + " -l " + number + " " + pdf + " -"));
      std::string text;
      for (std::string word; words >> word;) text += word + " ";
      const bool said = text.find("CORRECTED for the printer") != std::string::npos;
      EXPECT_EQ(said, corrected);
      EXPECT_EQ(text.find("149.2 mm (x) by 149.6 mm (y)") != std::string::npos, corrected);
    }
  }
}

TEST(PrinterBars, StretchTheSvgAsThePdf) {
  const TemplateSheet sheet = *MakeTemplateSheet(For({149.2, 149.6}, {FlatPiece()}));
  const Drawing& drawing = sheet.pages[0].drawing;
  const std::string svg = *ToSvg(drawing, "t");
  EXPECT_NE(svg.find("scale(1.00536193 1.00267380)"), std::string::npos);
  EXPECT_EQ(ToSvg(MakeTemplateSheet(Input({FlatPiece()}))->pages[0].drawing, "t")->find("scale("),
            std::string::npos);
}

}  // namespace
}  // namespace holeward
