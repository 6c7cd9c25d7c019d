#include "app/console.h"

#include <cstdlib>
#include <ostream>

#include <unistd.h>

namespace holeward {

ConsoleStyle StyleFrom(bool out_is_terminal, bool err_is_terminal, const char* no_color,
                       const char* term) {
  const bool able = term != nullptr && std::string_view(term) != "dumb";
  const bool refused = no_color != nullptr && *no_color != '\0';
  return {out_is_terminal && able && !refused, err_is_terminal && able};
}

ConsoleStyle StyleOfProcess() {
  return StyleFrom(isatty(STDOUT_FILENO) == 1, isatty(STDERR_FILENO) == 1, std::getenv("NO_COLOR"),
                   std::getenv("TERM"));
}

void Console::Print(std::string_view text) {
  EndProgress();
  out_ << text << '\n';
}

void Console::Print(const Table& table) { PrintRaw(table.Text(style_.colour)); }

void Console::PrintRaw(std::string_view text) {
  EndProgress();
  out_ << text;
}

void Console::PrintVerdict(std::string_view label, Verdict verdict) {
  EndProgress();
  out_ << label << ": " << Coloured(verdict, Word(verdict), style_.colour) << '\n';
}

void Console::Message(std::string_view text) {
  const std::lock_guard lock(err_in_use_);
  ClearLine();
  err_ << "holeward: " << text << '\n';
  err_.flush();
}

void Console::PlacedMessage(std::string_view text) {
  const std::lock_guard lock(err_in_use_);
  ClearLine();
  err_ << text << '\n';
  err_.flush();
}

void Console::Progress(std::string_view text) {
  if (!style_.progress) {
    return;
  }
  const std::lock_guard lock(err_in_use_);
  // Back to the line's start and erase it (ECMA-48: CR, EL).
  err_ << "\r\x1b[K" << Printable(text);
  err_.flush();
  progress_shown_ = true;
}

void Console::EndProgress() {
  const std::lock_guard lock(err_in_use_);
  ClearLine();
}

void Console::ClearLine() {
  if (!progress_shown_) {
    return;
  }
  err_ << "\r\x1b[K";
  err_.flush();
  progress_shown_ = false;
}

bool Console::Finish() {
  EndProgress();
  out_.flush();
  err_.flush();
  return static_cast<bool>(out_) && static_cast<bool>(err_);
}

}  // namespace holeward
