#include "export/template_sheet.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "export/paper.h"
#include "export/pdf.h"
#include "export/sheet_frame.h"
#include "export/symbols.h"
#include "tests/export/layout_faults.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

constexpr double kReadBack = 0.005;  ///< mm, what reading a PDF back may lose

std::string PdfOf(const Scratch& scratch, const TemplateSheet& sheet) {
  return scratch.Put("sheet.pdf", *ToPdf(sheet.Drawings(), {"t", "2026-11-25"}));
}

TemplateSheet Made(const TemplateSheetInput& input) {
  Result<TemplateSheet> sheet = MakeTemplateSheet(input);
  EXPECT_TRUE(sheet) << (sheet ? "" : sheet.error().message);
  return sheet ? *sheet : TemplateSheet{};
}

TEST(TemplateSheet, MarksAndBarsAreWhereItSaysAsReadBackFromThePdf) {
  for (DevelopedPiece piece : {FlatPiece(), TubeWrap()}) {
    const TemplateSheet sheet = Made(Input({piece}));
    const Scratch scratch;
    const auto pages = LinesOf(PdfOf(scratch, sheet));
    ASSERT_EQ(pages.size(), sheet.pages.size());
    for (const SheetMark& mark : sheet.marks) {
      const auto of = std::find_if(piece.marks.begin(), piece.marks.end(),
                                   [&](const FlatMark& m) { return m.name == mark.name; });
      ASSERT_NE(of, piece.marks.end());
      const Vec2 at(mark.x, mark.y);
      const double reach = ReachOf(*of);
      const auto& lines = pages[mark.page - 1];
      EXPECT_TRUE(HasLine(lines, at - Vec2(reach, 0), at + Vec2(reach, 0), kReadBack)) << mark.name;
      EXPECT_TRUE(HasLine(lines, at - Vec2(0, reach), at + Vec2(0, reach), kReadBack)) << mark.name;
    }
    for (const SheetPage& page : sheet.pages) {
      const auto& lines = pages[page.number - 1];
      for (const CheckBar& bar : {page.bar_across, page.bar_up}) {
        EXPECT_TRUE(HasLine(lines, bar.from, bar.to, kReadBack));
        EXPECT_NEAR((bar.to - bar.from).norm(), 150.0, 1e-9);
      }
      EXPECT_NEAR(page.bar_across.from.y(), page.bar_across.to.y(), 1e-12);
      EXPECT_NEAR(page.bar_up.from.x(), page.bar_up.to.x(), 1e-12);
    }
  }
}

TEST(TemplateSheet, MarksLieToEachOtherAsOnThePiece) {
  const DevelopedPiece piece = FlatPiece();
  const TemplateSheet sheet = Made(Input({piece}));
  ASSERT_EQ(sheet.marks.size(), piece.marks.size());
  for (std::size_t i = 1; i < piece.marks.size(); ++i) {
    const Vec2 on_piece = piece.marks[i].at - piece.marks[0].at;
    EXPECT_NEAR(sheet.marks[i].x - sheet.marks[0].x, on_piece.x(), 1e-9);
    EXPECT_NEAR(sheet.marks[i].y - sheet.marks[0].y, on_piece.y(), 1e-9);
  }
}

/// Middle of the first and of the last dark run of a row of grey pixels.
std::pair<double, double> DarkEnds(const std::vector<unsigned char>& row) {
  std::vector<double> middles;
  for (std::size_t i = 0; i < row.size();) {
    if (row[i] > 127) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < row.size() && row[end] <= 127) ++end;
    middles.push_back((static_cast<double>(i + end) - 1.0) / 2.0);
    i = end;
  }
  if (middles.size() < 2) return {0.0, 0.0};
  return {middles.front(), middles.back()};
}

TEST(TemplateSheet, CheckBarsCount3543PixelsAt600Dpi) {
  const TemplateSheet sheet = Made(Input({FlatPiece()}));
  const SheetPage& page = sheet.pages[0];
  const Scratch scratch;
  const std::string pdf = PdfOf(scratch, sheet);
  const double dpmm = 600.0 / 25.4;
  // A cut beside each bar meets the end ticks only: they are 3 mm long, the next longest 2.2 mm.
  const auto count = [&](const CheckBar& bar, bool across) {
    const Vec2 low = across ? Vec2(bar.from.x() - 3, bar.from.y() - 2.6)
                            : Vec2(bar.from.x() + 2.6, bar.from.y() - 3);
    const int x = static_cast<int>(low.x() * dpmm);
    const double top = across ? low.y() : bar.to.y() + 3;
    const int y = static_cast<int>((page.drawing.height - top) * dpmm);
    const int along = static_cast<int>(156 * dpmm);
    const std::string out = scratch.path() + "/strip";
    Output("pdftoppm -r 600 -gray -x " + std::to_string(x) + " -y " + std::to_string(y) + " -W " +
           std::to_string(across ? along : 1) + " -H " + std::to_string(across ? 1 : along) +
           " -singlefile " + pdf + " " + out);
    std::ifstream in(out + ".pgm", std::ios::binary);
    std::string kind;
    int width = 0, height = 0, most = 0;
    in >> kind >> width >> height >> most;
    in.get();
    EXPECT_EQ(kind, "P5");
    EXPECT_EQ(std::max(width, height), along);
    std::vector<unsigned char> row(static_cast<std::size_t>(along));
    in.read(reinterpret_cast<char*>(row.data()), along);
    const auto [first, last] = DarkEnds(row);
    return last - first;
  };
  // 150 mm x 600 / 25.4 = 3543.3 pixels.
  EXPECT_NEAR(count(page.bar_across, true), 3543.3, 1.0);
  EXPECT_NEAR(count(page.bar_up, false), 3543.3, 1.0);
}

TEST(TemplateSheet, SaysTheSideInLettersThatCannotBeMissed) {
  for (const Side side : {Side::left, Side::right}) {
    TemplateSheetInput input = Input({FlatPiece(), TubeWrap()});
    input.side = side;
    const TemplateSheet sheet = Made(input);
    const Scratch scratch;
    const auto pages = WordsOf(PdfOf(scratch, sheet));
    ASSERT_EQ(pages.size(), sheet.pages.size());
    const std::string word = side == Side::left ? "LEFT" : "RIGHT";
    const std::string other = side == Side::left ? "RIGHT" : "LEFT";
    for (std::size_t p = 0; p < pages.size(); ++p) {
      double tallest = 0.0;
      Vec2 middle = Vec2::Zero();
      for (const SeenWord& seen : pages[p]) {
        EXPECT_NE(seen.words, other);
        if (seen.words != word || seen.high.y() - seen.low.y() < tallest) continue;
        tallest = seen.high.y() - seen.low.y();
        middle = (seen.low + seen.high) / 2.0;
      }
      // The box of a word is taller than its capitals; the drawing tells the letters' height.
      EXPECT_GE(tallest, 14.0);
      const bool at_left = middle.x() < sheet.pages[p].drawing.width / 2.0;
      EXPECT_EQ(at_left, side == Side::left);
      const auto& items = sheet.pages[p].drawing.items;
      EXPECT_TRUE(std::any_of(items.begin(), items.end(), [&](const Item& item) {
        const Text* text = std::get_if<Text>(&item.what);
        return text != nullptr && text->words == word && text->height >= 14.0;
      }));
    }
  }
}

TEST(TemplateSheet, SaysNotReleasedOnEveryPageUnlessReleased) {
  TemplateSheetInput input = Input({FlatPiece(), TubeWrap()});
  for (const bool released : {true, false}) {
    input.released = released;
    input.reason = "hole D1 left, stage 2, is tight";
    const TemplateSheet sheet = Made(input);
    const Scratch scratch;
    const std::string pdf = PdfOf(scratch, sheet);
    for (std::size_t p = 1; p <= sheet.pages.size(); ++p) {
      const std::string number = std::to_string(p);
      std::string text = Output("pdftotext -f " + number + " -l " + number + " " + pdf + " -");
      std::replace(text.begin(), text.end(), '\n', ' ');  // the reason may take two lines
      EXPECT_EQ(text.find("NOT RELEASED") == std::string::npos, released) << "page " << p;
      EXPECT_EQ(text.find("is tight") == std::string::npos, released) << "page " << p;
      const auto& items = sheet.pages[p - 1].drawing.items;
      const bool banner = items.front().group == Group::banner;
      EXPECT_EQ(banner, !released);
      if (!banner) continue;
      // In outline, and painted before everything else so that it hides nothing.
      const Text& words = std::get<Text>(items.front().what);
      EXPECT_GT(words.outline, 0.0);
      EXPECT_GE(words.height, 14.0);
    }
  }
}

TEST(TemplateSheet, EveryPageCarriesWhatAPrintMustSay) {
  const TemplateSheet sheet = Made(Input({FlatPiece(), TubeWrap()}));
  const Scratch scratch;
  const std::string pdf = PdfOf(scratch, sheet);
  const std::string pages = std::to_string(sheet.pages.size());
  for (std::size_t p = 1; p <= sheet.pages.size(); ++p) {
    const std::string number = std::to_string(p);
    std::string text = Output("pdftotext -f " + number + " -l " + number + " " + pdf + " -");
    std::replace(text.begin(), text.end(), '\n', ' ');
    for (const std::string& words :
         {std::string("arm rear"), std::string("HW-0107 · C"),
          std::string("Curved arm and cross tube"), std::string("2026-11-25"),
          std::string("5d20e7aa"), number + " of " + pages,
          std::string("Print at 100 %, scaling off"), std::string("149.5 to 150.5"),
          std::string("do not use this print"), std::string("eye and breathing"),
          std::string("stored energy"), std::string("fuel, brake and electrical lines"),
          std::string("fire"), std::string("strength"), std::string("local codes"),
          std::string("licensed practice"), std::string("clearance 5.0 mm"),
          std::string("level on a two-post lift"), std::string("printed face outward")}) {
      EXPECT_NE(text.find(words), std::string::npos) << "page " << p << ": " << words;
    }
  }
}

TEST(TemplateSheet, PrintsDrillsAndStopsAtTheMark) {
  const TemplateSheet sheet = Made(Input({FlatPiece()}));
  const auto& labels = sheet.pages[0].labels;
  const auto label = std::find_if(labels.begin(), labels.end(),
                                  [](const SheetLabel& l) { return l.words.rfind("D1 ", 0) == 0; });
  ASSERT_NE(label, labels.end());
  EXPECT_EQ(label->words, "D1 ⌀3.5, stop 7.5 ⌀8.5, stop 9.5 (proposed) clear");
  const auto has = [&](const std::string& words) {
    return std::any_of(labels.begin(), labels.end(),
                       [&](const SheetLabel& l) { return l.words == words; });
  };
  EXPECT_TRUE(has("lay on: bottom edge"));
  EXPECT_TRUE(has("FRONT UP"));
  EXPECT_TRUE(has("K"));
}

TEST(TemplateSheet, DrawsNothingWithinTenMillimetresOfTheEdge) {
  TemplateSheetInput input = Input({FlatPiece(), TubeWrap()});
  input.job_title = std::string(300, 'W');
  input.template_name =
      "a template with a name that goes on and on, far beyond the width of any page of it";
  input.part = std::string(200, 'x');
  input.set_number = "HW-" + std::string(80, '0');
  input.posture = std::string(250, 'p');
  input.hash = std::string(64, 'f');
  input.released = false;
  input.reason = "a reason " + std::string(400, 'y') + " and more";
  input.limits = std::string(2000, 'l');
  input.pieces[0].marks[0].name = "a point with a very long name that nobody would ever choose, D1";
  for (const char* paper : {"A4", "A3", "Letter", "A4 or Letter"}) {
    input.paper.name = paper;
    const TemplateSheet sheet = Made(input);
    const Scratch scratch;
    const std::string pdf = PdfOf(scratch, sheet);
    const auto words = WordsOf(pdf);
    const auto lines = LinesOf(pdf);
    ASSERT_EQ(words.size(), sheet.pages.size());
    for (std::size_t p = 0; p < words.size(); ++p) {
      const Drawing& page = sheet.pages[p].drawing;
      const Box inside = Box{{0, 0}, {page.width, page.height}}.Grown(-kPaperMargin + 0.01);
      for (const SeenWord& word : words[p]) {
        // Boxes of words reach above capitals and below the base line by a font's spacing; their
        // middle line and their ends along the line are what must stay inside.
        const Vec2 middle = (word.low + word.high) / 2.0;
        const bool turned = word.high.y() - word.low.y() > 30.0;
        const Vec2 a = turned ? Vec2(middle.x(), word.low.y()) : Vec2(word.low.x(), middle.y());
        const Vec2 b = turned ? Vec2(middle.x(), word.high.y()) : Vec2(word.high.x(), middle.y());
        EXPECT_TRUE(inside.Contains(a) && inside.Contains(b)) << paper << ": " << word.words;
      }
      for (const SeenLine& line : lines[p]) {
        EXPECT_TRUE(inside.Contains(line.a) && inside.Contains(line.b))
            << paper << " page " << p + 1;
      }
    }
  }
}

void ExpectDisjointLabels(const TemplateSheet& sheet, std::size_t at_least) {
  for (const SheetPage& page : sheet.pages) {
    EXPECT_GE(page.labels.size(), at_least);
    for (std::size_t i = 0; i < page.labels.size(); ++i) {
      EXPECT_FALSE(page.labels[i].over_lines) << page.labels[i].words;
      for (std::size_t k = i + 1; k < page.labels.size(); ++k) {
        EXPECT_FALSE(page.labels[i].box.Overlaps(page.labels[k].box))
            << page.labels[i].words << " / " << page.labels[k].words;
      }
      for (const Box& mark : page.mark_boxes) {
        EXPECT_FALSE(page.labels[i].box.Overlaps(mark)) << page.labels[i].words;
      }
    }
  }
}

TEST(TemplateSheet, LabelsOverlapNeitherMarksNorEachOther) {
  ExpectDisjointLabels(Made(Input({FlatPiece()})), 6);
  ExpectDisjointLabels(Made(Input({TubeWrap()})), 6);
}

TEST(TemplateSheet, LabelsOfACrowdedPieceStayDisjoint) {
  DevelopedPiece piece = Rectangle("front", 120, 60);
  TemplateSheetInput input = Input({});
  for (int i = 0; i < 12; ++i) {
    const std::string name = std::string("D") + std::to_string(i + 1);
    piece.marks.push_back(Mark(name, {11.0 + 19.0 * (i % 6), 15.0 + 22.0 * (i / 6)}, {3.5, 8.5}));
    MarkNote note = input.notes[0];
    note.point = name;
    input.notes.push_back(note);
  }
  input.pieces = {piece};
  const TemplateSheet sheet = Made(input);
  ASSERT_EQ(sheet.pages.size(), 1U);
  ExpectDisjointLabels(sheet, 13);
  // Every mark is named, and its stop setting printed.
  std::string all;
  for (const SheetLabel& label : sheet.pages[0].labels) all += label.words + "\n";
  std::size_t stops = 0;
  for (std::size_t at = all.find("stop 9.5"); at != std::string::npos;
       at = all.find("stop 9.5", at + 1))
    ++stops;
  EXPECT_EQ(stops, 12U) << all;
}

TEST(TemplateSheet, RefusesAPageTooCrowdedToLabelRatherThanLeaveAStopOut) {
  DevelopedPiece piece = Rectangle("front", 160, 120);
  for (int i = 0; i < 500; ++i) {
    piece.marks.push_back(Mark(std::string("M") + std::to_string(i),
                               {3.0 + 6.0 * (i % 25), 3.0 + 5.5 * (i / 25)}, {3.5}));
  }
  const Result<TemplateSheet> sheet = MakeTemplateSheet(Input({piece}));
  ASSERT_FALSE(sheet);
  EXPECT_EQ(sheet.error().kind, ErrorKind::job);
  EXPECT_NE(sheet.error().message.find("no room"), std::string::npos);
}

TEST(TemplateSheet, PutsAPieceThatFitsOnOnePage) {
  EXPECT_EQ(Made(Input({FlatPiece()})).pages.size(), 1U);
  // Too wide for the upright page, not for the page on its side.
  const TemplateSheet turned = Made(Input({Rectangle("long", 240, 50)}));
  ASSERT_EQ(turned.pages.size(), 1U);
  EXPECT_DOUBLE_EQ(turned.pages[0].drawing.width, 297.0);
  EXPECT_DOUBLE_EQ(turned.pages[0].drawing.height, 210.0);
}

TEST(TemplateSheet, SmallPiecesShareAPageWithoutOverlap) {
  std::vector<DevelopedPiece> pieces;
  for (int i = 0; i < 5; ++i) {
    pieces.push_back(Rectangle(std::string("p") + std::to_string(i), 60.0 + 5.0 * i, 30.0));
    pieces.back().marks = {Mark(std::string("low") + std::to_string(i), {0, 0}, {}),
                           Mark(std::string("high") + std::to_string(i), {60.0 + 5.0 * i, 30}, {})};
  }
  TemplateSheetInput input = Input(pieces);
  input.paper.name = "A3";
  const TemplateSheet sheet = Made(input);
  EXPECT_EQ(sheet.pages.size(), 1U);
  ASSERT_EQ(sheet.marks.size(), 10U);
  std::vector<Box> boxes;
  for (std::size_t i = 0; i < 5; ++i) {
    const SheetMark& low = *std::find_if(
        sheet.marks.begin(), sheet.marks.end(),
        [&](const SheetMark& m) { return m.name == std::string("low") + std::to_string(i); });
    const SheetMark& high = *std::find_if(
        sheet.marks.begin(), sheet.marks.end(),
        [&](const SheetMark& m) { return m.name == std::string("high") + std::to_string(i); });
    boxes.push_back({{low.x, low.y}, {high.x, high.y}});
    for (std::size_t k = 0; k < i; ++k) EXPECT_FALSE(boxes[i].Overlaps(boxes[k]));
  }
}

TEST(TemplateSheet, TilesCoverALargePieceAndMeetAtMatchMarks) {
  const DevelopedPiece piece = TubeWrap();
  const TemplateSheet sheet = Made(Input({piece}));
  ASSERT_GT(sheet.pages.size(), 1U);
  // Every mark is on a page, and the cuts leave room round it.
  std::set<std::string> seen;
  for (const SheetMark& mark : sheet.marks) seen.insert(mark.name);
  EXPECT_EQ(seen.size(), piece.marks.size());

  // Each letter lies on exactly the two pages that it joins; the shift between them is the same for
  // both crosses of a join, so laid on each other the pages continue each other.
  std::map<std::string, std::vector<std::pair<int, MatchMark>>> letters;
  for (const SheetPage& page : sheet.pages) {
    EXPECT_GE(page.match_marks.size(), 2U);
    for (const MatchMark& mark : page.match_marks)
      letters[mark.letter].emplace_back(page.number, mark);
  }
  std::map<std::pair<int, int>, std::vector<Vec2>> shifts;
  for (const auto& [letter, places] : letters) {
    ASSERT_EQ(places.size(), 2U) << letter;
    EXPECT_EQ(places[0].second.other_page, places[1].first);
    EXPECT_EQ(places[1].second.other_page, places[0].first);
    shifts[{places[0].first, places[1].first}].push_back(places[1].second.at - places[0].second.at);
  }
  EXPECT_GE(shifts.size(), 3U);
  for (const auto& [pages, shift] : shifts) {
    ASSERT_EQ(shift.size(), 2U);
    EXPECT_NEAR((shift[0] - shift[1]).norm(), 0.0, 1e-9);
  }

  // Put together by those shifts, the cut lines of the pages add up to the outline of the piece.
  std::map<int, Vec2> origin = {{1, Vec2::Zero()}};
  for (int round = 0; round < 5; ++round) {
    for (const auto& [pages, shift] : shifts) {
      if (origin.count(pages.first) != 0)
        origin[pages.second] = origin[pages.first] - shift[0];
      else if (origin.count(pages.second) != 0)
        origin[pages.first] = origin[pages.second] + shift[0];
    }
  }
  ASSERT_EQ(origin.size(), sheet.pages.size());
  Vec2 low = Vec2::Constant(1e9);
  Vec2 high = -low;
  for (const SheetPage& page : sheet.pages) {
    for (const Item& item : page.drawing.items) {
      const Stroke* stroke = std::get_if<Stroke>(&item.what);
      if (stroke == nullptr || item.group != Group::cut) continue;
      for (const Vec2& p : stroke->points) {
        low = low.cwiseMin(p + origin[page.number]);
        high = high.cwiseMax(p + origin[page.number]);
      }
    }
  }
  EXPECT_NEAR((high - low).x(), 300.0, 1e-9);
  EXPECT_NEAR((high - low).y(), 239.0, 1e-9);
  // And every mark lies where the piece has it.
  for (const SheetMark& mark : sheet.marks) {
    const auto of = std::find_if(piece.marks.begin(), piece.marks.end(),
                                 [&](const FlatMark& m) { return m.name == mark.name; });
    EXPECT_NEAR((Vec2(mark.x, mark.y) + origin[mark.page] - low - of->at).norm(), 0.0, 1e-9)
        << mark.name;
  }
}

TEST(TemplateSheet, TilesOverlapByTenMillimetres) {
  const TemplateSheet sheet = Made(Input({Rectangle("strip", 500, 30)}));
  ASSERT_EQ(sheet.pages.size(), 2U);
  double shown = 0.0;
  for (const SheetPage& page : sheet.pages) {
    double low = 1e9, high = -1e9;
    for (const Item& item : page.drawing.items) {
      const Stroke* stroke = std::get_if<Stroke>(&item.what);
      if (stroke == nullptr || item.group != Group::cut) continue;
      for (const Vec2& p : stroke->points) {
        low = std::min(low, p.x());
        high = std::max(high, p.x());
      }
    }
    shown += high - low;
  }
  // The legend's samples of cut and butt are in the frame group, not counted here.
  EXPECT_NEAR(shown, 500.0 + kTileOverlap, 1e-9);
}

TEST(TemplateSheet, ARollIsAsLongAsNeeded) {
  TemplateSheetInput input = Input({Rectangle("strip", 900, 60), FlatPiece()});
  input.paper.roll_width = 610.0;
  const TemplateSheet sheet = Made(input);
  ASSERT_EQ(sheet.pages.size(), 1U);
  EXPECT_DOUBLE_EQ(sheet.pages[0].drawing.width, 610.0);
  // The strip is turned along the roll.
  EXPECT_GT(sheet.pages[0].drawing.height, 900.0);
  EXPECT_LT(sheet.pages[0].drawing.height, 1100.0);

  input.pieces = {FlatPiece()};
  EXPECT_LT(Made(input).pages[0].drawing.height, 300.0);
  input.pieces = {Rectangle("endless", 300, 7000)};
  const TemplateSheet longest = Made(input);
  EXPECT_EQ(longest.pages.size(), 2U);
  for (const SheetPage& page : longest.pages) EXPECT_LE(page.drawing.height, 5080.0);
}

TEST(TemplateSheet, ATestFootAndADevelopedHoleAreDrawnAsGiven) {
  DevelopedPiece piece = FlatPiece();
  for (int i = 0; i < 36; ++i) {
    const double angle = 2.0 * kPi * i / 36;
    piece.marks[0].outline.push_back(piece.marks[0].at +
                                     Vec2(4.3 * std::cos(angle), 4.25 * std::sin(angle)));
  }
  piece.marks[1].foot = 8.0;
  const TemplateSheet sheet = Made(Input({piece}));
  int outlines = 0;
  int feet = 0;
  int finals = 0;
  for (const Item& item : sheet.pages[0].drawing.items) {
    if (item.group != Group::mark) continue;
    const Stroke* stroke = std::get_if<Stroke>(&item.what);
    if (stroke != nullptr && stroke->points.size() == 36) ++outlines;
    const Circle* circle = std::get_if<Circle>(&item.what);
    if (circle != nullptr && circle->radius == 4.0 && circle->type == LineType::dashed) ++feet;
    if (circle != nullptr && circle->radius == 4.25) ++finals;
  }
  EXPECT_EQ(outlines, 1);
  EXPECT_EQ(feet, 1);
  EXPECT_EQ(finals, 0) << "the outline stands for the circle of the last stage";
}

TEST(TemplateSheet, RefusesWhatItCannotDraw) {
  EXPECT_FALSE(MakeTemplateSheet(Input({})));
  DevelopedPiece piece = FlatPiece();
  piece.marks[1].at.x() = std::nan("");
  const Result<TemplateSheet> sheet = MakeTemplateSheet(Input({piece}));
  ASSERT_FALSE(sheet);
  EXPECT_NE(sheet.error().message.find("\"rear\""), std::string::npos);
  DevelopedPiece empty;
  empty.name = "nothing";
  EXPECT_FALSE(MakeTemplateSheet(Input({empty})));
}

TEST(TemplateSheet, KeepsItsLegendInItsPlaceInEveryLanguage) {
  for (const Language language : kLanguages) {
    for (const Vec2& size : {Vec2(210, 297), Vec2(297, 210)}) {
      TemplateSheetInput input = Input({FlatPiece()});
      input.words = Words(language);
      const PageParts parts = DividePage(size.x(), size.y(), input);
      Drawing drawing{size.x(), size.y(), {}, Vec2::Ones(), Vec2::Zero()};
      DrawLegend(parts.legend, input.words, &drawing);
      const Box room = parts.legend.Grown(0.1);
      for (const Lettered& one : LetteringOf(drawing)) {
        EXPECT_TRUE(room.Contains(one.box.low) && room.Contains(one.box.high)) << one.words;
      }
      EXPECT_EQ(LetteringOf(drawing).size(), 11U);
    }
  }
}

}  // namespace
}  // namespace holeward
