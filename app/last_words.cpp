#include "app/last_words.h"

#include <atomic>
#include <csignal>
#include <cstddef>

#include <unistd.h>

#include "app/exit_status.h"
#include "app/interrupt.h"

namespace holeward {
namespace {

constexpr char kWords[] =
    "holeward: the run ended by a fault inside the program or for want of memory; no result was "
    "made. Please report it if there was memory enough.\n";
constexpr char kWordsAfterFiles[] =
    "holeward: the run ended by a fault inside the program or for want of memory after its files "
    "were put in place; they are whole. Please report it if there was memory enough.\n";
constexpr char kWordsAfterWork[] =
    "holeward: the run ended by a fault inside the program or for want of memory when its work was "
    "done; its result stands. Please report it if there was memory enough.\n";

constexpr int kNotDone = -1;
std::atomic<int> done_with{kNotDone};

template <std::size_t kSize>
void Say(const char (&words)[kSize]) {
  [[maybe_unused]] const ssize_t said = ::write(STDERR_FILENO, words, kSize - 1);
}

// A crash for want of stack needs another one; a constant size, for the handler uses little.
constexpr std::size_t kStackSize = 65536;
alignas(16) char other_stack[kStackSize];

extern "C" void OnCrash(int /*signal*/) { DieSpeaking(); }

}  // namespace

void DieSpeaking() {
  // Another thread may be writing files: nothing half written is left behind.
  const WrittenFiles files = EndOfWriting();
  const int status = done_with.load();
  if (status != kNotDone) {
    Say(kWordsAfterWork);
    _exit(status);
  }
  files == WrittenFiles::in_place ? Say(kWordsAfterFiles) : Say(kWords);
  _exit(Number(ExitStatus::failed));
}

void WorkIsDone(ExitStatus status) { done_with.store(Number(status)); }
void WorkBegins() { done_with.store(kNotDone); }

void SpeakBeforeDying() {
#if defined(__SANITIZE_ADDRESS__)
  (void)OnCrash;  // the sanitizer has more to say
  (void)other_stack;
#else
  stack_t stack = {};
  stack.ss_sp = other_stack;
  stack.ss_size = sizeof other_stack;
  sigaltstack(&stack, nullptr);
  struct sigaction action = {};
  action.sa_handler = OnCrash;
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_ONSTACK;
  for (const int signal : {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT, SIGTRAP, SIGSYS}) {
    sigaction(signal, &action, nullptr);
  }
#endif
}

}  // namespace holeward
