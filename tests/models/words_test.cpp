// The message catalogues: whole, clean, and with the same places for values as the program's texts.
#include "models/words.h"

#include <set>

#include <gtest/gtest.h>

#include "tests/export/outside_tool.h"
#include "tests/models/message_files.h"

namespace holeward {
namespace {

using namespace testing_tools;

const std::string kRoot = HOLEWARD_SOURCE_DIR;

class EachLanguage : public ::testing::TestWithParam<Language> {};

INSTANTIATE_TEST_SUITE_P(Words, EachLanguage,
                         ::testing::Values(Language::german, Language::spanish),
                         [](const auto& of) { return std::string(NameOf(of.param)); });

/// The texts that the sources mark for translation, as GNU xgettext finds them.
std::vector<Message> MarkedTexts(const Scratch& scratch) {
  const std::string pot = scratch.path() + "/found.pot";
  const std::string files = scratch.path() + "/files";
  Output("cd " + kRoot +
         " && find app export geometry models viewer -name '*.cpp' -o -name '*.h' | sort > " +
         files);
  Output("cd " + kRoot +
         " && xgettext --from-code=UTF-8 --language=C++ --keyword --keyword=Say --keyword=Told "
         "--no-location --files-from=" +
         files + " --output=" + pot);
  return MessagesOf(pot);
}

std::set<std::string> TextsOf(const std::vector<Message>& messages) {
  std::set<std::string> texts;
  for (const Message& message : messages) texts.insert(message.text);
  return texts;
}

TEST(Words, TheListOfTextsIsThatOfTheSources) {
  const Scratch scratch;
  const auto marked = TextsOf(MarkedTexts(scratch));
  EXPECT_GT(marked.size(), 200U);
  EXPECT_EQ(TextsOf(MessagesOf(kRoot + "/po/holeward.pot")), marked) << "run ./dev words";
}

TEST_P(EachLanguage, SaysEveryTextOfTheList) {
  const auto listed = MessagesOf(kRoot + "/po/holeward.pot");
  const auto said = MessagesOf(MessageFile(Code(GetParam())));
  EXPECT_EQ(TextsOf(said), TextsOf(listed));
  for (const Message& message : said) EXPECT_NE(message.said, "") << message.text;
}

TEST_P(EachLanguage, IsCleanByMsgfmt) {
  const std::string file = MessageFile(Code(GetParam()));
  EXPECT_EQ(Output("msgfmt --check --output-file=/dev/null " + file + " 2>&1"), "");
}

TEST_P(EachLanguage, HasThePlacesForValuesOfTheText) {
  std::size_t with_places = 0;
  for (const Message& message : MessagesOf(MessageFile(Code(GetParam())))) {
    EXPECT_EQ(PlacesOf(message.said), PlacesOf(message.text)) << message.said;
    EXPECT_FALSE(MixesNumbering(message.said)) << message.said;
    with_places += PlacesOf(message.text).empty() ? 0 : 1;
  }
  EXPECT_GT(with_places, 50U);
}

TEST_P(EachLanguage, IsBuiltIntoTheProgramAsItsFileHasIt) {
  const Words words(GetParam());
  for (const Message& message : MessagesOf(MessageFile(Code(GetParam())))) {
    EXPECT_EQ(words.Say(message.text.c_str()), message.said);
  }
}

// Lengths on the sheets are read beside the job file: one decimal sign everywhere.
TEST_P(EachLanguage, KeepsThePointInNumbers) {
  const Words words(GetParam());
  EXPECT_NE(words.Say("{:g} mm", 3.5).find("3.5"), std::string::npos);
}

TEST(Words, PlacesTellApartNumbersNamesAndFormats) {
  EXPECT_EQ(PlacesOf("{} of {:.1f}"), PlacesOf("{1:.1f} von {0}"));
  EXPECT_NE(PlacesOf("{} of {:.1f}"), PlacesOf("{0:.1f} von {1}"));
  EXPECT_NE(PlacesOf("{}"), PlacesOf("{} {}"));
  EXPECT_TRUE(MixesNumbering("{} {0}"));
}

TEST(Words, SayAnUnknownTextInEnglish) {
  EXPECT_EQ(Words(Language::german).Say(""), "");
  EXPECT_EQ(Words(Language::german).Say(Phrase()), "");
  EXPECT_EQ(Words(Language::german).Say(std::string("no such text").c_str()), "no such text");
  EXPECT_EQ(Words().Say("{} of {}", 1, 2), "1 of 2");
  EXPECT_EQ(Words(Language::german).Say("{} of {}", 1, 2), "1 von 2");
}

TEST(Words, SayTheTrainersNamesByTheirTable) {
  const Words words(Language::german, {{"pivot eye", "Lagerauge"}, {"front end", "vorderes Ende"}});
  EXPECT_EQ(words.Own("pivot eye"), "Lagerauge");
  EXPECT_EQ(words.Own("bottom edge"), "Kante unten");
  EXPECT_EQ(words.Own("A1"), "A1");
  EXPECT_EQ(words.OwnList({"front end", "bottom edge", "A1"}), "vorderes Ende, Kante unten, A1");
  // A part may bear a name that the program uses for something else.
  EXPECT_EQ(words.Own("hole"), "hole");
}

TEST(Words, SayAPhraseWithItsNames) {
  const Words words(Language::german, {{"pivot eye", "Lagerauge"}});
  const Phrase phrase("in line with {}", {"pivot eye"});
  EXPECT_EQ(phrase.English(), "in line with pivot eye");
  EXPECT_EQ(words.Say(phrase), "in Flucht mit „Lagerauge“");
}

TEST(Words, FillPatternsInAnyOrder) {
  EXPECT_EQ(Filled("{1} before {0}", {"a", "b"}), "b before a");
  EXPECT_EQ(Filled("no place", {}), "no place");
}

TEST(Words, KnowTheirLanguagesByTheirCodes) {
  for (const Language language : kLanguages) EXPECT_EQ(LanguageOf(Code(language)), language);
  EXPECT_FALSE(LanguageOf("fr"));
  EXPECT_FALSE(LanguageOf("DE"));
}

}  // namespace
}  // namespace holeward
