#include <algorithm>
#include <set>

#include <gtest/gtest.h>

#include "export/page_plan.h"
#include "export/pdf.h"
#include "export/template_sheet.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

TemplateSheetInput Template(const std::string& name, const std::string& part, double width,
                            double height, const std::string& paper = "A4") {
  DevelopedPiece piece = Rectangle("face", width, height);
  piece.marks = {Mark("M " + name, {width / 2.0, height / 2.0}, {3.5})};
  TemplateSheetInput input = Input({piece});
  input.template_name = name;
  input.part = part;
  input.paper.name = paper;
  return input;
}

TEST(PackedSheet, TakesFewerPagesThanTheTemplatesApart) {
  std::vector<TemplateSheetInput> templates;
  std::size_t apart = 0;
  for (const char* name : {"one", "two", "three", "four", "five", "six"}) {
    templates.push_back(Template(name, "arm", 60, 40));
    apart += MakeTemplateSheet(templates.back())->pages.size();
  }
  const Result<TemplateSheet> sheet = MakeTemplateSheet(PackedInput(templates));
  ASSERT_TRUE(sheet) << sheet.error().message;
  EXPECT_EQ(apart, 6U);
  EXPECT_EQ(sheet->pages.size(), 2U) << "a map and one page";
}

TEST(PackedSheet, HoldsEveryMarkOnceOnItsPagesClearOfOtherPieces) {
  const std::vector<TemplateSheetInput> templates = {
      Template("one", "arm", 100, 60), Template("two", "arm", 60, 100),
      Template("three", "tube", 120, 30), Template("four", "tube", 45, 45, "Letter")};
  const TemplateSheetInput input = PackedInput(templates);
  const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  ASSERT_TRUE(sheet) << sheet.error().message;
  std::set<std::string> names;
  for (const SheetMark& mark : sheet->marks) {
    EXPECT_TRUE(names.insert(mark.name).second) << mark.name;
    EXPECT_GT(mark.page, 1) << "the first page is the map";
  }
  EXPECT_EQ(names.size(), 4U);
  for (std::size_t i = 0; i < sheet->pages.size(); ++i) {
    EXPECT_EQ(sheet->pages[i].number, static_cast<int>(i) + 1);
  }
  // "four" lies on its own paper, 279.4 mm long.
  const auto of = std::find_if(sheet->marks.begin(), sheet->marks.end(),
                               [](const SheetMark& m) { return m.name == "M four"; });
  const Drawing& letter = sheet->pages[of->page - 1].drawing;
  EXPECT_DOUBLE_EQ(std::max(letter.width, letter.height), 279.4);
  std::vector<DevelopedPiece> pieces(input.pieces.begin(), input.pieces.begin() + 3);
  int pairs = 0;
  for (const PlannedPage& plan : PlanPages(input, {210, 297}, &pieces)) {
    for (const PiecePlace& a : plan.places) {
      for (const PiecePlace& b : plan.places) {
        if (&a == &b) continue;
        ++pairs;
        const Box one{a.window.low + a.shift, a.window.high + a.shift};
        const Box two{b.window.low + b.shift, b.window.high + b.shift};
        EXPECT_FALSE(one.Overlaps(two.Grown(15.9)));
      }
    }
  }
  EXPECT_GT(pairs, 0);
}

TEST(PackedSheet, BeginsWithAMapThatNamesPiecesAndPages) {
  const TemplateSheetInput input =
      PackedInput({Template("one", "arm", 100, 60), Template("wrap", "tube", 300, 239)});
  const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  ASSERT_TRUE(sheet) << sheet.error().message;
  const Scratch scratch;
  const std::string pdf = scratch.Put("p.pdf", *ToPdf(sheet->Drawings(), {"t", "2026-11-25"}));
  const std::string map = Output("pdftotext -layout -f 1 -l 1 " + pdf + " -");
  for (const char* words : {"LEFT", "map of the pages", "1 one", "2 wrap", "arm, tube"}) {
    EXPECT_NE(map.find(words), std::string::npos) << words << " in " << map;
  }
  ASSERT_GT(sheet->pages.size(), 4U);
  for (std::size_t page = 2; page <= sheet->pages.size(); ++page) {
    EXPECT_NE(map.find("Page " + std::to_string(page)), std::string::npos) << page;
  }
  // Joins name the pages as they are numbered after the map.
  for (const SheetPage& page : sheet->pages) {
    for (const MatchMark& mark : page.match_marks) {
      const auto& other = sheet->pages.at(static_cast<std::size_t>(mark.other_page) - 1);
      EXPECT_TRUE(std::any_of(other.match_marks.begin(), other.match_marks.end(),
                              [&](const MatchMark& m) {
                                return m.letter == mark.letter && m.other_page == page.number;
                              }))
          << mark.letter;
    }
  }
}

TEST(PackedSheet, TurnsAPieceWhereThatSavesAPageAndItsLetteringStaysUpright) {
  // Upright it needs tiles on every page; turned it is as the paper.
  const std::vector<TemplateSheetInput> templates = {Template("wide", "arm", 215, 40),
                                                     Template("tall", "arm", 40, 215)};
  const Result<TemplateSheet> sheet = MakeTemplateSheet(PackedInput(templates));
  ASSERT_TRUE(sheet) << sheet.error().message;
  std::size_t apart = 0;
  for (const TemplateSheetInput& one : templates) apart += MakeTemplateSheet(one)->pages.size();
  EXPECT_EQ(apart, 3U);
  EXPECT_EQ(sheet->pages.size(), 2U);
  int names = 0;
  for (const Item& item : sheet->pages[1].drawing.items) {
    const auto* text = std::get_if<Text>(&item.what);
    if (text == nullptr || text->words.rfind("M ", 0) != 0) continue;
    ++names;
    EXPECT_EQ(text->turn_rad, 0.0) << text->words;
  }
  EXPECT_EQ(names, 2);
}

TEST(PackedSheet, NamesThePartOfEachPieceOnIt) {
  const Result<TemplateSheet> sheet = MakeTemplateSheet(
      PackedInput({Template("one", "arm", 110, 60), Template("two", "tube", 110, 60)}));
  ASSERT_TRUE(sheet) << sheet.error().message;
  std::string labels;
  for (const SheetPage& page : sheet->pages) {
    for (const SheetLabel& label : page.labels) labels += label.words + "\n";
  }
  EXPECT_NE(labels.find("arm · one"), std::string::npos) << labels;
  EXPECT_NE(labels.find("tube · two"), std::string::npos) << labels;
}

}  // namespace
}  // namespace holeward
