// Independent pieces of work shared out over the machine's threads.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <thread>
#include <utility>
#include <vector>

namespace holeward {

/// Threads that run at the same time on this machine, at least 1.
[[nodiscard]] int MachineThreads();

/// Starts up to `count` threads that each call `run` once; fewer, or none, where the machine gives
/// no more: the caller does the same work and must not count on any. `run` may not throw.
[[nodiscard]] std::vector<std::jthread> StartThreads(std::size_t count,
                                                     const std::function<void()>& run);

/// Calls `work(0)` to `work(count - 1)`, each once, begun in that order, on up to `threads` threads
/// (0: MachineThreads()), the caller's among them; comes back when all have ended. No call may
/// touch what another one writes. If any throw, the rest run all the same and the exception of the
/// least number is thrown on: what is seen does not depend on the number of threads.
void ForEach(std::size_t count, const std::function<void(std::size_t)>& work, int threads = 0);

/// Runs two pieces of work at the same time; as ForEach.
void Both(const std::function<void()>& first, const std::function<void()>& second);

/// What `make(0)` to `make(count - 1)` return, in that order; as ForEach.
template <class Make>
[[nodiscard]] auto MadeOfEach(std::size_t count, const Make& make) {
  using Made = decltype(make(std::size_t{0}));
  std::vector<std::optional<Made>> made(count);
  ForEach(count, [&](std::size_t i) { made[i].emplace(make(i)); });
  std::vector<Made> all;
  all.reserve(count);
  for (std::optional<Made>& one : made) all.push_back(std::move(*one));
  return all;
}

}  // namespace holeward
