#include "app/interrupt.h"

#include <csignal>

#include <unistd.h>

#include "app/exit_status.h"

namespace holeward {
namespace {

// A signal handler can reach nothing but a global.
volatile std::sig_atomic_t stop_asked = 0;

extern "C" void OnInterrupt(int /*signal*/) {
  if (stop_asked != 0) {
    _exit(Number(ExitStatus::interrupted));
  }
  stop_asked = 1;
}

}  // namespace

void WatchForInterrupt() {
  struct sigaction action = {};
  action.sa_handler = OnInterrupt;
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_RESTART;
  sigaction(SIGINT, &action, nullptr);
}

bool Interrupted() { return stop_asked != 0; }

}  // namespace holeward
