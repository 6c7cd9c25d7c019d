// Where the program speaks: results on standard output, messages and progress on standard error.
#pragma once

#include <iosfwd>
#include <mutex>
#include <string>
#include <string_view>

#include "app/table.h"

namespace holeward {

/// How to speak, decided once from the terminal and the environment.
struct ConsoleStyle {
  bool colour = false;    ///< standard output may be coloured
  bool progress = false;  ///< standard error is a terminal that can show a passing line
};

/// The style for this process: colour only if standard output is a terminal that is not "dumb" and
/// NO_COLOR is unset or empty; progress only if standard error is a terminal.
[[nodiscard]] ConsoleStyle StyleOfProcess();

/// The rule behind it, from the facts.
/// @param no_color value of NO_COLOR, null if unset
/// @param term value of TERM, null if unset
[[nodiscard]] ConsoleStyle StyleFrom(bool out_is_terminal, bool err_is_terminal,
                                     const char* no_color, const char* term);

class Console {
 public:
  Console(std::ostream& out, std::ostream& err, ConsoleStyle style)
      : out_(out), err_(err), style_(style) {}

  /// One that speaks alike but prints its results elsewhere.
  [[nodiscard]] Console PrintingTo(std::ostream& out) const { return {out, err_, style_}; }

  // ---- Results, on standard output
  void Print(std::string_view text);  ///< a line; may hold several
  void Print(const Table& table);
  void PrintRaw(std::string_view text);  ///< as it is, no line end added
  /// "Verdict: clear" and the like, coloured where allowed; the word always stands there.
  void PrintVerdict(std::string_view label, Verdict verdict);

  // ---- Messages, on standard error; from any thread
  void Message(std::string_view text);  ///< "holeward: text"
  /// A line as it is: an error with its place in the job, `file:line:column: message`.
  void PlacedMessage(std::string_view text);
  /// Shows what is being done, on a line of its own that the next one replaces; nothing unless
  /// standard error is a terminal.
  void Progress(std::string_view text);
  /// Removes the progress line.
  void EndProgress();

  /// Flushes both; false if anything printed was lost (a full disk, a closed pipe).
  [[nodiscard]] bool Finish();

 private:
  void ClearLine();  ///< removes the progress line; `err_in_use_` is held

  std::ostream& out_;
  std::ostream& err_;
  ConsoleStyle style_;
  std::mutex err_in_use_;
  bool progress_shown_ = false;
};

}  // namespace holeward
