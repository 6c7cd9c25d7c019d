#include "export/paper.h"

#include <cmath>

#include <gtest/gtest.h>

namespace holeward {
namespace {

Paper Named(const std::string& name) {
  Paper paper;
  paper.name = name;
  return paper;
}

TEST(PaperSize, IsThatOfItsStandard) {
  struct Case {
    const char* name;
    double width, height;
  };
  // A4, A3: ISO 216:2007, main series A. Letter, Tabloid: ASME Y14.1, sizes A and B.
  for (const Case& c : {Case{"A4", 210, 297}, Case{"A3", 297, 420}, Case{"Letter", 215.9, 279.4},
                        Case{"Tabloid", 279.4, 431.8}}) {
    const Result<PageSize> size = SizeOf(Named(c.name));
    ASSERT_TRUE(size) << c.name;
    EXPECT_DOUBLE_EQ(size->width, c.width) << c.name;
    EXPECT_DOUBLE_EQ(size->height, c.height) << c.name;
  }
}

TEST(PaperSize, OfA4OrLetterFitsBoth) {
  const PageSize both = *SizeOf(Named("A4 or Letter"));
  for (const char* name : {"A4", "Letter"}) {
    EXPECT_LE(both.width, SizeOf(Named(name))->width);
    EXPECT_LE(both.height, SizeOf(Named(name))->height);
  }
  EXPECT_DOUBLE_EQ(both.width, 210.0);
  EXPECT_DOUBLE_EQ(both.height, 279.4);
}

TEST(PaperSize, RefusesWhatItDoesNotKnow) {
  const Result<PageSize> size = SizeOf(Named("A5"));
  ASSERT_FALSE(size);
  EXPECT_EQ(size.error().kind, ErrorKind::job);
  EXPECT_NE(size.error().message.find("\"A5\""), std::string::npos);
}

TEST(PaperSize, RefusesARollTooNarrowForTheCheckBarOrTooWide) {
  Paper paper;
  paper.roll_width = 150.0;
  ASSERT_FALSE(SizeOf(paper));
  EXPECT_NE(SizeOf(paper).error().message.find("150.0 mm"), std::string::npos);
  paper.roll_width = kLongestPage + 1.0;
  EXPECT_FALSE(SizeOf(paper));
  paper.roll_width = kLongestPage;
  EXPECT_TRUE(SizeOf(paper));
  paper.roll_width = kNarrowestRoll;
  EXPECT_TRUE(SizeOf(paper));
  paper.roll_width = std::nan("");
  EXPECT_EQ(SizeOf(paper).has_value(), true);  // not a roll: no width was given
}

}  // namespace
}  // namespace holeward
