#include <algorithm>
#include <map>
#include <random>
#include <set>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "export/page_pack.h"
#include "export/pdf.h"
#include "export/shelf_pack.h"
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
  EXPECT_EQ(sheet->pages.size(), 1U) << "one page, which needs no map";
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
}

/// Every box on a page, mm: pieces, tiles, card and map.
std::vector<Box> BoxesOn(const PlannedPage& page) {
  std::vector<Box> boxes;
  for (const PiecePlace& place : page.places) {
    boxes.push_back({place.window.low + place.shift, place.window.high + place.shift});
  }
  if (page.card) boxes.push_back(*page.card);
  if (page.map) boxes.push_back(*page.map);
  return boxes;
}

// Any pieces: all of each is on the pages, in as few tiles as can be, nothing lies on anything else
// or outside, and no more pages are taken than one for each tile.
TEST(PackedSheet, ShowsAllOfEveryPieceWithNothingOverlapping) {
  std::mt19937 random(20261129);
  std::uniform_real_distribution<double> length(25.0, 420.0);
  int shared = 0;
  int mapped = 0;
  for (int round = 0; round < 60; ++round) {
    std::vector<TemplateSheetInput> templates;
    const int count = 2 + round % 7;
    for (int i = 0; i < count; ++i) {
      templates.push_back(
          Template(std::to_string(i), "arm", length(random), 25.0 + 0.4 * length(random)));
    }
    const TemplateSheetInput input = PackedInput(templates);
    std::vector<DevelopedPiece> pieces = input.pieces;
    const PackedPages packed = PackPages(input, {210, 297}, 0, &pieces);
    if (packed.with_map) {
      ++mapped;
      EXPECT_TRUE(packed.pages.front().map.has_value());
    }
    std::size_t tiles = 0;
    std::map<int, double> shown;
    for (const PlannedPage& page : packed.pages) {
      const Box area = DividePage(page.size.width, page.size.height, input).drawing;
      const std::vector<Box> boxes = BoxesOn(page);
      for (std::size_t a = 0; a < boxes.size(); ++a) {
        EXPECT_TRUE(area.Contains(boxes[a])) << round;
        for (std::size_t b = 0; b < a; ++b) {
          EXPECT_FALSE(boxes[a].Overlaps(boxes[b].Grown(kBetween - 0.1))) << round;
        }
      }
      tiles += page.places.size();
      for (const PiecePlace& place : page.places) {
        if (place.tile.Tiled() && page.places.size() > 1) ++shared;
        // Without what neighbouring tiles both show.
        Vec2 own = place.window.Size();
        if (place.tile.column > 0) own.x() -= kTileOverlap;
        if (place.tile.row > 0) own.y() -= kTileOverlap;
        shown[place.piece] += own.x() * own.y();
      }
    }
    EXPECT_LE(packed.pages.size(), tiles + (packed.with_map ? 1U : 0U));
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      const Vec2 size = ExtentOf(pieces[i]).Size();
      EXPECT_NEAR(shown[static_cast<int>(i)], size.x() * size.y(), 1e-6) << round;
    }
  }
  EXPECT_GT(shared, 20) << "no tile shares a page: nothing was tested";
  EXPECT_GT(mapped, 10) << "no map shares a page: nothing was tested";
}

// Two strips, each cut in two: four tiles, which find room on two pages; apart they take four.
TEST(PackedSheet, LetsTilesShareAPageAndSaysSoAtTheirJoins) {
  const std::vector<TemplateSheetInput> templates = {Template("one", "arm", 330, 30),
                                                     Template("two", "tube", 330, 30)};
  std::size_t apart = 0;
  for (const TemplateSheetInput& one : templates) apart += MakeTemplateSheet(one)->pages.size();
  EXPECT_EQ(apart, 4U);
  const TemplateSheetInput input = PackedInput(templates);
  std::vector<DevelopedPiece> pieces = input.pieces;
  const PackedPages packed = PackPages(input, {210, 297}, 0, &pieces);
  EXPECT_TRUE(packed.with_map);
  EXPECT_EQ(packed.pages.size(), 2U);
  const Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  ASSERT_TRUE(sheet) << sheet.error().message;
  EXPECT_LE(sheet->pages.size(), 3U) << "the labels may want the room of the map";
  std::map<std::string, int> letters;
  for (const SheetPage& page : sheet->pages) {
    for (const MatchMark& mark : page.match_marks) ++letters[mark.letter];
    // Where both tiles are on one page, the join cannot name another.
    for (const SheetLabel& label : page.labels) {
      EXPECT_EQ(label.words.find(fmt::format("page {} ", page.number)), std::string::npos)
          << label.words;
    }
  }
  EXPECT_EQ(letters.size(), 4U) << "two crosses a join, no letter for two joins";
  for (const auto& [letter, times] : letters) EXPECT_EQ(times, 2) << letter;
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
  ASSERT_GE(sheet->pages.size(), 4U);
  for (std::size_t page = 2; page <= sheet->pages.size(); ++page) {
    EXPECT_NE(map.find("Page " + std::to_string(page)), std::string::npos) << page;
  }
  // Joins name the pages as they are numbered.
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
  ASSERT_EQ(sheet->pages.size(), 1U);
  int names = 0;
  for (const Item& item : sheet->pages[0].drawing.items) {
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
