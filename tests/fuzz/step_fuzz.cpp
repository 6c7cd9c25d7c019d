// libFuzzer on the reading of STEP files as the exchange process does it: the file's own check
// list, and what passes that is transferred and checked. Most changes are of figures, entity
// numbers and whole entities, which keep a file one that the parser takes; the rest are the
// fuzzer's own. A crash inside the kernel's libraries is none of ours: in the exchange process it
// ends in one sentence. It ends the process with the status of a time limit, which `./dev fuzz`
// tells the fuzzer to go on after.
#include <algorithm>
#include <array>
#include <csignal>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <string>

#include <dlfcn.h>
#include <ucontext.h>
#include <unistd.h>

#include "tests/fuzz/fuzz_inputs.h"

extern "C" size_t LLVMFuzzerMutate(uint8_t* data, size_t size, size_t max_size);

namespace {

constexpr std::array kWords = {"1E308", "-1.", "0.",   "$",     "*",   "()",
                               ".F.",   ".T.", "1E-9", "''",    "#1",  "1.7976931348623157E+308",
                               "-0.",   "4",   "9999", "(#12)", "NAN", ".UNSPECIFIED."};

/// From the place on, the first stretch of these characters: where it begins and ends.
struct Stretch {
  size_t from = std::string::npos;
  size_t to = std::string::npos;
};

Stretch Next(const std::string& text, const char* characters, size_t at) {
  const size_t from = text.find_first_of(characters, at);
  if (from == std::string::npos) return {};
  return {from, std::min(text.find_first_not_of(characters, from), text.size())};
}

std::string Changed(std::string text, unsigned seed) {
  std::minstd_rand random(seed);
  const auto any = [&](size_t size) { return size == 0 ? 0 : random() % size; };
  const size_t at = any(text.size());
  const auto value = [&] { return std::string(kWords[any(kWords.size())]); };
  switch (any(6)) {
    case 0:
    case 1: {  // another value
      const Stretch number = Next(text, "0123456789.+-E", at);
      if (number.from != std::string::npos) {
        text.replace(number.from, number.to - number.from, value());
      }
      break;
    }
    case 2: {  // another digit
      const size_t digit = text.find_first_of("0123456789", at);
      if (digit != std::string::npos) text[digit] = static_cast<char>('0' + any(10));
      break;
    }
    case 3: {  // another entity referred to
      const size_t hash = text.find('#', at);
      const size_t other = text.find('#', any(text.size()));
      if (hash == std::string::npos || other == std::string::npos) break;
      const Stretch old = Next(text, "0123456789", hash);
      const Stretch taken = Next(text, "0123456789", other);
      if (old.from != hash + 1 || taken.from != other + 1) break;
      text.replace(old.from, old.to - old.from, text.substr(taken.from, taken.to - taken.from));
      break;
    }
    case 4: {  // an entity lost
      const size_t from = text.find("\n#", at);
      const size_t to = from == std::string::npos ? from : text.find(";\n", from);
      if (to != std::string::npos) text.erase(from, to + 1 - from);
      break;
    }
    default: text.insert(at, value());
  }
  return text;
}

constexpr int kCrashOfTheKernel = 79;

std::uint64_t read_so_far = 0;

bool IsInTheKernel(const void* code) {
  Dl_info of{};
  return dladdr(code, &of) != 0 && of.dli_fname != nullptr &&
         std::strstr(of.dli_fname, "/libTK") != nullptr;
}

void AtACrash(int signal, siginfo_t*, void* context) {
  const auto* const registers = static_cast<const ucontext_t*>(context);
  const auto code = registers->uc_mcontext.gregs[REG_RIP];
  if (IsInTheKernel(reinterpret_cast<const void*>(code))) {
    // The fuzzer counts by this line what a process that does not end by itself has read.
    std::fprintf(stderr, "a crash of the kernel\nstat::number_of_executed_units: %llu\n",
                 static_cast<unsigned long long>(read_so_far));
    _exit(kCrashOfTheKernel);
  }
  std::fprintf(stderr, "signal %d outside the kernel\n", signal);
  std::abort();
}

}  // namespace

// Before the fuzzer's own handlers, which leave in place what they find.
extern "C" int LLVMFuzzerInitialize(int*, char***) {
  struct sigaction action {};
  action.sa_sigaction = AtACrash;
  action.sa_flags = SA_SIGINFO | SA_ONSTACK | SA_NODEFER;
  for (const int signal : {SIGSEGV, SIGBUS, SIGFPE}) sigaction(signal, &action, nullptr);
  return 0;
}

extern "C" size_t LLVMFuzzerCustomMutator(uint8_t* data, size_t size, size_t max_size,
                                          unsigned int seed) {
  if (seed % 8 == 0) return LLVMFuzzerMutate(data, size, max_size);
  const std::string changed = Changed({reinterpret_cast<const char*>(data), size}, seed / 8);
  const size_t kept = std::min(changed.size(), max_size);
  std::memcpy(data, changed.data(), kept);
  return kept;
}

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  ++read_so_far;
  holeward::fuzz::ReadAsStep({reinterpret_cast<const char*>(data), size});
  return 0;
}
