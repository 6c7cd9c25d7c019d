#include <cerrno>
#include <cstring>
#include <filesystem>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "app/commands.h"

namespace holeward {
namespace {

constexpr const char* kProgram = "holeward-view";

/// The program that has the window: beside this one, or in ../libexec/holeward. Empty: nowhere.
std::string WindowProgram() {
  std::error_code failed;
  const auto folder = std::filesystem::read_symlink("/proc/self/exe", failed).parent_path();
  for (const auto& place : {folder, folder / ".." / "libexec" / "holeward"}) {
    const std::string program = (place / kProgram).string();
    if (!failed && access(program.c_str(), X_OK) == 0) return program;
  }
  return "";
}

}  // namespace

ExitStatus RunView(const Options& options, Console& console) {
  const std::string program = WindowProgram();
  if (program.empty()) {
    console.Message(
        fmt::format("the program {}, which has the window, is not beside holeward", kProgram));
    return ExitStatus::failed;
  }
  std::vector<std::string> words = {program};
  if (options.picture) words.insert(words.end(), {"--picture", *options.picture});
  if (!options.job.empty()) words.insert(words.end(), {"--", options.job});
  std::vector<char*> arguments;
  for (std::string& word : words) arguments.push_back(word.data());
  arguments.push_back(nullptr);
  (void)console.Finish();
  execv(program.c_str(), arguments.data());
  console.Message(
      fmt::format("the program {} cannot be run: {}", Printable(program), std::strerror(errno)));
  return ExitStatus::failed;
}

}  // namespace holeward
