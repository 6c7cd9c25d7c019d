#include "app/commands.h"

namespace holeward {
namespace {

ExitStatus NotBuilt(const Options& options, Console& console) {
  console.Message(std::string(Word(options.command)) + ": not built yet");
  return ExitStatus::failed;
}

}  // namespace

ExitStatus RunLocate(const Options& options, Console& console) {
  return NotBuilt(options, console);
}
ExitStatus RunCheck(const Options& options, Console& console) { return NotBuilt(options, console); }
ExitStatus RunTemplate(const Options& options, Console& console) {
  return NotBuilt(options, console);
}
ExitStatus RunIssue(const Options& options, Console& console) { return NotBuilt(options, console); }

}  // namespace holeward
