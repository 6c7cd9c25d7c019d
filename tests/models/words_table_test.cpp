// The table of the trainer's words: read with every fault at its place, written without loss.
#include "models/words_table.h"

#include <map>
#include <random>

#include <gtest/gtest.h>

namespace holeward {
namespace {

std::vector<std::string> FaultsOf(std::string_view text) {
  std::vector<std::string> faults;
  for (const JobError& error : ReadWordsText(text).errors) faults.push_back(error.Text("w.csv"));
  return faults;
}

using Faults = std::vector<std::string>;

Job JobWith(const std::vector<std::string>& texts) {
  Job job;
  int line = 1;
  for (const std::string& text : texts) job.texts.push_back({text, {line++, 3}});
  return job;
}

TEST(WordsTable, ReadsCommasAndSemicolons) {
  for (const std::string text : {"text,de,es\npivot eye,Lagerauge,ojo\n\"a, b\",\"c, d\",\n",
                                 "text;de;es\r\npivot eye;Lagerauge;ojo\r\n\"a, b\";c, d;\r\n",
                                 "\xef\xbb\xbf"
                                 "es;text;de\nojo;pivot eye;Lagerauge\n;a, b;c, d\n"}) {
    const WordsTable table = ReadWordsText(text);
    ASSERT_TRUE(table.ok()) << text;
    ASSERT_EQ(table.rows.size(), 2U);
    EXPECT_EQ(SaidIn(table, Language::german),
              (OwnWords{{"pivot eye", "Lagerauge"}, {"a, b", "c, d"}}));
    EXPECT_EQ(SaidIn(table, Language::spanish), (OwnWords{{"pivot eye", "ojo"}}));
  }
}

TEST(WordsTable, TellsEachFaultAtItsPlace) {
  EXPECT_EQ(FaultsOf(""), (Faults{"w.csv:1:1: the table is empty; it begins with text,de,es"}));
  EXPECT_EQ(FaultsOf("text,fr\n"),
            (Faults{"w.csv:1:6: unknown column \"fr\"; the columns are text, de, es"}));
  EXPECT_EQ(FaultsOf("de,es\n"), (Faults{"w.csv:1:1: the column \"text\" is missing"}));
  EXPECT_EQ(FaultsOf("text,de,de\n"), (Faults{"w.csv:1:9: the column \"de\" stands twice"}));
  EXPECT_EQ(FaultsOf("text,de\na,b,c\n"),
            (Faults{"w.csv:2:5: found 3 fields where the head has 2; put a text that holds ',' in "
                    "quotes"}));
  EXPECT_EQ(FaultsOf("text,de\na,b\nä,c\na,d\n"),
            (Faults{"w.csv:4:1: the text \"a\" is given already (line 2)"}));
  EXPECT_EQ(FaultsOf("text,de\n,b\n"),
            (Faults{"w.csv:2:1: the record says what, but not which text of the job"}));
  EXPECT_EQ(FaultsOf("text,de\na,\"b\nc\"\n"),
            (Faults{"w.csv:2:3: a text must be one line without control characters"}));
  EXPECT_EQ(FaultsOf("text,de\na,\"b\n"),
            (Faults{"w.csv:2:3: a field begins with \" and has no \" behind it"}));
  EXPECT_EQ(FaultsOf("text,de\na,\xff\n"),
            (Faults{"w.csv:2:3: the table is not UTF-8 text from here on"}));
}

TEST(WordsTable, SaysWhatIsMissingInTheOrderOfTheJob) {
  const Job job = JobWith({"arm", "pivot eye", "tube"});
  const WordsTable table = ReadWordsText("text,de,es\ntube,,tubo\npivot eye,Lagerauge,\n");
  const auto missing = NotSaid(job, table, Language::german);
  ASSERT_EQ(missing.size(), 2U);
  EXPECT_EQ(missing[0].text, "arm");
  EXPECT_EQ(missing[0].at.line, 1);
  EXPECT_EQ(missing[1].text, "tube");
  EXPECT_EQ(NotSaid(job, table, Language::spanish).size(), 2U);
}

TEST(WordsTable, KeepsWhatIsFilledInAndWhatTheJobNoLongerSays) {
  const WordsTable known = ReadWordsText("text;de\ngone;weg\narm;Lenker\n");
  EXPECT_EQ(WordsCsv(JobWith({"arm", "tube; bent"}), known),
            "text;de;es\narm;Lenker;\n\"tube; bent\";;\ngone;weg;\n");
}

// What is written is read back as it was, whatever it holds.
TEST(WordsTable, SurvivesWritingAndReading) {
  std::mt19937 random(4711);
  const std::string letters = "ab,;\" é'xя-";
  std::uniform_int_distribution<std::size_t> length(1, 12);
  std::uniform_int_distribution<std::size_t> letter(0, letters.size() - 1);
  std::size_t quoted = 0;
  for (int round = 0; round < 200; ++round) {
    WordsTable table;
    table.comma = round % 2 == 0 ? ',' : ';';
    std::vector<std::string> texts;
    for (int i = 0; i < 5; ++i) {
      std::string text = "t" + std::to_string(i);
      for (std::size_t n = length(random); n > 0; --n) {
        const char c = letters[letter(random)];
        text += static_cast<unsigned char>(c) < 0x80 ? std::string(1, c) : "ß";
      }
      text += ".";  // blanks at the ends are not kept
      texts.push_back(text);
      table.rows.push_back({text, {{Language::german, "de " + text}}});
    }
    const std::string csv = WordsCsv(JobWith(texts), table);
    quoted += csv.find('"') != std::string::npos ? 1 : 0;
    const WordsTable back = ReadWordsText(csv);
    ASSERT_TRUE(back.ok()) << csv;
    EXPECT_EQ(SaidIn(back, Language::german), SaidIn(table, Language::german));
    EXPECT_TRUE(NotSaid(JobWith(texts), back, Language::german).empty());
  }
  EXPECT_GT(quoted, 100U);
}

TEST(JobTexts, AreTheTrainersWordsEachAtItsPlace) {
  const std::string file = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/utility-van.toml";
  const JobReading reading = ReadJobFile(file);
  ASSERT_TRUE(reading.ok());
  std::map<std::string, int> lines;
  for (const JobText& text : reading.job.texts) lines[text.text] = text.at.line;
  for (const char* text : {"Trailing arm and cross tube, rear, utility van", "arm", "tube",
                           "pivot eye", "left end", "torsion bar", "brake hose", "tube wrap",
                           "2 cable ties", "Free the brake hose", "A damaged brake hose fails.",
                           "any test of tube fails", "Replace the arm; drill nothing on it."}) {
    EXPECT_EQ(lines.count(text), 1U) << text;
  }
  EXPECT_EQ(lines.count("A1"), 0U);  // a point's name reads alike everywhere
  EXPECT_LT(lines["arm"], lines["tube"]);
  EXPECT_EQ(lines.size(), reading.job.texts.size());  // each once
}

TEST(JobTexts, TheDemosTableSaysThemAll) {
  const std::string folder = std::string(HOLEWARD_SOURCE_DIR) + "/models/examples/";
  const JobReading reading = ReadJobFile(folder + "utility-van.toml");
  ASSERT_TRUE(reading.ok());
  EXPECT_EQ(WordsPath(reading.job), folder + "utility-van-words.csv");
  const WordsTable table = ReadWordsFile(WordsPath(reading.job));
  ASSERT_TRUE(table.ok());
  for (const Language language : {Language::german, Language::spanish}) {
    for (const JobText& text : NotSaid(reading.job, table, language)) {
      ADD_FAILURE() << text.text << " is not said in " << NameOf(language);
    }
  }
  EXPECT_EQ(table.rows.size(), reading.job.texts.size());
}

TEST(WordsTable, ThatCannotBeReadIsTold) {
  const WordsTable table = ReadWordsFile("/no/such/table.csv");
  EXPECT_TRUE(table.unreadable);
  EXPECT_FALSE(table.ok());
}

}  // namespace
}  // namespace holeward
