// Whole jobs to run the program on, and the program run in a folder of its own.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>

#include <nlohmann/json.hpp>
#include <sys/wait.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/app/tube_jobs.h"

namespace holeward::testing_tools {

namespace fs = std::filesystem;
using Json = nlohmann::json;

// ---- Jobs

inline std::string TubeJob(const std::string& points, const std::string& more = "") {
  return std::string(kHead) + kTube + more + points + kTemplate;
}

inline std::string ClearJob() { return TubeJob(std::string(kHole) + kTest); }
inline std::string TightJob() { return TubeJob(With(kHole, "[6]", "[6]\nstop = 53")); }
inline std::string ContactJob() { return TubeJob(With(kHole, "[6]", "[6]\nstop = 58")); }
inline std::string UnprovenJob() {
  return TubeJob(kHole, std::string(kBar) + "basis = \"assumed\"\n");
}

// ---- Running the program

struct Said {
  int status = -1;
  std::string out;
  std::string err;
};

inline std::string Text(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// A folder of its own for each test, removed with it.
class ProgramRuns : public testing::Test {
 protected:
  void SetUp() override {
    std::string pattern = (fs::temp_directory_path() / "holeward-jobs-XXXXXX").string();
    ASSERT_NE(mkdtemp(pattern.data()), nullptr);
    folder_ = pattern;
  }
  void TearDown() override {
    std::error_code ignored;
    fs::permissions(folder_, fs::perms::owner_all, ignored);
    fs::remove_all(folder_, ignored);
  }

  std::string Write(const std::string& text, const std::string& name = "job.toml") const {
    std::ofstream(folder_ / name) << text;
    return name;
  }

  /// The job, signed for by two engineers.
  std::string Released(const std::string& job) const {
    Write(job, "to-release.toml");
    const std::string hash = Json::parse(Program("locate to-release.toml --json").out)["hash"];
    std::string signed_job = job;
    for (const char* what : {"clearance", "strength"}) {
      signed_job += std::string("[release.") + what +
                    "]\nby = \"Jane Roe\"\ndate = \"2026-11-03\"\nhash = \"" + hash + "\"\n";
    }
    fs::remove(folder_ / "to-release.toml");
    return signed_job;
  }

  /// Runs the program in the test's folder.
  Said Program(const std::string& arguments, const std::string& environment = "") const {
    const std::string command = "cd '" + folder_.string() + "' && env " + environment +
                                " '" HOLEWARD_PROGRAM "' " + arguments + " >.out 2>.err";
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, Text(folder_ / ".out"),
            Text(folder_ / ".err")};
  }

  /// The result document of a run; fails the test if standard output holds anything else.
  Json Document(const std::string& arguments, int status) const {
    const Said run = Program(arguments + " --json", "SOURCE_DATE_EPOCH=1700000000");
    EXPECT_EQ(run.status, status) << arguments << '\n' << run.err;
    Json json = Json::parse(run.out, nullptr, false);
    EXPECT_FALSE(json.is_discarded()) << arguments << '\n' << run.out;
    return json;
  }

  Json Checked(const std::string& job, int status) const {
    return Document("check " + Write(job), status);
  }

  /// Every file below `name` with its bytes.
  std::map<std::string, std::string> Files(const std::string& name) const {
    std::map<std::string, std::string> files;
    if (!fs::exists(folder_ / name)) return files;
    for (const auto& entry : fs::recursive_directory_iterator(folder_ / name)) {
      if (entry.is_regular_file()) {
        files[fs::relative(entry.path(), folder_ / name).string()] = Text(entry.path());
      }
    }
    return files;
  }

  /// Every name in the test's folder but what the fixture itself writes.
  std::set<std::string> Names() const {
    std::set<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder_)) {
      const std::string name = entry.path().filename().string();
      if (name.front() != '.') names.insert(name);
    }
    return names;
  }

  /// The run ends with this status, says this on standard error, prints nothing and leaves no file.
  void Refuses(const std::string& arguments, int status, const std::string& what) const {
    const std::set<std::string> before = Names();
    const Said run = Program(arguments);
    EXPECT_EQ(run.status, status) << arguments;
    EXPECT_NE(run.err.find(what), std::string::npos) << arguments << '\n' << run.err;
    EXPECT_EQ(run.out, "") << arguments;
    EXPECT_EQ(Names(), before) << arguments;
  }

  std::string PdfText(const std::string& name) const {
    const std::string command =
        "cd '" + folder_.string() + "' && pdftotext -layout '" + name + "' .pdf";
    EXPECT_EQ(std::system(command.c_str()), 0) << name;
    return Text(folder_ / ".pdf");
  }

  fs::path folder_;
};

}  // namespace holeward::testing_tools
