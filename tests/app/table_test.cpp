#include "app/table.h"

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(DisplayWidth, OfNothingIsNothing) { EXPECT_EQ(DisplayWidth(""), 0); }

TEST(DisplayWidth, CountsCellsAndNotBytes) {
  EXPECT_EQ(DisplayWidth("arm"), 3);
  EXPECT_EQ(DisplayWidth("Träger"), 6);
  EXPECT_EQ(DisplayWidth("e\u0301tat"), 4);  // e with a combining acute accent
  EXPECT_EQ(DisplayWidth("右側"), 4);        // wide signs take two cells each
  EXPECT_EQ(DisplayWidth("45°"), 3);
}

TEST(DisplayWidth, OfBrokenUtf8CountsEachByte) {
  EXPECT_EQ(DisplayWidth("\xff\xfe"), 2);
  EXPECT_EQ(DisplayWidth("a\xc3"), 2);
  EXPECT_EQ(DisplayWidth("\xe2\x82(a"), 4);  // a sign of three bytes that breaks off
}

TEST(Printable, TakesTheTerminalOutOfAName) {
  EXPECT_EQ(Printable("arm\x1b[2Jx"), "arm\uFFFD[2Jx");
  EXPECT_EQ(Printable("a\nb\tc"), "a\uFFFDb\uFFFDc");
  EXPECT_EQ(Printable("a\u202Eb"), "a\uFFFDb");  // right-to-left override
  EXPECT_EQ(Printable("\u0085"), "\uFFFD");      // a C1 control
}

TEST(Printable, ReplacesWhatIsNotUtf8) {
  EXPECT_EQ(Printable("a\xff"), "a\uFFFD");
  // Overlong and surrogate forms are not UTF-8 (RFC 3629, section 3).
  EXPECT_EQ(Printable("\xc0\xaf"), "\uFFFD\uFFFD");
  EXPECT_EQ(Printable("\xed\xa0\x80"), "\uFFFD\uFFFD\uFFFD");
}

TEST(Printable, KeepsEveryLetter) { EXPECT_EQ(Printable("Träger 右 45°"), "Träger 右 45°"); }

TEST(Decimal, HasNoNegativeZero) {
  EXPECT_EQ(Decimal(-0.04, 1), "0.0");
  EXPECT_EQ(Decimal(-0.06, 1), "-0.1");
  EXPECT_EQ(Decimal(12.345, 2), "12.35");
}

TEST(Table, AlignsByCellsUnderHeadsWithUnits) {
  Table table({{"point", ""}, {"station", "mm", Align::right}, {"verdict", ""}});
  table.Row({"T1", "84.00", Verdict::clear});
  table.Row({"Träger", "1234.50", Verdict::unproven});
  EXPECT_EQ(table.Text(false),
            "point   station  verdict\n"
            "             mm\n"
            "------  -------  --------\n"
            "T1        84.00  clear\n"
            "Träger  1234.50  unproven\n");
}

TEST(Table, WithoutUnitsHasNoLineForThem) {
  Table table({{"a", ""}, {"b", ""}});
  table.Row({"1"});
  EXPECT_EQ(table.Text(false), "a  b\n-  -\n1\n");
}

TEST(Table, StacksTheLinesOfATitleOverItsUnit) {
  Table table({{"hole", ""}, {"free\ndepth", "mm", Align::right}});
  table.Row({"D1", "57.3"});
  EXPECT_EQ(table.Text(false),
            "       free\n"
            "hole  depth\n"
            "         mm\n"
            "----  -----\n"
            "D1     57.3\n");
}

TEST(Folded, BreaksAtBlanksOnly) {
  EXPECT_EQ(Folded("", 10), "");
  EXPECT_EQ(Folded("one two three", 20), "one two three");
  EXPECT_EQ(Folded("one two three", 8), "one two\n  three");
  EXPECT_EQ(Folded("a unbreakable b", 5), "a\n  unbreakable\n  b");
  EXPECT_EQ(Folded("größe größe", 11), "größe größe");  // cells, not bytes
}

TEST(Table, KeepsTheWordOfAColouredVerdict) {
  Table table({{"hole", ""}, {"verdict", ""}});
  table.Row({"contact", Verdict::contact});
  const std::string text = table.Text(true);
  EXPECT_NE(text.find("\ncontact  \x1b[1;31mcontact\x1b[0m\n"), std::string::npos) << text;
}

// Green, yellow, magenta, red: ECMA-48, select graphic rendition.
TEST(Table, HasAColourForEachVerdict) {
  Table table(std::vector<TableColumn>{{"verdict", ""}});
  for (const Verdict v : {Verdict::clear, Verdict::tight, Verdict::unproven, Verdict::contact}) {
    table.Row({v});
  }
  EXPECT_EQ(table.Text(true),
            "verdict\n--------\n\x1b[1;32mclear\x1b[0m\n\x1b[1;33mtight\x1b[0m\n"
            "\x1b[1;35munproven\x1b[0m\n\x1b[1;31mcontact\x1b[0m\n");
}

TEST(Table, CannotBeSteeredByAName) {
  Table table(std::vector<TableColumn>{{"name", ""}});
  table.Row({"\x1b[31mred\n"});
  EXPECT_EQ(table.Text(false).find('\x1b'), std::string::npos);
}

}  // namespace
}  // namespace holeward
