#include "export/svg.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "export/template_sheet.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

TEST(Svg, IsInMillimetresWithOneUnitAMillimetre) {
  Drawing page;
  page.width = 210;
  page.height = 297;
  page.AddLine(Group::cut, {12.5, 20.25}, {162.5, 20.25});
  const std::string svg = *ToSvg(page, "A & B <1>");
  EXPECT_NE(svg.find("width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""),
            std::string::npos);
  EXPECT_NE(svg.find("M12.5 276.75L162.5 276.75"), std::string::npos) << "y runs down in SVG";
  EXPECT_NE(svg.find("<g id=\"cut\" class=\"cut\">"), std::string::npos);
  EXPECT_NE(svg.find("<title>A &amp; B &lt;1&gt;</title>"), std::string::npos);
}

TEST(Svg, WritesNumbersToFourDecimalsAsFormattingDoes) {
  const auto formatted = [](double value) {
    std::string text = fmt::format("{:.4f}", value);
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text == "-0" ? std::string("0") : text;
  };
  // Ties, what rounds to nothing, carries, and what is too large for four decimals in an integer.
  std::vector<double> values = {0.0,     -0.0,     0.00005,     -0.00005, 0.00015,        0.03125,
                                0.99995, -9.99996, 99999.99994, 1e5,      -3e7,           4.5e300,
                                1e-300,  -1e-5,    20.25,       -0.0001,  7.0e4 + 0.00025};
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> anywhere(-300.0, 300.0);
  for (int i = 0; i < 20000; ++i) values.push_back(anywhere(random));
  for (int i = 0; i < 2000; ++i) values.push_back((2 * i + 1) * 0.00005);
  for (const double value : values) {
    Drawing page;
    page.width = 100;
    page.height = 100;
    page.Add(Group::cut, Circle{{50, 50}, value, 0.35, LineType::continuous});
    const std::string svg = *ToSvg(page, "t");
    ASSERT_NE(svg.find(" r=\"" + formatted(value) + "\""), std::string::npos)
        << formatted(value) << " in " << svg;
  }
}

TEST(Svg, ShowsTheSameItemsAsThePage) {
  const TemplateSheet sheet = *MakeTemplateSheet(Input({FlatPiece()}));
  const std::string svg = *ToSvg(sheet.pages[0].drawing, "t");
  std::size_t shapes = 0;
  for (const char* tag : {"<path", "<circle"}) {
    for (std::size_t at = svg.find(tag); at != std::string::npos; at = svg.find(tag, at + 1))
      ++shapes;
  }
  EXPECT_EQ(shapes, sheet.pages[0].drawing.items.size());
  EXPECT_NE(svg.find("aria-label=\"D1\""), std::string::npos);
  EXPECT_NE(svg.find("aria-label=\"LEFT\""), std::string::npos);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_EQ(svg.find("<text"), std::string::npos) << "letters are outlines";
}

std::size_t CountOf(const std::string& words, const std::string& text) {
  std::size_t count = 0;
  for (std::size_t at = text.find(words); at != std::string::npos; at = text.find(words, at + 1)) {
    ++count;
  }
  return count;
}

/// The contents of the group with an id.
std::string GroupOf(const std::string& id, const std::string& svg) {
  const std::size_t from = svg.find("<g id=\"" + id + "\"");
  return from == std::string::npos ? "" : svg.substr(from, svg.find("</g>", from) - from);
}

TEST(Svg, HasCutFoldAndMarkOnceEachWholeAndWithoutLettering) {
  const TemplateSheet sheet = *MakeTemplateSheet(Input({FlatPiece(), Rectangle("two", 60, 30)}));
  ASSERT_EQ(sheet.pages.size(), 1U);
  const Drawing& page = sheet.pages[0].drawing;
  const std::string svg = *ToSvg(page, "t");
  for (const Group group : {Group::cut, Group::fold, Group::mark}) {
    const std::string id = Word(group);
    EXPECT_EQ(CountOf("<g id=\"" + id + "\"", svg), 1U) << id;
    EXPECT_EQ(CountOf("class=\"" + id + "\"", svg), 1U) << id;
    const std::string inside = GroupOf(id, svg);
    const auto items = std::count_if(page.items.begin(), page.items.end(),
                                     [&](const Item& item) { return item.group == group; });
    EXPECT_GT(items, 1) << id;
    EXPECT_EQ(CountOf("<path", inside) + CountOf("<circle", inside),
              static_cast<std::size_t>(items));
    EXPECT_EQ(inside.find("aria-label"), std::string::npos) << id;
    EXPECT_EQ(inside.find("#fff"), std::string::npos) << id << ": nothing white in it";
  }
}

TEST(Svg, IsTheSameTextForTheSameInput) {
  const TemplateSheetInput input = Input({FlatPiece()});
  EXPECT_EQ(*ToSvg(MakeTemplateSheet(input)->pages[0].drawing, "t"),
            *ToSvg(MakeTemplateSheet(input)->pages[0].drawing, "t"));
}

TEST(Svg, RefusesNumbersThatAreNotFinite) {
  Drawing page;
  page.width = 210;
  page.height = 297;
  page.Add(Group::mark, Circle{{10, 10}, std::nan(""), 0.25, LineType::continuous});
  EXPECT_FALSE(ToSvg(page, "t"));
}

}  // namespace
}  // namespace holeward
