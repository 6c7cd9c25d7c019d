#include "export/lettering.h"

#include <random>

#include <gtest/gtest.h>

#include "export/drawing.h"

namespace holeward {
namespace {

TEST(Lettering, CapitalsHaveTheStatedHeight) {
  // ISO 3098-1: the height of lettering is that of a capital. DejaVu Sans: cap height 1493/2048 em.
  const Layout layout = MakeLayout("H", 10.0, false);
  PangoRectangle ink;
  pango_layout_get_extents(layout.get(), &ink, nullptr);
  EXPECT_NEAR(static_cast<double>(ink.height) / PANGO_SCALE, 10.0, 0.02);
}

TEST(Lettering, WidthGrowsInProportion) {
  EXPECT_NEAR(TextWidth("Holeward", 5.0), 2.0 * TextWidth("Holeward", 2.5), 0.02);
  EXPECT_GT(TextWidth("Holeward", 5.0, true), TextWidth("Holeward", 5.0));
  EXPECT_EQ(TextWidth("", 5.0), 0.0);
}

TEST(Lettering, FitsOrShortens) {
  EXPECT_EQ(FitText("short", 100.0, {7.0, 5.0}).height, 7.0);
  const FittedText fit = FitText("a name much too long for so little room: äöü", 40.0, {7.0, 2.5});
  EXPECT_EQ(fit.height, 2.5);
  EXPECT_LE(TextWidth(fit.words, fit.height), 40.0);
  EXPECT_EQ(fit.words.substr(fit.words.size() - 3), "…");
}

TEST(Lettering, BreaksLinesAtSpacesAndWordsThatAreTooLong) {
  const std::string text = "one two three " + std::string(80, 'w') + " end";
  std::string joined;
  for (const std::string& line : WrapText(text, 30.0, 2.5)) {
    EXPECT_LE(TextWidth(line, 2.5), 30.0);
    joined += line;
  }
  EXPECT_EQ(joined.find("one two"), 0U);
  EXPECT_EQ(std::count(joined.begin(), joined.end(), 'w'), 81);  // and the one of "two"
  EXPECT_EQ(WrapText("", 30.0, 2.5).size(), 1U);
}

TEST(Lettering, FillsEachLineWithAllThatFits) {
  std::mt19937 random(11);
  const std::vector<std::string> words = {"a", "ill", "WWWW", "mark", "Ø8.0", "released.", "it"};
  int filled = 0;
  for (int round = 0; round < 60; ++round) {
    std::string text = "start";
    for (int i = 0; i < 40; ++i) text += " " + words[random() % words.size()];
    text += " end";
    const double width = 25.0 + 2.0 * round;
    const std::vector<std::string> lines = WrapText(text, width, 2.5);
    std::string joined = lines.front();
    for (std::size_t i = 1; i < lines.size(); ++i) {
      EXPECT_LE(TextWidth(lines[i - 1], 2.5), width);
      const std::string next = lines[i].substr(0, lines[i].find(' '));
      EXPECT_GT(TextWidth(lines[i - 1] + " " + next, 2.5), width) << lines[i - 1] << "|" << next;
      joined += " " + lines[i];
      ++filled;
    }
    EXPECT_EQ(joined, text);
  }
  EXPECT_GT(filled, 100);
}

TEST(LineTypes, HaveTheProportionsOfIso128) {
  // ISO 128-2: dash 12 d, long dash 24 d, gap 3 d, dot at most 0.5 d.
  EXPECT_EQ(DashesOf(LineType::dashed, 0.25), (std::vector<double>{3.0, 0.75}));
  EXPECT_EQ(DashesOf(LineType::dash_dot, 0.5), (std::vector<double>{12.0, 1.5, 0.25, 1.5}));
  EXPECT_TRUE(DashesOf(LineType::continuous, 0.5).empty());
}

/// The alphabets of names: Latin with all its accents, Greek, Cyrillic.
std::vector<std::string> Alphabets() {
  std::vector<std::string> lines;
  const std::pair<gunichar, gunichar> ranges[] = {
      {0x21, 0x7e}, {0xa1, 0x17f}, {0x386, 0x3ce}, {0x400, 0x45f}};
  for (const auto& [from, to] : ranges) {
    std::string line;
    for (gunichar c = from; c <= to; ++c) {
      if (g_unichar_isdefined(c) == FALSE || c == 0xad) continue;
      char bytes[6];
      line.append(bytes, static_cast<std::size_t>(g_unichar_to_utf8(c, bytes)));
    }
    lines.push_back(line);
  }
  return lines;
}

TEST(Lettering, HasEveryLetterOfLatinGreekAndCyrillicInItsOneFont) {
  for (const bool bold : {false, true}) {
    for (const std::string& line : Alphabets()) {
      const Layout layout = MakeLayout(line, 2.5, bold);
      EXPECT_EQ(pango_layout_get_unknown_glyphs_count(layout.get()), 0) << line;
      std::size_t runs = 0;
      for (GSList* run = pango_layout_get_line_readonly(layout.get(), 0)->runs; run != nullptr;
           run = run->next) {
        PangoFont* font = static_cast<PangoGlyphItem*>(run->data)->item->analysis.font;
        PangoFontDescription* description = pango_font_describe(font);
        EXPECT_STREQ(pango_font_description_get_family(description), "DejaVu Sans") << line;
        pango_font_description_free(description);
        ++runs;
      }
      EXPECT_GT(runs, 0U);
    }
  }
}

TEST(Lettering, FindsTheHeightAtWhichEveryWordIsWhole) {
  const std::string words = "Fahrzeug-Identifizierungsnummer der Werkstatt";
  const double width = TextWidth("Fahrzeug-Identifizierungsnummer", 2.5, true);
  EXPECT_EQ(HeightForWords(words, width + 0.1, {3.5, 2.5, 1.8}, true), 2.5);
  EXPECT_EQ(HeightForWords(words, width - 0.1, {3.5, 2.5, 1.8}, true), 1.8);
  EXPECT_EQ(HeightForWords(words, 1.0, {3.5, 2.5, 1.8}, true), 1.8);
}

}  // namespace
}  // namespace holeward
