// The contributor's script: what can be seen of it without installing or building anything.
#include <array>
#include <cstdio>
#include <string>

#include <sys/wait.h>

#include <gtest/gtest.h>

namespace holeward {
namespace {

struct Spoken {
  int status = -1;
  std::string output;
};

/// Runs the script from another folder, both outputs together.
Spoken Dev(const std::string& arguments) {
  const std::string command =
      "cd / && '" HOLEWARD_SOURCE_DIR "/dev' " + arguments + " 2>&1 </dev/null";
  Spoken run;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) {
    return run;
  }
  std::array<char, 4096> chunk{};
  while (std::fgets(chunk.data(), static_cast<int>(chunk.size()), pipe) != nullptr) {
    run.output += chunk.data();
  }
  const int status = pclose(pipe);
  run.status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  return run;
}

TEST(DevScript, HelpListsEveryCommand) {
  const Spoken run = Dev("help");
  EXPECT_EQ(run.status, 0);
  for (const char* command : {"build", "test", "demo", "sanitize", "format", "tidy", "fuzz",
                              "coverage", "mutate", "package", "pictures", "bench", "help"}) {
    EXPECT_NE(run.output.find("\n  " + std::string(command)), std::string::npos) << command;
  }
}

TEST(DevScript, WithoutACommandItHelps) { EXPECT_EQ(Dev("").output, Dev("help").output); }

TEST(DevScript, RefusesAnUnknownCommand) {
  const Spoken run = Dev("biuld");
  EXPECT_EQ(run.status, 2);
  EXPECT_NE(run.output.find("dev: 'biuld' is not a command"), std::string::npos) << run.output;
}

}  // namespace
}  // namespace holeward
