// The demo's sheets in every language: nothing on them is left in English, nothing overflows.
#include <map>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "app/work.h"
#include "app/work_pictures.h"
#include "app/work_shop.h"
#include "export/index_sheet.h"
#include "export/instruction_sheet.h"
#include "export/record_sheet.h"
#include "models/words_table.h"
#include "tests/export/layout_faults.h"
#include "tests/models/message_files.h"

namespace holeward {
namespace {

using namespace testing_tools;

const std::string kDemo = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml";

/// The demo, placed and checked once.
const Work& Demo() {
  static const Work work = [] {
    Options options;
    options.command = Command::issue;
    options.job = kDemo;
    std::ostringstream out;
    std::ostringstream err;
    Console console(out, err, {});
    auto placed = PlaceWork(options, console);
    EXPECT_TRUE(placed) << err.str();
    EXPECT_TRUE(CheckWork(*placed, console));
    return std::move(*placed);
  }();
  return work;
}

/// Every page of a set that is printed for the workshop.
struct Pages {
  std::vector<Drawing> templates, instructions, record, index;

  [[nodiscard]] std::vector<Drawing> All() const {
    std::vector<Drawing> all;
    for (const auto* some : {&templates, &instructions, &record, &index}) {
      all.insert(all.end(), some->begin(), some->end());
    }
    return all;
  }
};

Pages PagesOf(const Work& work) {
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  Pages pages;
  const auto sheets = SheetWork(work, {}, console);
  EXPECT_TRUE(sheets) << err.str();
  for (const SheetOut& sheet : *sheets) {
    for (const Drawing& drawing : sheet.sheet.Drawings()) pages.templates.push_back(drawing);
  }
  ShopInput input = ShopInputOf(work, {});
  AddPictures(work, &input);
  const auto instructions = MakeInstructionSheet(input);
  const auto record = MakeRecordSheet(input);
  EXPECT_TRUE(instructions && record);
  pages.instructions = instructions->pages;
  pages.record = *record;
  IndexInput index;
  index.facts = FactsOfRun(work);
  index.set = work.job.set;
  index.lines = {{"instructions.pdf", 3, "0123abcd"}};
  pages.index = MakeIndexSheet(index);
  return pages;
}

Work InLanguage(Language language) {
  Work work = Demo();
  Options options;
  options.language = language;
  std::ostringstream out;
  std::ostringstream err;
  Console console(out, err, {});
  EXPECT_TRUE(FindWords(work, options, console)) << err.str();
  return work;
}

/// The parts of a text between the places for its values.
std::vector<std::string> Fragments(const std::string& text) {
  std::vector<std::string> fragments(1);
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '{') {
      i = std::min(text.find('}', i), text.size());
      fragments.emplace_back();
    } else {
      fragments.back() += text[i];
    }
  }
  return fragments;
}

/// All lettering of a page in one line, as a person reads on from line to line.
std::string Running(const Drawing& page) {
  std::string text;
  for (const Lettered& one : LetteringOf(page)) text += one.words + " ";
  return text;
}

/// Texts of the catalogue that stand on a page in English though the language says them otherwise.
std::set<std::string> LeftInEnglish(const std::vector<Drawing>& pages,
                                    const std::vector<Message>& messages) {
  std::set<std::string> left;
  for (const Drawing& page : pages) {
    std::set<std::string> cells;
    for (const Lettered& one : LetteringOf(page)) cells.insert(one.words);
    const std::string running = Running(page);
    for (const Message& message : messages) {
      if (message.said == message.text) continue;
      if (cells.count(message.text) > 0) left.insert(message.text);
      for (const std::string& fragment : Fragments(message.text)) {
        const bool sentence = std::count(fragment.begin(), fragment.end(), ' ') >= 3;
        if (sentence && running.find(fragment) != std::string::npos) left.insert(message.text);
      }
    }
  }
  return left;
}

void ExpectSoundLayout(const std::vector<Drawing>& pages, const std::string& what) {
  for (std::size_t i = 0; i < pages.size(); ++i) {
    for (const std::string& fault : LayoutFaults(pages[i])) {
      ADD_FAILURE() << what << ", page " << i + 1 << ": " << fault;
    }
  }
}

class InEachLanguage : public ::testing::TestWithParam<Language> {};

INSTANTIATE_TEST_SUITE_P(Sheets, InEachLanguage, ::testing::ValuesIn(kLanguages),
                         [](const auto& of) { return std::string(NameOf(of.param)); });

TEST_P(InEachLanguage, TheDemoSaysEverythingAndKeepsToItsPlaces) {
  const Pages pages = PagesOf(InLanguage(GetParam()));
  EXPECT_GT(pages.templates.size(), 8U);
  EXPECT_GT(pages.instructions.size(), 6U);
  EXPECT_EQ(pages.record.size(), 1U) << "one side of paper a vehicle";
  if (GetParam() != Language::english) {
    const auto left = LeftInEnglish(pages.All(), MessagesOf(MessageFile(Code(GetParam()))));
    for (const std::string& text : left) ADD_FAILURE() << "left in English: " << text;
    // The job's own words are said as well.
    const std::string all = Running(pages.instructions.front());
    EXPECT_EQ(all.find("brake hose"), std::string::npos);
  }
  ExpectSoundLayout(pages.templates, "templates");
  ExpectSoundLayout(pages.instructions, "instructions");
  ExpectSoundLayout(pages.record, "record");
  ExpectSoundLayout(pages.index, "index");
  for (const Drawing& page : pages.All()) {
    for (const Lettered& one : LetteringOf(page)) {
      EXPECT_FALSE(one.words.ends_with("…")) << "cut short: " << one.words;
    }
  }
}

// The check above would find English if it were there.
TEST(SheetLanguages, EnglishLeftOnAPageIsFound) {
  const Pages pages = PagesOf(InLanguage(Language::english));
  const auto left = LeftInEnglish(pages.All(), MessagesOf(MessageFile("de")));
  EXPECT_GT(left.size(), 200U);
}

/// A word of German as long as they come, told apart by a number.
std::string LongWord(std::size_t number) {
  return "Längslenkerdämpferhalterbefestigungsbohrung" + std::to_string(number);
}

TEST(SheetLanguages, VeryLongWordsKeepToTheirPlaces) {
  Work work = Demo();
  OwnWords own;
  for (const JobText& text : work.job.texts) {
    std::string words = LongWord(own.size());
    for (std::size_t more = text.text.size() / 40; more > 0; --more) {
      words += " " + LongWord(100 + more);
    }
    own[text.text] = words;
  }
  work.words = Words(Language::german, own);
  const Pages pages = PagesOf(work);
  ExpectSoundLayout(pages.templates, "templates");
  ExpectSoundLayout(pages.instructions, "instructions");
  ExpectSoundLayout(pages.record, "record");
  ExpectSoundLayout(pages.index, "index");
}

}  // namespace
}  // namespace holeward
