#include "export/instruction_sheet.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include <gtest/gtest.h>

#include "export/paper.h"
#include "export/pdf.h"
#include "export/shop_words.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_shop.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kReadBack = 0.005;  ///< mm, what reading a PDF back may lose

InstructionSheet Made(const ShopInput& input) {
  auto sheet = MakeInstructionSheet(input);
  EXPECT_TRUE(sheet) << (sheet ? "" : sheet.error().message);
  return sheet ? std::move(*sheet) : InstructionSheet{};
}

std::string Put(const Scratch& scratch, const InstructionSheet& sheet) {
  return scratch.Put("i.pdf", *ToPdf(sheet.pages, {"t", "2026-11-25"}));
}

std::string PageText(const std::string& file, std::size_t page) {
  const std::string number = std::to_string(page);
  return Output("pdftotext -layout -f " + number + " -l " + number + " " + file + " -");
}

/// The whole text, blanks and line ends made one blank.
std::string AllText(const std::string& file) {
  std::string out;
  for (const char c : Output("pdftotext " + file + " -")) {
    const bool blank = c == ' ' || c == '\n' || c == '\f';
    if (blank && (out.empty() || out.back() == ' ')) continue;
    out += blank ? ' ' : c;
  }
  return out;
}

bool Has(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

TEST(InstructionSheet, GoesThroughOneSideAfterTheOther) {
  const InstructionSheet sheet = Made(Shop());
  const Scratch scratch;
  const std::string file = Put(scratch, sheet);
  // Cautions and tools, points, steps, gauge, card: five pages or more a side, as many on each.
  ASSERT_GE(sheet.pages.size(), 10U);
  ASSERT_EQ(sheet.pages.size() % 2, 0U);
  const std::size_t half = sheet.pages.size() / 2;
  for (std::size_t page = 1; page <= sheet.pages.size(); ++page) {
    const std::string text = PageText(file, page);
    EXPECT_EQ(Has(text, "LEFT"), page <= half) << page;
    EXPECT_EQ(Has(text, "RIGHT"), page > half) << page;
    EXPECT_TRUE(Has(text, "HW-0107 · C")) << page;
    EXPECT_TRUE(Has(text, "2222c1e8-0.1.0")) << page;
    EXPECT_TRUE(Has(text, "CAUTION")) << page;
    EXPECT_TRUE(Has(text, std::to_string(page) + " of " + std::to_string(sheet.pages.size())))
        << page;
    EXPECT_FALSE(Has(text, "NOT RELEASED")) << page;
  }
}

TEST(InstructionSheet, AsksFirstWhichSetIsForTheVehicle) {
  ShopInput input = Shop();
  input.variant_question = "How wide is the bracket?";
  input.variants = {{"36 mm", input.facts.head.set_number}, {"42 mm", "HW-0108"}};
  const Scratch scratch;
  const std::string text = PageText(Put(scratch, Made(input)), 1);
  EXPECT_TRUE(Has(text, "How wide is the bracket?")) << text;
  EXPECT_TRUE(Has(text, "36 mm: this set, HW-0107")) << text;
  EXPECT_TRUE(Has(text, "42 mm: set HW-0108. Stop: do not use this one")) << text;
  EXPECT_LT(text.find("How wide"), text.find("Tools and materials"));
}

TEST(InstructionSheet, SaysNotReleasedOnEveryPageWithTheReason) {
  ShopInput input = Shop();
  input.facts.released = false;
  input.facts.reason = "Not clear. tight: A4.";
  const InstructionSheet sheet = Made(input);
  const Scratch scratch;
  const std::string file = Put(scratch, sheet);
  for (std::size_t i = 0; i < sheet.pages.size(); ++i) {
    EXPECT_TRUE(Has(PageText(file, i + 1), "NOT RELEASED: Not clear. tight: A4.")) << i;
    const auto& items = sheet.pages[i].items;
    EXPECT_TRUE(std::any_of(items.begin(), items.end(), [](const Item& item) {
      return item.group == Group::banner;
    })) << i;
  }
}

TEST(InstructionSheet, DrawsEachDrillAndItsStopAtTrueSizeAsReadBackFromThePdf) {
  ShopInput input = Shop();
  input.drill.collar = {16.0, 10.0};
  const InstructionSheet sheet = Made(input);
  ASSERT_EQ(sheet.gauges.size(), 8U);  // four settings a side
  const Scratch scratch;
  const auto pages = LinesOf(Put(scratch, sheet));
  ASSERT_EQ(pages.size(), sheet.pages.size());
  std::set<double> stops;
  for (const GaugePlace& gauge : sheet.gauges) {
    const auto& lines = pages.at(static_cast<std::size_t>(gauge.page - 1));
    const double r = gauge.diameter / 2.0;
    ASSERT_TRUE(gauge.stop && gauge.stop_face);
    stops.insert(*gauge.stop);
    // The point: a cone of 118 degrees from the tip to the full radius (ISO 5419: p = r / tan 59).
    const double p = r / std::tan(59.0 * kDegree);
    for (const double up : {1.0, -1.0}) {
      const Vec2 corner = gauge.tip + Vec2(p, up * r);
      EXPECT_TRUE(HasLine(lines, gauge.tip, corner, kReadBack)) << gauge.diameter;
      EXPECT_TRUE(HasLine(lines, corner, {gauge.tip.x() + 60.0, corner.y()}, kReadBack))
          << gauge.diameter;
    }
    // The collar: its face the stop's depth behind the tip, then its length.
    const Vec2 face = gauge.tip + Vec2(*gauge.stop, 0.0);
    EXPECT_TRUE(HasLine(lines, face - Vec2(0.0, 8.0), face + Vec2(0.0, 8.0), kReadBack));
    EXPECT_TRUE(HasLine(lines, face + Vec2(0.0, 8.0), face + Vec2(10.0, 8.0), kReadBack));
  }
  EXPECT_EQ(stops, (std::set<double>{6.5, 7.0, 8.0, 9.5}));
  ASSERT_EQ(sheet.gauge_pages.size(), 2U);
  for (const GaugePage& page : sheet.gauge_pages) {
    EXPECT_NEAR((page.bar.to - page.bar.from).norm(), 150.0, 1e-9);
    EXPECT_TRUE(HasLine(pages.at(static_cast<std::size_t>(page.page - 1)), page.bar.from,
                        page.bar.to, kReadBack));
  }
}

TEST(InstructionSheet, MakesUpForAPrinterOnTheGauge) {
  // What the printer shrinks to 149.2 of 150 across must come out true: 150 / 149.2 on the page.
  ShopInput input = Shop();
  input.bars = PrinterBars{149.2, 150.6};
  const InstructionSheet sheet = Made(input);
  const Scratch scratch;
  const std::string file = Put(scratch, sheet);
  const auto pages = LinesOf(file);
  ASSERT_EQ(sheet.gauges.size(), 8U);
  for (const GaugePlace& gauge : sheet.gauges) {
    const Vec2 face = gauge.tip + Vec2(*gauge.stop * 150.0 / 149.2, 0.0);
    EXPECT_LE((*gauge.stop_face - face).norm(), 1e-9);
    const Vec2 half(0.0, 8.0 * 150.0 / 150.6);
    EXPECT_TRUE(HasLine(pages.at(static_cast<std::size_t>(gauge.page - 1)), face - half,
                        face + half, kReadBack));
  }
  for (const GaugePage& page : sheet.gauge_pages) {
    EXPECT_NEAR((page.bar.to - page.bar.from).norm(), 150.0 * 150.0 / 149.2, 1e-9);
    EXPECT_TRUE(Has(PageText(file, static_cast<std::size_t>(page.page)), "CORRECTED"));
  }
}

TEST(InstructionSheet, DrawsTheStepsOfAStepDrill) {
  ShopInput input = Shop();
  input.drill.kind = DrillKind::step;
  input.drill.steps = {{4.0, 12.0}, {6.0, 20.0}};
  input.sides.resize(1);
  input.sides[0].points = {Hole("A3", 6.5, 25.0)};
  const InstructionSheet sheet = Made(input);
  const auto gauge = std::find_if(sheet.gauges.begin(), sheet.gauges.end(),
                                  [](const GaugePlace& g) { return g.diameter == 8.0; });
  ASSERT_NE(gauge, sheet.gauges.end());
  const Scratch scratch;
  const auto pages = LinesOf(Put(scratch, sheet));
  const auto& lines = pages.at(static_cast<std::size_t>(gauge->page - 1));
  // Each step is as wide and as long as stated, one behind the other: 12, then 20 more.
  const double p = 2.0 / std::tan(59.0 * kDegree);
  EXPECT_TRUE(HasLine(lines, gauge->tip + Vec2(p, 2.0), gauge->tip + Vec2(12.0, 2.0), kReadBack));
  EXPECT_TRUE(
      HasLine(lines, gauge->tip + Vec2(32.0, 4.0), gauge->tip + Vec2(60.0, 4.0), kReadBack));
}

TEST(InstructionSheet, DrawsATubeWhereTheCollarDoesNotFit) {
  ShopInput input = Shop();
  input.sides.resize(1);
  input.sides[0].points = {Hole("A3", 6.5, 9.0)};
  input.sides[0].points[0].stages[1].projection = 17.0;  // 8 left: less than the collar's 10
  const InstructionSheet sheet = Made(input);
  const Scratch scratch;
  const std::string file = Put(scratch, sheet);
  EXPECT_TRUE(Has(AllText(file), "The collar is too long here: use a tube of 8.0 mm"));
  const auto pages = LinesOf(file);
  const GaugePlace& gauge = sheet.gauges.back();
  EXPECT_NEAR(gauge.end - gauge.tip.x(), 17.0, 1e-9);
}

TEST(InstructionSheet, NamesToolsRulesTiesAndClosingOfEveryHole) {
  const Scratch scratch;
  const std::string all = AllText(Put(scratch, Made(Shop())));
  for (const char* words :
       {"Twist drill ⌀3.5", "Twist drill ⌀8", "1 x plug for ⌀8", "Sealant of the campaign",
        "Test tool, tip ⌀3, foot ⌀8", "protractor for round parts", "A1 94.6 mm ±5.7",
        "58 mm by tape along the skin", "24.3 mm", "front end, bottom edge",
        "Bring the treatment in through A3, A4.", "WARNING", "NOTICE", "(torsion bar)",
        "(brake hose)", "licensed practice decide"}) {
    EXPECT_TRUE(Has(all, words)) << words;
  }
}

TEST(InstructionSheet, StepsStandInTheOrderOfTheWork) {
  const ShopInput input = Shop();
  std::vector<std::string> titles;
  for (const ShopStep& step : StepsOf(input, input.sides[0])) titles.push_back(step.title);
  EXPECT_EQ(titles,
            (std::vector<std::string>{"Clean", "Mark", "Check with the ties",
                                      "Punch through and take the sheet off", "Test", "Pilot holes",
                                      "Probe with the marked wire", "Final holes",
                                      "Deburr and protect the edge", "Treat", "Close", "Record"}));
}

TEST(InstructionSheet, OwnStepsStandWhereTheJobPutsThem) {
  ShopInput input = Shop();
  const auto own = [](const char* title, StepRow::Order order, StandardStep standard) {
    StepRow row;
    row.title = title;
    row.order = order;
    row.standard = standard;
    row.text = {"Do it."};
    return row;
  };
  input.steps = {own("b", StepRow::Order::before, StandardStep::treat),
                 own("a", StepRow::Order::after, StandardStep::deburr),
                 own("c", StepRow::Order::after, StandardStep::clean),
                 own("d", StepRow::Order::after, StandardStep::clean),
                 own("e", StepRow::Order::number, StandardStep::clean),
                 own("f", StepRow::Order::number, StandardStep::clean),
                 own("g", StepRow::Order::after, StandardStep::clean)};
  input.steps[4].number = 1;
  input.steps[5].number = 99;
  input.steps[6].only = Side::right;
  std::vector<std::string> titles;
  for (const ShopStep& step : StepsOf(input, input.sides[0])) titles.push_back(step.title);
  EXPECT_EQ(titles, (std::vector<std::string>{"e", "Clean", "c", "d", "Mark", "Check with the ties",
                                              "Punch through and take the sheet off", "Test",
                                              "Pilot holes", "Probe with the marked wire",
                                              "Final holes", "Deburr and protect the edge", "a",
                                              "b", "Treat", "Close", "Record", "f"}));
}

TEST(InstructionSheet, OwnStepsBringTheirCautionMaterialTorqueAndTime) {
  ShopInput input = Shop();
  StepRow row;
  row.title = "Refit the wheel";
  row.order = StepRow::Order::before;
  row.standard = StandardStep::record;
  row.text = {"Tighten the nuts crosswise."};
  row.caution = {Signal::danger, "A loose wheel comes off.", "Check each nut twice."};
  row.material = {"5 new wheel nuts"};
  row.minutes = 12.5;
  row.torque = {130, 150};
  input.steps = {row, row};
  input.steps[1].title = "Once more";
  EXPECT_EQ(HazardsOf(input, input.sides[0]).front().hazard, "A loose wheel comes off.");
  const auto tools = ToolsOf(input, input.sides[0]);
  const auto nuts = std::find_if(tools.begin(), tools.end(), [](const ToolLine& line) {
    return line.item == "5 new wheel nuts";
  });
  ASSERT_NE(nuts, tools.end());
  EXPECT_EQ(nuts->use, "Refit the wheel; Once more");
  const Scratch scratch;
  const std::string all = AllText(Put(scratch, Made(input)));
  for (const char* words : {"Tighten the nuts crosswise.", "DANGER", "Material: 5 new wheel nuts.",
                            "Torque: 130 to 150 N·m.", "Time: 12.5 min.", "25 min in all"}) {
    EXPECT_TRUE(Has(all, words)) << words;
  }
}

TEST(InstructionSheet, LeavesOutStepsTheJobHasNothingFor) {
  ShopInput input = Shop();
  ShopSide side = input.sides[0];
  side.points = {TestPoint("A1")};
  side.templates.clear();
  std::vector<std::string> titles;
  for (const ShopStep& step : StepsOf(input, side)) titles.push_back(step.title);
  EXPECT_EQ(titles, (std::vector<std::string>{"Clean", "Mark", "Check with the ties", "Punch",
                                              "Test", "Record"}));
}

TEST(InstructionSheet, NeverTellsToDrillOrTestWhatIsNotClear) {
  ShopInput input = Shop();
  input.sides.resize(1);
  for (const Verdict verdict : {Verdict::tight, Verdict::unproven, Verdict::contact}) {
    input.sides[0].points[0].verdict = verdict;
    input.sides[0].points[2].verdict = verdict;
    const auto steps = StepsOf(input, input.sides[0]);
    std::size_t held = 0;
    for (const ShopStep& step : steps) {
      for (const auto& row : step.table.rows) {
        if (row[0] != "A4" || row.size() != 5) continue;
        EXPECT_EQ(row.back(), std::string("DO NOT DRILL: ") + Word(verdict)) << step.title;
        ++held;
      }
      if (step.title == "Test") {
        EXPECT_EQ(step.sentences.front(), "DO NOT TEST, not clear: A1.");
      }
    }
    EXPECT_EQ(held, 2U);
    const Scratch scratch;
    const std::string all = AllText(Put(scratch, Made(input)));
    EXPECT_TRUE(Has(all, "A4 pilot NOT CLEAR, DO NOT DRILL"));
    EXPECT_TRUE(Has(all, "DO NOT TEST A1."));
  }
}

TEST(InstructionSheet, PutsInchesBesideMillimetresWhereTheJobHasThem) {
  ShopInput input = Shop();
  input.inches = true;
  const Scratch scratch;
  const std::string all = AllText(Put(scratch, Made(input)));
  EXPECT_TRUE(Has(all, "6.5 mm (0.256 in)"));
  EXPECT_TRUE(Has(all, "⌀8 (0.315 in)"));
}

TEST(InstructionSheet, KeepsTheGaugesWordsInTheirColumn) {
  ShopInput input = Shop();
  input.inches = true;
  const InstructionSheet sheet = Made(input);
  const Scratch scratch;
  const auto pages = WordsOf(Put(scratch, sheet));
  const auto& words = pages.at(static_cast<std::size_t>(sheet.gauge_pages.front().page - 1));
  std::size_t seen = 0;
  for (const SeenWord& word : words) {
    const bool gauge = word.low.y() > 80.0 && word.high.y() < 262.0;  // all four fit one column
    if (!gauge) continue;
    EXPECT_LE(word.high.x(), 105.0) << word.words;
    ++seen;
  }
  EXPECT_GT(seen, 20U);
}

TEST(InstructionSheet, KeepsLongNamesWholeAndInsideThePage) {
  ShopInput input = Shop();
  input.posture = std::string(200, 'w');
  input.facts.reason = std::string(300, 'r');
  input.facts.released = false;
  for (ShopSide& side : input.sides) {
    side.points[1].name = "Entwässerungsbohrung hinten unten, zweite Ausführung, innen";
    side.points[2].part = "Querrohr der Hinterachse mit Zwischenflansch und Halter";
    side.points[2].ties = {{side.points[1].name, 123.4, 5.6}, {"A1", 1.0, {}}};
    side.templates[0].name = std::string(60, 'W');
  }
  const InstructionSheet sheet = Made(input);
  const Scratch scratch;
  const std::string file = Put(scratch, sheet);
  std::size_t seen = 0;
  for (const auto& words : WordsOf(file)) {
    for (const SeenWord& word : words) {
      if (word.words == "NOT" || word.words == "RELEASED") continue;
      EXPECT_GE(word.low.x(), kPaperMargin - 0.5) << word.words;
      EXPECT_LE(word.high.x(), 210.0 - kPaperMargin + 0.5) << word.words;
      EXPECT_GE(word.low.y(), kPaperMargin - 1.5) << word.words;
      ++seen;
    }
  }
  EXPECT_GT(seen, 1000U);
  EXPECT_TRUE(Has(AllText(file), "Ausführung, innen"));
}

TEST(InstructionSheet, RefusesNumbersThatAreNotFinite) {
  ShopInput input = Shop();
  input.sides[1].points[2].stages[1].check.stop = std::numeric_limits<double>::quiet_NaN();
  const auto sheet = MakeInstructionSheet(input);
  ASSERT_FALSE(sheet);
  EXPECT_EQ(sheet.error().message, "A4: stop is not a finite number");
}

}  // namespace
}  // namespace holeward
