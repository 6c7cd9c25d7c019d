// The inputs kept from fuzzing, read once more by every build.
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/fuzz/fuzz_inputs.h"

namespace holeward {
namespace {

namespace fs = std::filesystem;

std::string Bytes(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream bytes;
  bytes << file.rdbuf();
  return bytes.str();
}

/// Runs what is fuzzed on each file of a folder; how many there were.
int RunOnEach(const std::string& folder, const std::function<void(std::string_view)>& run) {
  int files = 0;
  for (const auto& entry : fs::directory_iterator(HOLEWARD_SOURCE_DIR + folder)) {
    SCOPED_TRACE(entry.path().string());
    run(Bytes(entry.path()));
    ++files;
  }
  return files;
}

TEST(FuzzCorpus, EveryKeptJobIsReadToItsEnd) {
  EXPECT_GE(RunOnEach("/tests/fuzz/corpus/job", fuzz::ReadAsJob), 20);
}

TEST(FuzzCorpus, EveryExampleIsReadToItsEnd) {
  EXPECT_GE(RunOnEach("/models/examples", fuzz::ReadAsJob), 5);
  EXPECT_GE(RunOnEach("/models/starter", fuzz::ReadAsJob), 3);
}

TEST(FuzzCorpus, EveryKeptTableOfResultsIsReadToItsEnd) {
  EXPECT_GE(RunOnEach("/tests/fuzz/corpus/results", fuzz::ReadAsResults), 10);
}

TEST(FuzzCorpus, EveryKeptStepFileIsReadToItsEnd) {
  EXPECT_GE(RunOnEach("/tests/fuzz/corpus/step", fuzz::ReadAsStep), 6);
}

TEST(FuzzCorpus, EveryKeptCommandLineIsParsed) {
  EXPECT_GE(RunOnEach("/tests/fuzz/corpus/command_line", fuzz::ParseAsCommandLine), 10);
}

}  // namespace
}  // namespace holeward
