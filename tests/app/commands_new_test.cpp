#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include <nlohmann/json.hpp>

#include <gtest/gtest.h>

#include "app/commands.h"
#include "models/job_reader.h"
#include "models/starter_jobs.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;

std::string Contents(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

std::size_t FilesIn(const fs::path& folder) {
  return static_cast<std::size_t>(
      std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

class NewCommand : public testing::Test {
 protected:
  void SetUp() override {
    std::string name = (fs::temp_directory_path() / "holeward_new_XXXXXX").string();
    ASSERT_NE(mkdtemp(name.data()), nullptr);
    folder_ = name;
  }
  void TearDown() override { fs::remove_all(folder_); }

  ExitStatus Run(const Options& options) {
    out_.str("");
    err_.str("");
    Console console(out_, err_, {});
    return RunNew(options, console);
  }

  static Options Kind(const std::string& kind) {
    Options options;
    options.command = Command::new_job;
    options.kind = kind;
    return options;
  }

  fs::path folder_;
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(NewCommand, PrintsTheStarterJobAsItIs) {
  for (const char* kind : {"arm", "tube", "channel"}) {
    EXPECT_EQ(Run(Kind(kind)), ExitStatus::done);
    EXPECT_EQ(out_.str(), Contents(fs::path(HOLEWARD_SOURCE_DIR) / "models/starter" /
                                   (std::string(kind) + ".toml")));
    EXPECT_FALSE(out_.str().empty());
    EXPECT_EQ(err_.str(), "");
  }
}

TEST_F(NewCommand, WritesAFileThatDoesNotExist) {
  Options options = Kind("tube");
  options.to = (folder_ / "mine.toml").string();
  EXPECT_EQ(Run(options), ExitStatus::done);
  EXPECT_EQ(Contents(*options.to), StarterJob("tube"));
  EXPECT_EQ(FilesIn(folder_), 1U);
}

TEST_F(NewCommand, WritesIntoAFolderUnderTheKindsName) {
  Options options = Kind("arm");
  options.to = folder_.string();
  EXPECT_EQ(Run(options), ExitStatus::done);
  EXPECT_EQ(Contents(folder_ / "arm.toml"), StarterJob("arm"));
}

TEST_F(NewCommand, KeepsAFileThatExists) {
  Options options = Kind("arm");
  options.to = (folder_ / "mine.toml").string();
  std::ofstream(*options.to) << "my work";
  EXPECT_EQ(Run(options), ExitStatus::failed);
  EXPECT_EQ(Contents(*options.to), "my work");
  EXPECT_EQ(FilesIn(folder_), 1U) << "a temporary file was left behind";
  EXPECT_NE(err_.str().find("exists already and is kept"), std::string::npos) << err_.str();
  EXPECT_EQ(out_.str(), "");
}

TEST_F(NewCommand, TellsOfAFolderThatIsMissing) {
  Options options = Kind("arm");
  options.to = (folder_ / "none" / "mine.toml").string();
  EXPECT_EQ(Run(options), ExitStatus::failed);
  EXPECT_NE(err_.str().find("mine.toml"), std::string::npos);
  EXPECT_EQ(FilesIn(folder_), 0U);
}

TEST_F(NewCommand, PrintsOneDocumentAsJson) {
  Options options = Kind("channel");
  options.json = true;
  EXPECT_EQ(Run(options), ExitStatus::done);
  const auto document = nlohmann::json::parse(out_.str());
  EXPECT_EQ(document.at("holeward_result"), 1);
  EXPECT_EQ(document.at("command"), "new");
  EXPECT_EQ(document.at("complete"), true);
  EXPECT_EQ(document.at("text"), StarterJob("channel"));
}

TEST(StarterJob, OfAnyOtherKindIsEmpty) { EXPECT_TRUE(StarterJob("axle").empty()); }

TEST(StarterJob, IsAJobWithoutErrors) {
  for (const char* kind : {"arm", "tube", "channel"}) {
    const JobReading reading = ReadJobText(StarterJob(kind), kind);
    for (const JobError& error : reading.errors) {
      ADD_FAILURE() << error.Text(kind);
    }
    EXPECT_EQ(reading.job.parts.size(), 1U);
    EXPECT_GE(reading.job.points.size(), 2U);
    EXPECT_GE(reading.job.templates.size(), 1U);
  }
}

TEST(ExampleJobs, AreJobsWithoutErrors) {
  int read = 0;
  for (const auto& entry :
       fs::directory_iterator(fs::path(HOLEWARD_SOURCE_DIR) / "models/examples")) {
    if (entry.path().extension() != ".toml") continue;  // a job's table of words
    const JobReading reading = ReadJobFile(entry.path().string());
    EXPECT_FALSE(reading.unreadable);
    for (const JobError& error : reading.errors) {
      ADD_FAILURE() << error.Text(entry.path().filename().string());
    }
    ++read;
  }
  EXPECT_GE(read, 4);
}

}  // namespace
}  // namespace holeward
