#include <exception>
#include <iostream>
#include <new>

#include "app/commands.h"
#include "app/interrupt.h"
#include "app/last_words.h"
#include "app/standard_files.h"
#include "app/watched_memory.h"

namespace holeward {
namespace {

ExitStatus Run(const Options& options, Console& console) {
  switch (options.command) {
    case Command::locate: return RunLocate(options, console);
    case Command::check: return RunCheck(options, console);
    case Command::make_template: return RunTemplate(options, console);
    case Command::issue: return RunIssue(options, console);
    case Command::decide: return RunDecide(options, console);
    case Command::compare: return RunCompare(options, console);
    case Command::model: return RunModel(options, console);
    case Command::fit: return RunFit(options, console);
    case Command::form: return RunForm(options, console);
    case Command::guide: return RunGuide(options, console);
    case Command::words: return RunWords(options, console);
    case Command::new_job: return RunNew(options, console);
    case Command::view: return RunView(options, console);
  }
  return ExitStatus::failed;
}

/// The last net: what is thrown past every command is a bug, told as one and never a verdict.
ExitStatus RunSafely(const Options& options, Console& console) {
  try {
    return Run(options, console);
  } catch (const std::bad_alloc&) {
    console.Message(kOutOfMemory);
  } catch (const std::exception& error) {
    console.Message(std::string("unexpected failure, please report it: ") + error.what());
  } catch (...) {
    console.Message("unexpected failure, please report it");
  }
  return ExitStatus::failed;
}

int Main(int argc, const char* const* argv) {
  OpenMissingStandardFiles();
  SpeakBeforeDying();
  WatchForInterrupt();
  Console console(std::cout, std::cerr, StyleOfProcess());
  const ParsedCommandLine parsed = ParseCommandLine(argc, argv);
  ExitStatus status = parsed.status;
  if (parsed.options) {
    status = RunSafely(*parsed.options, console);
    if (MemoryRanOut() && status != ExitStatus::failed) {
      console.Message(kOutOfMemory);
      status = ExitStatus::failed;
    }
    if (Interrupted()) {  // which has been told by then
      status = ExitStatus::interrupted;
    }
  } else {
    console.PrintRaw(parsed.output);
    if (!parsed.message.empty()) {
      std::cerr << parsed.message << '\n';
    }
  }
  if (!console.Finish() && status != ExitStatus::interrupted) {
    std::cerr << "holeward: the output could not be written whole\n";
    status = ExitStatus::failed;
  }
  WorkIsDone(status);
  return Number(status);
}

}  // namespace
}  // namespace holeward

int main(int argc, char** argv) { return holeward::Main(argc, argv); }
