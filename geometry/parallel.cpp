#include "geometry/parallel.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <mutex>
#include <thread>

namespace holeward {

int MachineThreads() { return static_cast<int>(std::max(1U, std::thread::hardware_concurrency())); }

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
  const auto most = static_cast<std::size_t>(threads > 0 ? threads : MachineThreads());
  {
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < std::min(most, count); ++i) others.emplace_back(run);
    run();
  }
  if (failure) std::rethrow_exception(failure);
}

void Both(const std::function<void()>& first, const std::function<void()>& second) {
  ForEach(2, [&](std::size_t i) { i == 0 ? first() : second(); });
}

}  // namespace holeward
