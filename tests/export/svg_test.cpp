#include "export/svg.h"

#include <cmath>

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
  EXPECT_NE(svg.find("<g class=\"cut\">"), std::string::npos);
  EXPECT_NE(svg.find("<title>A &amp; B &lt;1&gt;</title>"), std::string::npos);
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
