// Ctrl-C: the first asks the run to stop where nothing is half done; what has not ended a second
// later, or a second Ctrl-C, is ended at once unless files are just being written.
#pragma once

namespace holeward {

/// Makes SIGINT, SIGTERM and SIGHUP ask for a stop, which is told on standard error at that moment
/// ("holeward: interrupted"). The process then ends with status 130: by itself, or after a second.
/// Broken pipes and files grown too large become errors of the write instead of ending the process.
void WatchForInterrupt();

/// True once a stop was asked for. Commands look between steps and leave with
/// ExitStatus::interrupted, before they write anything more.
[[nodiscard]] bool Interrupted();

/// While one lives, files are being written: an interrupt only asks, so that the writer can undo
/// what it began.
class WritingFiles {
 public:
  WritingFiles();
  ~WritingFiles();
  WritingFiles(const WritingFiles&) = delete;
  WritingFiles& operator=(const WritingFiles&) = delete;
};
/// Asks the work under way to stop, as SIGINT would; with false, lets new work begin.
void AskForStop(bool stop);

}  // namespace holeward
