#include "export/pdf.h"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "export/template_sheet.h"
#include "tests/export/outside_tool.h"
#include "tests/export/synthetic_pieces.h"

namespace holeward {
namespace {

using namespace testing_tools;

Drawing Blank(double width, double height) {
  Drawing page;
  page.width = width;
  page.height = height;
  page.AddLine(Group::frame, {20, 20}, {30, 30});
  Text text;
  text.words = "Prüfmaß ⌀9 · ±0.5 µm";
  text.at = {20, 50};
  page.Add(Group::text, text);
  return page;
}

const PdfInfo kInfo{"Test", "2026-11-25"};

TEST(Pdf, PagesHaveTheirSizeAsPdfinfoReadsIt) {
  // ISO 216 and ASME Y14.1 sizes; 1 mm is 72/25.4 pt.
  const std::vector<std::pair<double, double>> sizes = {{210, 297},     {297, 420}, {215.9, 279.4},
                                                        {279.4, 431.8}, {297, 210}, {610, 5080}};
  std::vector<Drawing> pages;
  for (const auto& [width, height] : sizes) pages.push_back(Blank(width, height));
  const Scratch scratch;
  const std::string file = scratch.Put("sizes.pdf", *ToPdf(pages, kInfo));
  std::istringstream lines(Output("pdfinfo -box -f 1 -l 6 " + file));
  std::size_t found = 0;
  for (std::string line; std::getline(lines, line);) {
    int page = 0;
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    if (std::sscanf(line.c_str(), "Page %d MediaBox: %lf %lf %lf %lf", &page, &x0, &y0, &x1, &y1) !=
        5)
      continue;
    ASSERT_GE(page, 1);
    EXPECT_EQ(x0, 0.0);
    EXPECT_EQ(y0, 0.0);
    EXPECT_NEAR(x1 * 25.4 / 72.0, sizes[page - 1].first, 0.005);
    EXPECT_NEAR(y1 * 25.4 / 72.0, sizes[page - 1].second, 0.005);
    ++found;
  }
  EXPECT_EQ(found, sizes.size());
}

TEST(Pdf, AsksForNoPrintScaling) {
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", *ToPdf({Blank(210, 297)}, kInfo));
  const std::string text =
      Output(std::string("qpdf --qdf --object-streams=disable ") + file + " -");
  EXPECT_NE(text.find("/PrintScaling /None"), std::string::npos);
  const std::size_t enforce = text.find("/Enforce [");
  ASSERT_NE(enforce, std::string::npos);
  EXPECT_NE(text.substr(enforce, 60).find("/PrintScaling"), std::string::npos);
  EXPECT_NE(Output("qpdf --check " + file), "command failed");
  double version = 0.0;
  const std::string info = Output("pdfinfo " + file);
  const std::size_t at = info.find("PDF version:");
  ASSERT_NE(at, std::string::npos);
  std::sscanf(info.c_str() + at, "PDF version: %lf", &version);
  EXPECT_GE(version, 1.6);
}

TEST(Pdf, EmbedsEveryFont) {
  const Scratch scratch;
  const std::string file =
      scratch.Put("a.pdf", *ToPdf(MakeTemplateSheet(Input({FlatPiece()}))->Drawings(), kInfo));
  std::istringstream lines(Output("pdffonts " + file));
  std::string line;
  std::getline(lines, line);
  const std::size_t column = line.find("emb");
  ASSERT_NE(column, std::string::npos);
  std::getline(lines, line);
  int fonts = 0;
  while (std::getline(lines, line)) {
    EXPECT_EQ(line.substr(column, 3), "yes") << line;
    EXPECT_NE(line.find("DejaVuSans"), std::string::npos) << line;
    ++fonts;
  }
  EXPECT_GE(fonts, 2);
}

TEST(Pdf, TextCanBeReadBack) {
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", *ToPdf({Blank(210, 297)}, kInfo));
  EXPECT_NE(Output("pdftotext " + file + " -").find("Prüfmaß ⌀9 · ±0.5 µm"), std::string::npos);
}

TEST(Pdf, IsTheSameBytesForTheSameInput) {
  const TemplateSheetInput input = Input({FlatPiece(), TubeWrap()});
  const std::string first = *ToPdf(MakeTemplateSheet(input)->Drawings(), kInfo);
  ::sleep(1);  // a time of day in the file would show
  EXPECT_EQ(first, *ToPdf(MakeTemplateSheet(input)->Drawings(), kInfo));
  EXPECT_NE(first, *ToPdf(MakeTemplateSheet(input)->Drawings(), {"Other", "2026-11-25"}));
}

TEST(Pdf, CreationDateFollowsSourceDateEpoch) {
  ::unsetenv("SOURCE_DATE_EPOCH");
  EXPECT_EQ(CreationDate("2026-11-25"), "2026-11-25T00:00:00Z");
  // 1 000 000 000 s after 1970-01-01 UTC is 2001-09-09T01:46:40Z (a well-known instant).
  ::setenv("SOURCE_DATE_EPOCH", "1000000000", 1);
  EXPECT_EQ(CreationDate("2026-11-25"), "2001-09-09T01:46:40Z");
  const Scratch scratch;
  const std::string file = scratch.Put("a.pdf", *ToPdf({Blank(210, 297)}, kInfo));
  EXPECT_NE(Output("pdfinfo -isodates " + file).find("2001-09-09T01:46:40Z"), std::string::npos);
  ::setenv("SOURCE_DATE_EPOCH", "soon", 1);
  EXPECT_EQ(CreationDate("2026-11-25"), "2026-11-25T00:00:00Z");
  ::unsetenv("SOURCE_DATE_EPOCH");
}

TEST(Pdf, CoordinatesAreReadBackWithinFiveMicrometres) {
  std::mt19937 random(20261125);
  std::uniform_real_distribution<double> x(10, 200);
  std::uniform_real_distribution<double> y(10, 287);
  Drawing page;
  page.width = 210;
  page.height = 297;
  std::vector<SeenLine> drawn;
  for (int i = 0; i < 500; ++i) {
    drawn.push_back({{x(random), y(random)}, {x(random), y(random)}});
    page.AddLine(Group::frame, drawn.back().a, drawn.back().b);
  }
  const Scratch scratch;
  const auto pages = LinesOf(scratch.Put("a.pdf", *ToPdf({page}, kInfo)));
  ASSERT_EQ(pages.size(), 1U);
  ASSERT_EQ(pages[0].size(), drawn.size());
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    EXPECT_LT((pages[0][i].a - drawn[i].a).norm(), 0.005);
    EXPECT_LT((pages[0][i].b - drawn[i].b).norm(), 0.005);
  }
}

TEST(Pdf, RefusesNumbersThatAreNotFinite) {
  Drawing page = Blank(210, 297);
  page.AddLine(Group::cut, {10, std::nan("")}, {20, 20});
  const Result<std::string> pdf = ToPdf({page}, kInfo);
  ASSERT_FALSE(pdf);
  EXPECT_NE(pdf.error().message.find("not finite"), std::string::npos);
  EXPECT_FALSE(ToPdf({}, kInfo));
  Drawing endless = Blank(210, INFINITY);
  EXPECT_FALSE(ToPdf({endless}, kInfo));
}

TEST(Pdf, SurvivesWordsThatAreNotUtf8) {
  Drawing page = Blank(210, 297);
  Text text;
  text.words = "bad \xff\xfe bytes\nand a line feed";
  text.at = {20, 80};
  page.Add(Group::text, text);
  EXPECT_TRUE(ToPdf({page}, kInfo));
}

}  // namespace
}  // namespace holeward
