#include "export/record_sheet.h"

#include <limits>

#include <gtest/gtest.h>

#include "export/paper.h"
#include "export/pdf.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_shop.h"

namespace holeward {
namespace {

using namespace testing_tools;

struct Read {
  std::size_t pages = 0;
  std::string text;
  std::vector<std::vector<SeenWord>> words;
};

Read Made(const ShopInput& input) {
  const auto pages = MakeRecordSheet(input);
  EXPECT_TRUE(pages) << (pages ? "" : pages.error().message);
  if (!pages) return {};
  const Scratch scratch;
  const std::string file = scratch.Put("r.pdf", *ToPdf(*pages, {"t", "2026-11-25"}));
  return {pages->size(), Output("pdftotext -layout " + file + " -"), WordsOf(file)};
}

bool Has(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// True if some line of the text has all of these.
bool HasRow(const std::string& text, const std::vector<std::string>& words) {
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    bool all = true;
    for (const std::string& word : words) all = all && Has(line, word);
    if (all) return true;
  }
  return false;
}

TEST(RecordSheet, IsOneSideOfPaperWithEveryPointOfBothSides) {
  const Read record = Made(Shop());
  EXPECT_EQ(record.pages, 1U);
  for (const char* side : {"LEFT ", "RIGHT "}) {
    EXPECT_TRUE(HasRow(record.text, {std::string(side) + "A1", "arm, underside", "2.9 mm"}));
    EXPECT_TRUE(HasRow(record.text, {std::string(side) + "A3", "⌀3.5, ⌀8", "24.3", "plug for ⌀8"}));
    EXPECT_TRUE(HasRow(record.text, {std::string(side) + "A4", "sealant"}));
  }
  for (const char* words : {"Vehicle identification number", "Inspector", "Odometer", "seen",
                            "tested", "remaining,", "Signature", "HW-0107 · C", "2222c1e8-0.1.0"}) {
    EXPECT_TRUE(Has(record.text, words)) << words;
  }
  EXPECT_FALSE(Has(record.text, "NOT RELEASED"));
}

TEST(RecordSheet, ShowsTheFlowOfDecisionsInPlaceOfTheGeneralQuestion) {
  ShopInput input = Shop();
  DecisionRow fails{"any test fails", "Replace the arm.", {}, {}};
  fails.condition.kind = Condition::Kind::any;
  const DecisionRow rest{"otherwise", "The arm stays in use.", {}, {}};
  EXPECT_TRUE(Has(Made(input).text, "The part is taken out of use"));
  input.decisions = {fails, fails, fails, rest};
  const Read record = Made(input);
  EXPECT_EQ(record.pages, 1U);
  EXPECT_TRUE(HasRow(record.text, {"1", "any test fails?", "Replace the arm."}));
  EXPECT_TRUE(HasRow(record.text, {"4", "Otherwise", "The arm stays in use."}));
  EXPECT_FALSE(Has(record.text, "The part is taken out of use"));
  for (const char* words : {"yes", "no", "Signature"})
    EXPECT_TRUE(Has(record.text, words)) << words;
}

TEST(RecordSheet, StaysOnOneSideForAWholeCampaign) {
  // Four test points and five holes a side, one of them with the longest name a job may give.
  ShopInput input = Shop();
  for (ShopSide& side : input.sides) {
    for (const char* name : {"B1", "B2", "B3"}) side.points.push_back(TestPoint(name));
    for (const char* name : {"C1", "C2", "C3"}) side.points.push_back(Hole(name, 7.0, 9.0));
    side.points.back().name = "Entwässerungsbohrung hinten unten, zweite Ausführung, innen";
  }
  const Read record = Made(input);
  EXPECT_EQ(record.pages, 1U);
  EXPECT_TRUE(Has(record.text, "Signature"));
}

TEST(RecordSheet, GoesOnOverleafWhenTheJobIsLarger) {
  ShopInput input = Shop();
  for (int i = 0; i < 40; ++i) input.sides[0].points.push_back(Hole("H" + std::to_string(i), 7, 9));
  const Read record = Made(input);
  EXPECT_EQ(record.pages, 2U);
  for (int i = 0; i < 40; ++i) EXPECT_TRUE(Has(record.text, "LEFT H" + std::to_string(i))) << i;
  EXPECT_TRUE(Has(record.text, "2 of 2"));
}

TEST(RecordSheet, AsksNoTickForWhatIsNotClear) {
  ShopInput input = Shop();
  input.sides.resize(1);
  const auto ticks = [](const ShopInput& of) {
    std::size_t squares = 0;
    const auto pages = MakeRecordSheet(of);
    for (const Item& item : pages->front().items) {
      const auto* stroke = std::get_if<Stroke>(&item.what);
      squares += stroke != nullptr && stroke->closed && stroke->width == kMiddleWidth;
    }
    return squares;
  };
  const std::size_t before = ticks(input);
  input.sides[0].points[1].verdict = Verdict::contact;
  // Pilot, final, edge, closed.
  EXPECT_EQ(ticks(input), before - 4);
  EXPECT_TRUE(HasRow(Made(input).text, {"LEFT A3", "CONTACT"}));
  input.sides[0].points[0].verdict = Verdict::unproven;
  // Tested, pass, fail; that it was seen may be said.
  EXPECT_EQ(ticks(input), before - 7);
}

TEST(RecordSheet, SaysNotReleasedWithTheReason) {
  ShopInput input = Shop();
  input.facts.released = false;
  input.facts.reason = "Not clear. tight: A4.";
  EXPECT_TRUE(Has(Made(input).text, "NOT RELEASED: Not clear. tight: A4."));
}

TEST(RecordSheet, KeepsInsideThePage) {
  ShopInput input = Shop();
  for (ShopSide& side : input.sides) {
    side.points[0].name = std::string(60, 'W');
    side.points[1].name = std::string(60, 'W');
    side.points[0].part = std::string(60, 'M');
  }
  std::size_t seen = 0;
  for (const auto& words : Made(input).words) {
    for (const SeenWord& word : words) {
      EXPECT_GE(word.low.x(), kPaperMargin - 0.5) << word.words;
      EXPECT_LE(word.high.x(), 210.0 - kPaperMargin + 0.5) << word.words;
      ++seen;
    }
  }
  EXPECT_GT(seen, 100U);
}

TEST(RecordSheet, RefusesNumbersThatAreNotFinite) {
  ShopInput input = Shop();
  input.sides[0].points[1].probe.depth = std::numeric_limits<double>::infinity();
  const auto pages = MakeRecordSheet(input);
  ASSERT_FALSE(pages);
  EXPECT_EQ(pages.error().message, "A3: probe depth is not a finite number");
}

}  // namespace
}  // namespace holeward
