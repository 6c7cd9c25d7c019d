#include "geometry/parallel.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>

#include <signal.h>

namespace holeward {

namespace {

/// Room on a thread's stack that a signal handler can speak from when the rest is used up.
class SpareStack {
 public:
  SpareStack() { Use(0); }
  ~SpareStack() { Use(SS_DISABLE); }
  SpareStack(const SpareStack&) = delete;
  SpareStack& operator=(const SpareStack&) = delete;

 private:
  void Use(int flags) {
    stack_t stack = {};
    stack.ss_sp = room_;
    stack.ss_size = sizeof room_;
    stack.ss_flags = flags;
    sigaltstack(&stack, nullptr);
  }

  alignas(16) char room_[32768];  // a handler that speaks uses less than half
};

}  // namespace

int MachineThreads() { return static_cast<int>(std::max(1U, std::thread::hardware_concurrency())); }

std::vector<std::jthread> StartThreads(std::size_t count, const std::function<void()>& run) {
  std::vector<std::jthread> threads;
  const auto with_spare_stack = [run] {
    const SpareStack spare;
    run();
  };
  try {
    while (threads.size() < count) threads.emplace_back(with_spare_stack);
  } catch (const std::exception&) {
    // No more threads, or no memory for one: those there are do the work.
  }
  return threads;
}

void ForEach(std::size_t count, const std::function<void(std::size_t)>& work, int threads) {
  std::atomic<std::size_t> next{0};
  std::mutex failing;
  std::size_t failed = count;
  std::exception_ptr failure;
  const auto run = [&] {
    for (std::size_t i = next.fetch_add(1); i < count; i = next.fetch_add(1)) {
      try {
        work(i);
      } catch (...) {
        const std::lock_guard lock(failing);
        if (i < failed) failure = std::current_exception();
        failed = std::min(failed, i);
      }
    }
  };
  if (count == 0) return;
  const auto most = static_cast<std::size_t>(threads > 0 ? threads : MachineThreads());
  {
    const std::vector<std::jthread> others = StartThreads(std::min(most, count) - 1, run);
    run();
  }
  if (failure) std::rethrow_exception(failure);
}

void Both(const std::function<void()>& first, const std::function<void()>& second) {
  ForEach(2, [&](std::size_t i) { i == 0 ? first() : second(); });
}

}  // namespace holeward
