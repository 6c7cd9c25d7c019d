#include "export/clearance_report.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>

#include <gtest/gtest.h>

#include "export/clearance_charts.h"
#include "export/clearance_hatch.h"
#include "export/clearance_json.h"
#include "export/lettering.h"
#include "export/paper.h"
#include "export/pdf.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_clearance.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kNoNumber = std::numeric_limits<double>::quiet_NaN();

std::string PdfOf(const ClearanceReportInput& input) {
  const auto report = MakeClearanceReport(input);
  EXPECT_TRUE(report) << (report ? "" : report.error().message);
  return report ? *ToPdf(report->pages, {"Test", "2026-11-25"}) : "";
}

/// A page's text in the order it is read.
std::string TextOf(const std::string& file, std::size_t page) {
  return Output("pdftotext -layout -f " + std::to_string(page) + " -l " + std::to_string(page) +
                " " + file + " -");
}

bool Has(const std::string& text, const std::string& words) {
  return text.find(words) != std::string::npos;
}

/// Blanks and line ends made one blank, so that a sentence is found wherever it breaks.
std::string Flowing(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool blank = c == ' ' || c == '\n' || c == '\f';
    if (blank && (out.empty() || out.back() == ' ')) continue;
    out += blank ? ' ' : c;
  }
  return out;
}

/// Names as long as a job may give them, and figures that take room.
ClearanceReportInput LongNames() {
  const std::string body = "Torsionsstabverstellhebelgehäuse, innen liegend, zweite Ausführung";
  ClearanceHole hole = TubeHole(8, 10);
  hole.check.point = "Entwässerungsbohrung hinten unten";
  hole.check.part = "Querrohr der Hinterachse, Ausführung mit Zwischenflansch";
  hole.check.first_contact->body = body;
  hole.check.verdict = Verdict::contact;
  hole.check.reasons = {"The worst margin is below 0: " + body + " may be met."};
  hole.section->regions[1].name = body;
  hole.section->plane = "as square as it can be to the centre line of the " + hole.check.part;
  hole.shares[0].error = "reading of the protractor about the tube's bottom line";
  hole.tables[0].rows[0].name = body + " " + body;
  hole.tables[0].rows[0].value = "123456789012345678901234567890";
  ClearanceReportInput input = ReportInput({hole, hole});
  input.head.title =
      "A title that goes on and on, past the end of its cell, and then some more of it";
  input.head.set_number = "HW-000000000000000000107";
  input.limits += ", " + body + ", " + body + ", " + body + ", " + body;
  input.posture = "on a two-post lift, wheels hanging, dampers connected, tank empty, doors shut";
  input.released = false;
  input.reason = "Not clear. contact: " + hole.check.point + ". " + body + ". " + body + ".";
  return input;
}

TEST(ClearanceReport, NamesEveryHoleItsBodyAndItsVerdict) {
  ClearanceHole first = TubeHole(3.5, 7.5);
  first.check.point = "D1";
  first.check.verdict = Verdict::tight;
  first.sides = {Side::right};
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", PdfOf(ReportInput({first, TubeHole(8, 10)})));
  const std::string front = TextOf(file, 1);
  std::istringstream lines(front);
  int rows = 0;
  for (std::string line; std::getline(lines, line);) {
    if (Has(line, "D1") && Has(line, "right") && Has(line, "torsion bar") && Has(line, "20.7") &&
        Has(line, "tight")) {
      ++rows;
    }
    if (Has(line, "T3") && Has(line, "both alike") && Has(line, "torsion bar") &&
        Has(line, "18.2") && Has(line, "clear")) {
      ++rows;
    }
  }
  EXPECT_EQ(rows, 2) << front;
  const std::string all = Output("pdftotext " + file + " -");
  EXPECT_TRUE(Has(all, "LEFT AND RIGHT ALIKE"));
  EXPECT_TRUE(Has(all, "RIGHT\n"));
  EXPECT_TRUE(Has(all, "TIGHT"));
}

TEST(ClearanceReport, SaysWhatItRestsOnAndWhoDecides) {
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", PdfOf(ReportInput({TubeHole(8, 10)})));
  const std::string all = Flowing(Output("pdftotext " + file + " -"));
  for (const char* words :
       {"licensed practice decide", "released by a named engineer or not at all",
        "may reject a stressed arm with a hole", "Set to 0 by the job: punch.", "Not checked",
        "The condition of the metal.", "Wear eye and breathing protection.", "inner_body",
        "Drawn for the probability of contact: each error even", "edge_distance",
        "tube, wall 3.5 mm", "Nothing that rests on an assumed wall"}) {
    EXPECT_TRUE(Has(all, words)) << words;
  }
}

TEST(ClearanceReport, DrawsTheWallToTheStatedScale) {
  // A wall of known thickness with flat faces: in the file its two lines lie thickness x scale
  // apart, in the whole view and in the detail, as a tool that is not ours reads them.
  ClearanceHole hole = TubeHole(8, 10);
  hole.section->regions = {{"box",
                            SheetRegionKind::wall,
                            {{{{-25, -50}, {25, -50}, {25, 0}, {-25, 0}}, {}},
                             {{{-21.5, -46.5}, {21.5, -46.5}, {21.5, -3.5}, {-21.5, -3.5}}, {}}},
                            {}}};
  const auto report = MakeClearanceReport(ReportInput({hole}));
  ASSERT_TRUE(report);
  ASSERT_EQ(report->sections.size(), 1U);
  const DrawnSection& drawn = report->sections[0].drawn;
  const Scratch scratch;
  const auto pages = LinesOf(scratch.Put("a.pdf", *ToPdf(report->pages, {"Test", "2026-11-25"})));
  const auto& lines = pages.at(static_cast<std::size_t>(report->sections[0].page - 1));
  for (const SectionView* view : {&drawn.whole, &drawn.detail}) {
    // Nearest level lines to the right of the drill, inside the view.
    std::vector<double> found;
    for (const SeenLine& line : lines) {
      const bool level = std::abs(line.a.y() - line.b.y()) < 1e-6;
      const bool inside =
          view->window.Grown(0.01).Contains(line.a) && view->window.Grown(0.01).Contains(line.b);
      const bool right = std::min(line.a.x(), line.b.x()) > view->entry.x() + 3.9 * view->scale;
      if (level && inside && right && line.a.y() > view->window.low.y() + 0.01 &&
          line.a.y() < view->window.high.y() - 0.01) {
        found.push_back(line.a.y());
      }
    }
    std::sort(found.begin(), found.end(), std::greater<>());
    ASSERT_GE(found.size(), 2U) << view->scale_words;
    EXPECT_NEAR(found[0] - found[1], 3.5 * view->scale, 0.01) << view->scale_words;
    EXPECT_NEAR(found[0], view->entry.y(), 0.01) << view->scale_words;
  }
  EXPECT_EQ(drawn.whole.scale_words, "1:1");
  EXPECT_EQ(drawn.detail.scale_words, "2:1");
}

TEST(ClearanceReport, DimensionsAreAsLongAsTheySay) {
  for (const double diameter : {3.5, 8.0, 20.0}) {
    const auto report = MakeClearanceReport(ReportInput({TubeHole(diameter, 10.5)}));
    ASSERT_TRUE(report);
    const DrawnSection& drawn = report->sections[0].drawn;
    std::vector<std::string> names;
    for (const DrawnDimension& d : drawn.dimensions) {
      EXPECT_NEAR((d.to - d.from).norm(), std::abs(d.value) * d.scale, 0.01) << d.what;
      names.push_back(d.what);
    }
    for (const char* name : {"near wall", "break-through", "stop", "margin"}) {
      EXPECT_NE(std::find(names.begin(), names.end(), name), names.end()) << name;
    }
  }
}

TEST(ClearanceReport, UsesOnlyTheScalesOfIso5455) {
  // ISO 5455: enlargement 2:1, 5:1, 10:1, 20:1; full size 1:1; reduction 1:2, 1:5, 1:10 (from
  // memory, unverified).
  for (const double size : {12.0, 40.0, 89.0, 150.0, 420.0, 2000.0}) {
    ClearanceHole hole = TubeHole(3.5, 7.5);
    const Vec2 centre(0.0, -size / 2.0);
    hole.section->regions = {
        {"tube",
         SheetRegionKind::wall,
         {{Ring(centre, size / 2.0), {}}, {Ring(centre, size / 2.0 - 3.5), {}}},
         centre}};
    const auto report = MakeClearanceReport(ReportInput({hole}));
    ASSERT_TRUE(report);
    for (const SectionView* view :
         {&report->sections[0].drawn.whole, &report->sections[0].drawn.detail}) {
      double over = 0.0;
      double under = 0.0;
      ASSERT_EQ(std::sscanf(view->scale_words.c_str(), "%lf:%lf", &over, &under), 2);
      EXPECT_DOUBLE_EQ(view->scale, over / under);
      const double ratio = std::max(over, under);
      EXPECT_TRUE(ratio == 1 || ratio == 2 || ratio == 5 || ratio == 10 || ratio == 20) << ratio;
    }
  }
}

TEST(ClearanceReport, SaysTheSameInTheSameBytes) {
  const ClearanceReportInput input = ReportInput({TubeHole(3.5, 7.5), TubeHole(8, 10)});
  const std::string first = PdfOf(input);
  EXPECT_EQ(first, PdfOf(input));
  ClearanceReportInput other = input;
  other.holes[0].check.margin_worst = 19.0;
  EXPECT_NE(first, PdfOf(other));
}

void ExpectInside(const Drawing& page, std::size_t number) {
  const Box paper = Box{{0.0, 0.0}, {page.width, page.height}}.Grown(0.8 - kPaperMargin);
  const auto inside = [&](const Vec2& p) {
    EXPECT_TRUE(paper.Contains(p)) << number << ": " << p.transpose();
  };
  for (const Item& item : page.items) {
    if (const auto* stroke = std::get_if<Stroke>(&item.what)) {
      for (const Vec2& p : stroke->points) inside(p);
    }
    if (const auto* fill = std::get_if<Fill>(&item.what)) {
      for (const Vec2& p : fill->points) inside(p);
    }
    const auto* text = std::get_if<Text>(&item.what);
    if (text == nullptr || text->turn_rad != 0.0) continue;
    const double width = TextWidth(text->words, text->height, text->bold);
    const double share = text->align == AlignX::left    ? 0.0
                         : text->align == AlignX::right ? 1.0
                                                        : 0.5;
    inside(text->at - Vec2(share * width, 0.0));
    inside(text->at + Vec2((1.0 - share) * width, text->height));
  }
}

TEST(ClearanceReport, KeepsOffTheEdgesOfThePaperWhateverTheNames) {
  for (const ClearanceReportInput& input : {LongNames(), ReportInput({TubeHole(3.5, 7.5)})}) {
    const auto report = MakeClearanceReport(input);
    ASSERT_TRUE(report);
    ASSERT_GE(report->pages.size(), 3U);
    for (std::size_t i = 0; i < report->pages.size(); ++i) ExpectInside(report->pages[i], i + 1);
  }
}

TEST(ClearanceReport, LaysNoWordOverAnother) {
  for (const bool long_names : {false, true}) {
    ClearanceReportInput input = long_names ? LongNames() : ReportInput({TubeHole(3.5, 7.5)});
    const auto report = MakeClearanceReport(input);
    ASSERT_TRUE(report);
    int seen = 0;
    for (std::size_t i = 0; i < report->pages.size(); ++i) {
      std::vector<std::pair<Box, std::string>> boxes;
      for (const Item& item : report->pages[i].items) {
        const auto* text = std::get_if<Text>(&item.what);
        if (text == nullptr || item.group == Group::banner || text->words.empty()) continue;
        const double width = TextWidth(text->words, text->height, text->bold);
        const double share = text->align == AlignX::left    ? 0.0
                             : text->align == AlignX::right ? 1.0
                                                            : 0.5;
        const Vec2 low = text->at - Vec2(share * width, 0.0);
        boxes.emplace_back(Box{low, low + Vec2(width, text->height)}, text->words);
      }
      for (std::size_t a = 0; a < boxes.size(); ++a) {
        for (std::size_t b = a + 1; b < boxes.size(); ++b) {
          ++seen;
          EXPECT_FALSE(boxes[a].first.Grown(-0.01).Overlaps(boxes[b].first))
              << "page " << i + 1 << ": " << boxes[a].second << " / " << boxes[b].second;
        }
      }
    }
    EXPECT_GT(seen, 1000);
  }
}

TEST(ClearanceReport, KeepsTheDimensionsOfTheWholeOffTheDetail) {
  for (const bool stopped : {true, false}) {
    ClearanceHole hole = TubeHole(8, 18.1);
    if (!stopped) hole.check.stop.reset();
    hole.check.margin = -101.1;
    const auto report = MakeClearanceReport(ReportInput({hole}));
    ASSERT_TRUE(report);
    const DrawnSection& drawn = report->sections[0].drawn;
    ASSERT_GE(drawn.words.size(), 7U);
    for (const Box& words : drawn.words) {
      EXPECT_FALSE(words.Overlaps(drawn.detail.window)) << stopped;
    }
  }
}

TEST(ClearanceReport, CarriesNotReleasedOnEveryPageUnlessReleased) {
  ClearanceReportInput input = ReportInput({TubeHole(3.5, 7.5), TubeHole(8, 10)});
  const Scratch scratch;
  const std::string released = scratch.Put("a.pdf", PdfOf(input));
  EXPECT_FALSE(Has(Output("pdftotext " + released + " -"), "NOT RELEASED"));
  input.released = false;
  input.reason = "Not clear. contact: T3.";
  const std::string file = scratch.Put("b.pdf", PdfOf(input));
  const auto report = MakeClearanceReport(input);
  ASSERT_TRUE(report);
  for (std::size_t page = 1; page <= report->pages.size(); ++page) {
    EXPECT_TRUE(Has(Flowing(TextOf(file, page)), "NOT RELEASED: Not clear. contact: T3.")) << page;
  }
  for (const Drawing& page : report->pages) {
    EXPECT_TRUE(std::any_of(page.items.begin(), page.items.end(),
                            [](const Item& item) { return item.group == Group::banner; }));
  }
}

TEST(ClearanceReport, RefusesWhatIsNotANumber) {
  const auto refused = [](const std::function<void(ClearanceHole*)>& spoil) {
    ClearanceHole hole = TubeHole(8, 10);
    spoil(&hole);
    const auto report = MakeClearanceReport(ReportInput({hole}));
    const auto json = ClearanceJson(ReportInput({hole}));
    return !report && !json && Has(report.error().message, "T3") &&
           Has(report.error().message, "not a number");
  };
  EXPECT_FALSE(refused([](ClearanceHole*) {}));
  EXPECT_TRUE(refused([](ClearanceHole* h) { h->check.margin_worst = kNoNumber; }));
  EXPECT_TRUE(
      refused([](ClearanceHole* h) { h->section->regions[0].loops[1].points[7].x() = kNoNumber; }));
  EXPECT_TRUE(
      refused([](ClearanceHole* h) { h->section->drill_worst[0].points[0].y() = INFINITY; }));
  EXPECT_TRUE(refused([](ClearanceHole* h) { h->chance->bins[3].share = kNoNumber; }));
  EXPECT_TRUE(refused([](ClearanceHole* h) { h->shares[0].gain = kNoNumber; }));
  EXPECT_TRUE(refused([](ClearanceHole* h) { h->probe_depth = kNoNumber; }));
}

TEST(ClearanceReport, SaysWhereABlockWasNotComputed) {
  ClearanceHole hole = TubeHole(8, 10);
  hole.section.reset();
  hole.chance.reset();
  hole.shares.clear();
  hole.no_section = "the axis never meets metal";
  hole.check.outcome = Outcome::not_computed;
  hole.check.verdict = Verdict::unproven;
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", PdfOf(ReportInput({hole})));
  const std::string all = Flowing(Output("pdftotext " + file + " -"));
  EXPECT_TRUE(Has(all, "Section drawing: the axis never meets metal"));
  EXPECT_TRUE(Has(all, "not computed in this version"));
  EXPECT_TRUE(Has(all, "UNPROVEN"));
}

TEST(ClearanceReport, PrintsABoundNeverBetterThanItIs) {
  ClearanceHole hole = TubeHole(8, 10);
  hole.check.margin_worst = 5.9999;  // below the limit of 6.0: must not look like 6.0
  hole.margin_worst_upper.reset();
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", PdfOf(ReportInput({hole})));
  EXPECT_TRUE(Has(Output("pdftotext " + file + " -"), "worst 5.9"));
  EXPECT_FALSE(Has(Output("pdftotext " + file + " -"), "worst 6.0"));
}

TEST(ClearanceJson, HoldsEachSideAndWhatIsMissing) {
  ClearanceHole hole = TubeHole(8, 10);
  hole.chance.reset();
  const auto json = ClearanceJson(ReportInput({hole}));
  ASSERT_TRUE(json);
  ASSERT_EQ((*json)["holes"].size(), 2U);
  EXPECT_EQ((*json)["holes"][0]["side"], "left");
  EXPECT_EQ((*json)["holes"][1]["side"], "right");
  EXPECT_DOUBLE_EQ((*json)["holes"][1]["margin_worst_mm"], 18.2);
  EXPECT_EQ((*json)["holes"][0]["governing_body"], "torsion bar");
  EXPECT_EQ((*json)["holes"][0]["not_computed"]["probability_contact"],
            "not computed in this version");
  EXPECT_EQ((*json)["verdict"], "clear");
  EXPECT_EQ((*json)["marking"]["distribution"]["inner_body"], "rectangular");
  EXPECT_EQ((*json)["marking"]["distribution"].size(), 10U);
}

// ---- Hatching

TEST(Hatch, StaysInsideItsRegionAndOutOfTheDrill) {
  const Vec2 centre(50.0, 60.0);
  const Loops ring = {Ring(centre, 30.0, 720), Ring(centre, 24.0, 720)};
  const Loops drill = {{{46, 80}, {54, 80}, {54, 100}, {46, 100}}};
  const Box window{{10.0, 20.0}, {75.0, 100.0}};
  const auto lines = Hatch(ring, 45.0 * kDegree, 1.6, window, drill);
  ASSERT_GT(lines.size(), 60U);
  double length = 0.0;
  for (const Segment2& line : lines) {
    const Vec2 way = line.second - line.first;
    EXPECT_NEAR(std::atan2(way.y(), way.x()), 45.0 * kDegree, 1e-9);
    length += way.norm();
    for (double t = 0.0; t <= 1.0; t += 0.05) {
      const Vec2 p = line.first + t * way;
      const double r = (p - centre).norm();
      EXPECT_LE(r, 30.0 + 1e-6);
      EXPECT_GE(r, 24.0 * std::cos(kPi / 720.0) - 1e-6);  // a chord of the polygon sags
      EXPECT_TRUE(window.Grown(1e-6).Contains(p));
      const bool in_drill = p.x() > 46 + 1e-6 && p.x() < 54 - 1e-6 && p.y() > 80 + 1e-6;
      EXPECT_FALSE(in_drill);
    }
  }
  // Length x spacing is the hatched area, to the width of a line: half ring and more.
  EXPECT_GT(length * 1.6, 700.0);
}

TEST(Hatch, FillsAnyPolygonByItsArea) {
  std::mt19937 random(31415);
  std::uniform_real_distribution<double> radius(8.0, 20.0);
  for (int trial = 0; trial < 40; ++trial) {
    std::vector<Vec2> star;
    for (int i = 0; i < 13; ++i) {
      const double t = 2.0 * kPi * i / 13.0;
      star.emplace_back(Vec2(30, 30) + radius(random) * Vec2(std::cos(t), std::sin(t)));
    }
    double area = 0.0;
    for (std::size_t i = 0; i < star.size(); ++i) {
      const Vec2& a = star[i];
      const Vec2& b = star[(i + 1) % star.size()];
      area += (a.x() * b.y() - b.x() * a.y()) / 2.0;
    }
    double length = 0.0;
    for (const Segment2& line : Hatch({star}, 0.7 + trial, 0.05, {{0.0, 0.0}, {60.0, 60.0}}, {})) {
      length += (line.second - line.first).norm();
      EXPECT_TRUE(IsInside(star, (line.first + line.second) / 2.0));
    }
    EXPECT_NEAR(length * 0.05, area, 0.01 * area);
  }
}

TEST(Visible, CutsALineAtTheWindowAndRoundsAClosedOneUp) {
  const Box window{{0.0, 0.0}, {10.0, 10.0}};
  const auto whole = Visible({{1, 1}, {9, 1}, {9, 9}, {1, 9}}, true, window, {});
  ASSERT_EQ(whole.size(), 1U);
  EXPECT_EQ(whole[0].front(), whole[0].back());
  const auto cut = Visible({{-5, 5}, {15, 5}}, false, window, {{{4, 4}, {6, 4}, {6, 6}, {4, 6}}});
  ASSERT_EQ(cut.size(), 2U);
  EXPECT_NEAR(cut[0].back().x(), 4.0, 1e-9);
  EXPECT_NEAR(cut[1].front().x(), 6.0, 1e-9);
  EXPECT_NEAR(cut[1].back().x(), 10.0, 1e-9);
  EXPECT_TRUE(Visible({{-5, 15}, {15, 15}}, false, window, {}).empty());
}

TEST(Charts, RoundStepDividesIntoAFewParts) {
  for (const double range : {0.013, 0.9, 1.0, 7.0, 33.0, 1234.0}) {
    const double step = RoundStep(range);
    EXPECT_GE(range / step, 2.0) << range;
    EXPECT_LE(range / step, 8.0) << range;
  }
}

}  // namespace
}  // namespace holeward
