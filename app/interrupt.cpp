#include "app/interrupt.h"

#include <atomic>
#include <csignal>
#include <cstddef>
#include <ctime>

#include <pthread.h>
#include <unistd.h>

#include "app/exit_status.h"

namespace holeward {
namespace {

// Time a run has to end by itself. A step can take longer in a large job.
constexpr unsigned kSecondsToEnd = 1;

// A signal handler can reach nothing but globals.
volatile std::sig_atomic_t stop_asked = 0;
std::atomic<bool> writing{false};
std::atomic<pthread_t> writer{};
std::atomic<bool> dying{false};
std::atomic<bool> in_place{false};
volatile std::sig_atomic_t on_terminal = 0;

bool HalfDone() { return writing && !in_place; }

void EndAtOnce() { _exit(Number(ExitStatus::interrupted)); }

/// Says it past every buffer: a handler may use nothing else.
template <std::size_t kSize>
void WriteError(const char (&text)[kSize]) {
  // Nobody is left to be told if this fails.
  [[maybe_unused]] const ssize_t said = ::write(STDERR_FILENO, text, kSize - 1);
}

extern "C" void OnInterrupt(int /*signal*/) {
  if (stop_asked != 0) {
    if (!HalfDone()) EndAtOnce();
    return;
  }
  stop_asked = 1;
  if (on_terminal != 0) WriteError("\r\x1b[K");  // a progress line may stand there
  WriteError("holeward: interrupted\n");
  alarm(kSecondsToEnd);
}

extern "C" void OnLate(int /*signal*/) {
  if (HalfDone()) {
    alarm(kSecondsToEnd);
  } else {
    EndAtOnce();
  }
}

void Sleep() {
  constexpr long kMillisecond = 1000000;
  const timespec time = {0, kMillisecond};
  nanosleep(&time, nullptr);
}

void Handle(int signal, void (*handler)(int)) {
  struct sigaction action = {};
  action.sa_handler = handler;
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_RESTART;
  sigaction(signal, &action, nullptr);
}

/// A signal the caller has switched off stays off: nohup does that with SIGHUP.
void HandleUnlessIgnored(int signal) {
  struct sigaction before = {};
  sigaction(signal, nullptr, &before);
  if (before.sa_handler != SIG_IGN) Handle(signal, OnInterrupt);
}

}  // namespace

void WatchForInterrupt() {
  on_terminal = isatty(STDERR_FILENO) == 1 ? 1 : 0;
  Handle(SIGALRM, OnLate);
  Handle(SIGINT, OnInterrupt);
  Handle(SIGTERM, OnInterrupt);
  HandleUnlessIgnored(SIGHUP);
  Handle(SIGPIPE, SIG_IGN);
  Handle(SIGXFSZ, SIG_IGN);
}

bool Interrupted() { return stop_asked != 0; }

// Files are written by one thread alone, one set at a time.
WritingFiles::WritingFiles() {
  in_place = false;
  writer = pthread_self();
  writing = true;
}

WritingFiles::~WritingFiles() {
  writing = false;
  while (dying && !in_place) Sleep();
}

void WritingFiles::AllAreInPlace() { in_place = true; }

bool WritingFiles::AreToStop() { return Interrupted() || dying; }

WrittenFiles EndOfWriting() {
  constexpr int kLongest = 10000;
  if (writing && pthread_equal(writer, pthread_self()) == 0) {
    dying = true;
    for (int waited = 0; writing && waited < kLongest; ++waited) Sleep();
  }
  return in_place ? WrittenFiles::in_place : WrittenFiles::none;
}

void AskForStop(bool stop) { stop_asked = stop ? 1 : 0; }

}  // namespace holeward
