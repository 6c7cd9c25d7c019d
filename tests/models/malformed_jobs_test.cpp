// Malformed jobs, each with the exact messages that reading it gives.
#include <algorithm>
#include <fstream>
#include <ostream>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "models/job_reader.h"

namespace holeward {
namespace {

const std::string kData = std::string(HOLEWARD_SOURCE_DIR) + "/tests/data/";

struct MalformedJob {
  std::string name, replace, by;
  std::vector<std::string> gives;
};

void PrintTo(const MalformedJob& job, std::ostream* out) { *out << job.name; }

std::string FileText(const std::string& path) {
  std::ifstream file(path);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::string Joined(const std::vector<std::string>& lines) {
  std::string text;
  for (std::size_t i = 0; i < lines.size(); ++i) text += (i > 0 ? "\n" : "") + lines[i];
  return text;
}

std::vector<MalformedJob> Cases() {
  std::vector<MalformedJob> cases;
  std::ifstream file(kData + "malformed/cases.txt");
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) {
    if (line.empty() || line[0] != '@') {
      lines.push_back(line);
      continue;
    }
    if (line == "@by") cases.back().replace = Joined(lines);
    if (line == "@gives") cases.back().by = Joined(lines);
    const bool next = line == "@end" || line.starts_with("@case ");
    if (next && !cases.empty()) cases.back().gives = lines;
    if (line.starts_with("@case ")) cases.push_back({line.substr(6), "", "", {}});
    lines.clear();
  }
  return cases;
}

class MalformedJobs : public ::testing::TestWithParam<MalformedJob> {};

TEST_P(MalformedJobs, GiveEachErrorOnceAtItsPlace) {
  const MalformedJob& given = GetParam();
  std::string text = FileText(kData + "good_job.toml");
  const auto at = text.find(given.replace);
  ASSERT_NE(at, std::string::npos);
  ASSERT_EQ(text.find(given.replace, at + 1), std::string::npos) << "the place is not the only one";
  text.replace(at, given.replace.size(), given.by);
  const JobReading reading = ReadJobText(text, "job.toml");
  EXPECT_FALSE(reading.ok());
  EXPECT_FALSE(reading.unreadable);
  std::vector<std::string> messages;
  for (const auto& error : reading.errors) messages.push_back(error.Text("job.toml"));
  EXPECT_EQ(messages, given.gives);
}

INSTANTIATE_TEST_SUITE_P(All, MalformedJobs, ::testing::ValuesIn(Cases()),
                         [](const auto& test) { return test.param.name; });

TEST(MalformedJobTable, HasAtLeastSixtyCases) { EXPECT_GE(Cases().size(), 60u); }

TEST(MalformedJobTable, ReadsItsBaseWithoutErrors) {
  EXPECT_TRUE(ReadJobText(FileText(kData + "good_job.toml"), "job.toml").ok());
}

}  // namespace
}  // namespace holeward
