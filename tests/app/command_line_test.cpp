#include "app/command_line.h"

#include <initializer_list>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace holeward {
namespace {

ParsedCommandLine Parse(std::initializer_list<const char*> arguments) {
  std::vector<const char*> argv = {"holeward"};
  argv.insert(argv.end(), arguments);
  return ParseCommandLine(static_cast<int>(argv.size()), argv.data());
}

/// The message of a command line that must be refused with exit status 2.
std::string Refusal(std::initializer_list<const char*> arguments) {
  const ParsedCommandLine parsed = Parse(arguments);
  EXPECT_FALSE(parsed.options.has_value());
  EXPECT_EQ(Number(parsed.status), 2);
  EXPECT_EQ(parsed.output, "");
  return parsed.message;
}

TEST(CommandLine, NothingAtAllIsRefused) {
  EXPECT_EQ(Refusal({}),
            "holeward: no command was given; the commands are locate, check, template, issue, "
            "decide, compare, model, fit, form, guide, words, new, view\nSee: holeward --help");
  EXPECT_NE(Refusal({"--jsn"}).find("'--jsn' is not an option of 'holeward'"), std::string::npos);
}

TEST(CommandLine, EmptyWordsAreRefused) {
  Refusal({""});
  Refusal({"locate", ""});
  Refusal({"new", ""});
  Refusal({"issue", "van.toml", "--to", ""});
  Refusal({"issue", "van.toml", "--part="});
}

TEST(CommandLine, AUnknownCommandIsToldWithTheNearestOne) {
  EXPECT_EQ(
      Refusal({"chek", "van.toml"}),
      "holeward: 'chek' is not a command; the commands are locate, check, template, issue, "
      "decide, compare, model, fit, form, guide, words, new, view; did you mean 'check'?\nSee: "
      "holeward --help");
}

TEST(CommandLine, AnUnknownOptionIsToldWithTheNearestOne) {
  EXPECT_EQ(Refusal({"check", "van.toml", "--jsn"}),
            "holeward: '--jsn' is not an option of 'check'; its options are --help, --json, "
            "--part, --side, --to; did you mean '--json'?\nSee: holeward check --help");
}

TEST(CommandLine, ASecondJobIsRefused) {
  EXPECT_EQ(Refusal({"locate", "a.toml", "b.toml"}),
            "holeward: 'b.toml' was not expected here: one is given at a time\n"
            "See: holeward locate --help");
}

TEST(CommandLine, AMissingJobIsRefused) {
  for (const char* command : {"locate", "check", "template", "issue"}) {
    EXPECT_NE(Refusal({command}).find("needs a job file"), std::string::npos) << command;
  }
}

TEST(CommandLine, DecideAndCompareTakeTwoFiles) {
  const auto decide = Parse({"decide", "van.toml", "r.csv", "--json"}).options.value();
  EXPECT_EQ(decide.job, "van.toml");
  EXPECT_EQ(decide.results, "r.csv");
  const auto compare = Parse({"compare", "old.toml", "new.toml"}).options.value();
  EXPECT_EQ(compare.old_job, "old.toml");
  EXPECT_EQ(compare.job, "new.toml");
  EXPECT_NE(Refusal({"decide", "van.toml"}).find("a table of results"), std::string::npos);
  EXPECT_NE(Refusal({"compare", "old.toml"}).find("the old and the new"), std::string::npos);
  for (const char* word : {"decide", "compare"}) {
    EXPECT_NE(Parse({word, "--help"}).output.find("--json"), std::string::npos) << word;
  }
}

TEST(CommandLine, ASideIsLeftOrRight) {
  EXPECT_EQ(Parse({"check", "van.toml", "--side", "left"}).options.value().side, Side::left);
  EXPECT_EQ(Parse({"check", "van.toml", "--side=right"}).options.value().side, Side::right);
  EXPECT_EQ(Refusal({"check", "van.toml", "--side", "lefft"}),
            "holeward: --side: 'lefft' is not one of left, right; did you mean 'left'?\n"
            "See: holeward check --help");
  EXPECT_EQ(Refusal({"check", "van.toml", "--side"}),
            "holeward: '--side' needs one value\nSee: holeward check --help");
}

TEST(CommandLine, EveryCommandIsParsedWithItsOptions) {
  struct Case {
    const char* word;
    Command command;
  };
  for (const Case& c : {Case{"locate", Command::locate}, Case{"check", Command::check},
                        Case{"template", Command::make_template}, Case{"issue", Command::issue}}) {
    const auto parsed =
        Parse({c.word, "jobs/van.toml", "--json", "--to", "out", "--part", "the arm"});
    ASSERT_TRUE(parsed.options.has_value()) << c.word << ": " << parsed.message;
    EXPECT_EQ(parsed.options->command, c.command);
    EXPECT_STREQ(Word(c.command), c.word);
    EXPECT_EQ(parsed.options->job, "jobs/van.toml");
    EXPECT_TRUE(parsed.options->json);
    EXPECT_EQ(parsed.options->to, "out");
    EXPECT_EQ(parsed.options->part, "the arm");
    EXPECT_FALSE(parsed.options->side.has_value());
    EXPECT_TRUE(parsed.options->filtered());
  }
}

TEST(CommandLine, OptionsMayStandBeforeTheJob) {
  const auto parsed = Parse({"check", "--json", "van.toml"});
  ASSERT_TRUE(parsed.options.has_value()) << parsed.message;
  EXPECT_EQ(parsed.options->job, "van.toml");
  EXPECT_FALSE(parsed.options->filtered());
}

TEST(CommandLine, AJobThatStartsWithADashIsReachable) {
  const auto parsed = Parse({"check", "--", "-van.toml"});
  ASSERT_TRUE(parsed.options.has_value()) << parsed.message;
  EXPECT_EQ(parsed.options->job, "-van.toml");
}

TEST(CommandLine, NewTakesOneOfThreeKinds) {
  for (const char* kind : {"arm", "tube", "channel"}) {
    const auto parsed = Parse({"new", kind});
    ASSERT_TRUE(parsed.options.has_value()) << parsed.message;
    EXPECT_EQ(parsed.options->command, Command::new_job);
    EXPECT_EQ(parsed.options->kind, kind);
    EXPECT_FALSE(parsed.options->to.has_value());
  }
  EXPECT_NE(Refusal({"new", "axle"}).find("axle"), std::string::npos);
  Refusal({"new"});
}

TEST(CommandLine, HelpOfEachCommandNamesItsOptionsAndGoesToStandardOutput) {
  const auto program = Parse({"--help"});
  EXPECT_EQ(Number(program.status), 0);
  for (const char* word : {"locate", "check", "template", "issue", "new"}) {
    EXPECT_NE(program.output.find(word), std::string::npos) << word;
    const auto help = Parse({word, "--help"});
    EXPECT_FALSE(help.options.has_value());
    EXPECT_EQ(Number(help.status), 0);
    EXPECT_NE(help.output.find("--to"), std::string::npos) << word;
    EXPECT_NE(help.output.find("--json"), std::string::npos) << word;
    EXPECT_NE(help.output.find("Exit status"), std::string::npos) << word;
    EXPECT_EQ(help.message, "");
  }
}

TEST(CommandLine, EveryCommandHasAHelpThatBeginsWithHowItIsWritten) {
  const std::string program = Parse({"--help"}).output;
  for (const char* word : {"locate", "check", "template", "issue", "decide", "compare", "model",
                           "fit", "form", "guide", "words", "new", "view"}) {
    const auto help = Parse({word, "--help"});
    EXPECT_EQ(Number(help.status), 0) << word;
    EXPECT_EQ(help.output.rfind(std::string("usage: holeward ") + word + " ", 0), 0U) << word;
    EXPECT_NE(help.output.find("Exit status"), std::string::npos) << word;
    EXPECT_NE(program.find(std::string("\n  ") + word + " "), std::string::npos) << word;
  }
}

/// Every "--word" of a text.
std::set<std::string> OptionsNamedIn(const std::string& text) {
  static const std::regex kOption("--[a-z]+(-[a-z]+)?");
  return {std::sregex_token_iterator(text.begin(), text.end(), kOption),
          std::sregex_token_iterator()};
}

TEST(CommandLine, HelpNamesTheOptionsThatAreParsedAndNoOthers) {
  for (const char* word : {"locate", "check", "template", "issue", "decide", "compare", "model",
                           "fit", "form", "guide", "words", "new", "view"}) {
    // The refusal of an unknown option lists those that the parser knows.
    std::set<std::string> parsed = OptionsNamedIn(Refusal({word, "x", "--qqqqqqqq"}));
    parsed.erase("--qqqqqqqq");
    EXPECT_GE(parsed.size(), 2U) << word;
    EXPECT_EQ(OptionsNamedIn(Parse({word, "--help"}).output), parsed) << word;
  }
}

TEST(CommandLine, BarsAreForWhatIsPrintedAndWithinTwoPerCent) {
  for (const char* word : {"template", "issue"}) {
    const auto parsed = Parse({word, "van.toml", "--bars", "149.2x149.6"});
    ASSERT_TRUE(parsed.options.has_value()) << parsed.message;
    ASSERT_TRUE(parsed.options->bars.has_value());
    EXPECT_DOUBLE_EQ(parsed.options->bars->x, 149.2);
    EXPECT_DOUBLE_EQ(parsed.options->bars->y, 149.6);
    EXPECT_FALSE(parsed.options->filtered());
    EXPECT_NE(Refusal({word, "van.toml", "--bars", "146x150"}).find("from 147 to 153 mm"),
              std::string::npos);
    EXPECT_NE(Refusal({word, "van.toml", "--bars", "wide"}).find("'wide' is not two lengths"),
              std::string::npos);
    EXPECT_FALSE(Parse({word, "van.toml"}).options->bars.has_value());
  }
  EXPECT_NE(Refusal({"check", "van.toml", "--bars", "150x150"}).find("not an option"),
            std::string::npos);
}

TEST(CommandLine, VersionIsOneLine) {
  const auto parsed = Parse({"--version"});
  EXPECT_EQ(Number(parsed.status), 0);
  EXPECT_EQ(parsed.output, VersionText() + "\n");
  EXPECT_EQ(VersionText().rfind("holeward ", 0), 0U);
}

TEST(CommandLine, TheOutputFolderIsNamedForTheJobUnlessGiven) {
  EXPECT_EQ(Parse({"issue", "jobs/van.rear.toml"}).options.value().OutputFolder(), "van.rear");
  EXPECT_EQ(Parse({"issue", "jobs/van"}).options.value().OutputFolder(), "van-set");
  EXPECT_EQ(Parse({"issue", "van.toml", "--to", "x/y"}).options.value().OutputFolder(), "x/y");
}

TEST(ExitStatus, FollowsTheVerdictOverAll) {
  EXPECT_EQ(Number(StatusOf(Verdict::clear)), 0);
  EXPECT_EQ(Number(StatusOf(Verdict::tight)), 1);
  EXPECT_EQ(Number(StatusOf(Verdict::contact)), 1);
  EXPECT_EQ(Number(StatusOf(Verdict::unproven)), 3);
}

TEST(CommandLine, TakesALanguageForTheSheetsAndEnglishByDefault) {
  EXPECT_EQ(Parse({"issue", "a.toml"}).options.value().language, Language::english);
  EXPECT_EQ(Parse({"issue", "a.toml", "--language", "de"}).options.value().language,
            Language::german);
  EXPECT_EQ(Parse({"template", "a.toml", "--language", "es"}).options.value().language,
            Language::spanish);
  EXPECT_NE(Refusal({"issue", "a.toml", "--language", "fr"}).find("'fr' is not one of en, de, es"),
            std::string::npos);
  Refusal({"check", "a.toml", "--language", "de"});
}

TEST(CommandLine, OnlyIssueLeavesPicturesOut) {
  EXPECT_FALSE(Parse({"issue", "a.toml"}).options.value().no_pictures);
  EXPECT_TRUE(Parse({"issue", "a.toml", "--no-pictures"}).options.value().no_pictures);
  Refusal({"template", "a.toml", "--no-pictures"});
}

TEST(CommandLine, WordsTakesAJobAndAFile) {
  const auto words = Parse({"words", "a.toml", "--to", "w.csv"}).options.value();
  EXPECT_EQ(words.command, Command::words);
  EXPECT_EQ(words.job, "a.toml");
  EXPECT_EQ(words.to, "w.csv");
  Refusal({"words"});
  Refusal({"words", "a.toml", "--side", "left"});
}

TEST(CommandLine, ViewTakesAJobOrNoneAndAPictureOfAJob) {
  EXPECT_EQ(Parse({"view"}).options.value().command, Command::view);
  const auto view = Parse({"view", "a.toml", "--picture", "a.png"}).options.value();
  EXPECT_EQ(view.job, "a.toml");
  EXPECT_EQ(view.picture, "a.png");
  Refusal({"view", "--picture", "a.png"});
  Refusal({"view", "a.toml", "b.toml"});
  Refusal({"view", "a.toml", "--json"});
}

TEST(ExitStatus, FollowsTheKindOfFailure) {
  EXPECT_EQ(Number(StatusOf(ErrorKind::job)), 2);
  EXPECT_EQ(Number(StatusOf(ErrorKind::file)), 4);
  EXPECT_EQ(Number(StatusOf(ErrorKind::computed)), 4);
}

}  // namespace
}  // namespace holeward
