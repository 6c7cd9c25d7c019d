#include "app/console.h"

#include <sstream>

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(ConsoleStyle, IsColouredOnlyOnATerminal) {
  EXPECT_TRUE(StyleFrom(true, false, nullptr, "xterm").colour);
  EXPECT_FALSE(StyleFrom(false, true, nullptr, "xterm").colour);
}

TEST(ConsoleStyle, RespectsNoColor) {
  EXPECT_FALSE(StyleFrom(true, true, "1", "xterm").colour);
  // Empty means unset (the convention's own wording: "when present and not an empty string").
  EXPECT_TRUE(StyleFrom(true, true, "", "xterm").colour);
  EXPECT_TRUE(StyleFrom(true, true, "1", "xterm").progress);
}

TEST(ConsoleStyle, ADumbTerminalGetsPlainText) {
  for (const char* term : {"dumb", static_cast<const char*>(nullptr)}) {
    EXPECT_FALSE(StyleFrom(true, true, nullptr, term).colour);
    EXPECT_FALSE(StyleFrom(true, true, nullptr, term).progress);
  }
}

TEST(Console, KeepsResultsAndMessagesApart) {
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  console.Print("result");
  console.Message("trouble");
  EXPECT_EQ(out.str(), "result\n");
  EXPECT_EQ(err.str(), "holeward: trouble\n");
  EXPECT_TRUE(console.Finish());
}

TEST(Console, ShowsNoProgressWhereNobodyLooks) {
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  console.Progress("placing");
  console.EndProgress();
  EXPECT_EQ(out.str() + err.str(), "");
}

TEST(Console, RemovesProgressBeforeAResult) {
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {false, true});
  console.Progress("placing");
  console.Print("done");
  EXPECT_EQ(err.str(), "\r\x1b[Kplacing\r\x1b[K");
  EXPECT_EQ(out.str(), "done\n");
}

TEST(Console, SaysAVerdictInWordsWithAndWithoutColour) {
  std::ostringstream out;
  std::ostringstream err;
  Console(out, err, {}).PrintVerdict("Verdict over all", Verdict::tight);
  EXPECT_EQ(out.str(), "Verdict over all: tight\n");
  out.str("");
  Console(out, err, {true, false}).PrintVerdict("Verdict over all", Verdict::tight);
  EXPECT_EQ(out.str(), "Verdict over all: \x1b[1;33mtight\x1b[0m\n");
}

TEST(Console, TellsThatOutputWasLost) {
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  out.setstate(std::ios::badbit);
  console.Print("lost");
  EXPECT_FALSE(console.Finish());
}

}  // namespace
}  // namespace holeward
