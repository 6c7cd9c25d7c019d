// Files and texts that are not jobs at all, and any bytes whatever.
#include <random>
#include <string>

#include <fmt/format.h>

#include <gtest/gtest.h>

#include "models/job_reader.h"
#include "tests/models/job_texts.h"

namespace holeward {
namespace {

using test::FileText;
using test::Good;
using test::kGoodJob;
using test::kShortest;
using test::Messages;

TEST(File, ThatIsMissingIsUnreadable) {
  const JobReading reading = ReadJobFile("no/such/job.toml");
  EXPECT_TRUE(reading.unreadable);
  EXPECT_FALSE(reading.ok());
  ASSERT_EQ(reading.errors.size(), 1u);
  EXPECT_EQ(reading.errors[0].Text("no/such/job.toml"),
            "no/such/job.toml:1:1: the job file cannot be opened: No such file or directory");
}

TEST(File, ThatIsAFolderIsUnreadable) {
  const JobReading reading = ReadJobFile(HOLEWARD_SOURCE_DIR);
  EXPECT_TRUE(reading.unreadable);
  ASSERT_EQ(reading.errors.size(), 1u);
  EXPECT_EQ(reading.errors[0].message, "the job file cannot be read: it is a folder");
}

TEST(File, ReadsTheSameAsItsText) {
  const JobReading reading = ReadJobFile(kGoodJob);
  EXPECT_TRUE(reading.ok()) << Messages(reading);
  EXPECT_EQ(reading.job.file, kGoodJob);
  EXPECT_EQ(reading.job.text_hash, ReadJobText(FileText(kGoodJob), "x").job.text_hash);
  EXPECT_EQ(reading.job.text_hash.size(), 8u);
}

std::string OnlyError(const std::string& text) {
  const JobReading reading = ReadJobText(text, "job.toml");
  EXPECT_EQ(reading.errors.size(), 1u);
  EXPECT_FALSE(reading.unreadable);
  return Messages(reading);
}

TEST(Text, ThatIsEmptyOrBlankIsOneError) {
  const std::string expected = "job.toml:1:1: the file is empty; a job begins with holeward = 1\n";
  EXPECT_EQ(OnlyError(""), expected);
  EXPECT_EQ(OnlyError(" \n\t\r\n"), expected);
}

TEST(Text, ThatIsNotUtf8NamesTheFirstWrongPlace) {
  EXPECT_EQ(OnlyError("holeward = 1\ntitle = \"B\xf6schung\"\n"),
            "job.toml:2:11: the file is not UTF-8 text from here on\n");
}

TEST(Text, InUtf8IsUnderstoodAndCountedInCharacters) {
  const Job job = Good("title = \"Böschung\"\n" + std::string(kShortest));
  EXPECT_EQ(job.title, "Böschung");
}

TEST(Text, LargerThanAnyJobIsRefused) {
  const std::string text = "holeward = 1\n" + std::string(17u * 1024u * 1024u, '#');
  EXPECT_EQ(OnlyError(text), "job.toml:1:1: the file is larger than 16 MiB; a job is not\n");
}

TEST(Text, WithoutPartsSaysSo) {
  EXPECT_EQ(OnlyError("holeward = 1\n"),
            "job.toml:1:1: a part ([part.NAME]) is missing in the job\n");
}

TEST(Text, WithMoreThanAnyJobHasIsRefusedInABreath) {
  std::string text = kShortest;
  for (int i = 0; i < 200000; ++i) text += fmt::format("key{} = 1\n", i);
  EXPECT_FALSE(ReadJobText(text, "job.toml").ok());
  text = kShortest;
  for (int i = 0; i < 20000; ++i) text += fmt::format("[[point]]\nname = \"P{}\"\n", i);
  EXPECT_EQ(OnlyError(text),
            "job.toml:10:1: \"point\" in the job must be at most 2000 tables; found 20000\n");
}

TEST(Text, NestedWithoutEndIsRefusedNotFollowed) {
  EXPECT_FALSE(ReadJobText("a = " + std::string(100000, '['), "job.toml").ok());
}

// Any bytes give a job or errors at places in the file; the seed is fixed.
TEST(Text, ChangedAtRandomNeverCrashesAndAlwaysHasAPlaceForItsErrors) {
  const std::string good = FileText(kGoodJob);
  ASSERT_GT(good.size(), 1000u);
  std::mt19937 random(20261125);
  std::uniform_int_distribution<std::size_t> anywhere(0, good.size() - 1);
  std::uniform_int_distribution<int> any_byte(0, 255);
  std::uniform_int_distribution<int> how(0, 3);
  int wrong = 0;
  for (int round = 0; round < 2000; ++round) {
    std::string text = good;
    for (int change = 0; change <= round % 4; ++change) {
      const std::size_t at = anywhere(random) % text.size();
      const char byte = static_cast<char>(any_byte(random));
      const int kind = how(random);
      if (kind == 0) text[at] = byte;
      if (kind == 1) text.insert(at, 1, byte);
      if (kind == 2) text.erase(at, 1);
      if (kind == 3) text[at] = good[anywhere(random)];
    }
    const JobReading reading = ReadJobText(text, "job.toml");
    EXPECT_EQ(reading.ok(), reading.errors.empty());
    if (!reading.ok()) ++wrong;
    for (const auto& error : reading.errors) {
      EXPECT_GE(error.at.line, 1);
      EXPECT_GE(error.at.column, 1);
      EXPECT_FALSE(error.message.empty());
    }
  }
  EXPECT_GT(wrong, 200) << "the changes changed something";
  EXPECT_LT(wrong, 2000) << "some changes leave a job";
}

}  // namespace
}  // namespace holeward
