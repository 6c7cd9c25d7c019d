#include <cerrno>
#include <cstring>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "app/commands.h"
#include "models/exchange_process.h"

namespace holeward {
namespace {

constexpr const char* kProgram = "holeward-view";

}  // namespace

ExitStatus RunView(const Options& options, Console& console) {
  const std::string program = ProgramBeside(kProgram);
  if (program.empty()) {
    console.Message(
        fmt::format("the program {}, which has the window, is not installed beside holeward; it is "
                    "in the Debian package of the same name",
                    kProgram));
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
