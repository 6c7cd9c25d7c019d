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
/// what it began, and a process that dies waits for it.
class WritingFiles {
 public:
  WritingFiles();
  ~WritingFiles();  ///< does not come back in a process that dies, unless all was written
  WritingFiles(const WritingFiles&) = delete;
  WritingFiles& operator=(const WritingFiles&) = delete;

  /// From here on an interrupt need not wait; what is still said while this lives belongs to them.
  void AllAreInPlace();

  /// True once the writer is to undo what it began: an interrupt, or the process dies.
  [[nodiscard]] static bool AreToStop();
};

/// What is left of files being written when the process dies.
enum class WrittenFiles { none, in_place };

/// For a thread on which the process dies, in a handler of signals too: asks a thread that writes
/// files to undo that, and waits until it has, or has put all of them in place; ten seconds at
/// most.
[[nodiscard]] WrittenFiles EndOfWriting();

/// Asks the work under way to stop, as SIGINT would; with false, lets new work begin.
void AskForStop(bool stop);

}  // namespace holeward
