// Long work beside the window: one at a time, and nobody waits for it.
#pragma once

#include <condition_variable>
#include <functional>
#include <mutex>
#include <stop_token>
#include <thread>

namespace holeward {

/// One thread. Work asked for while other work is under way begins when that has come to its end,
/// which it is asked to do; of several that wait only the last is begun.
class BackgroundWork {
 public:
  using Work = std::function<void(const std::stop_token& stop)>;

  BackgroundWork();
  BackgroundWork(const BackgroundWork&) = delete;
  BackgroundWork& operator=(const BackgroundWork&) = delete;
  /// Asks what is under way to stop, and waits for that.
  ~BackgroundWork();

  /// Comes back at once.
  void Start(Work work);
  /// Asks what is under way to stop. What waits is begun all the same, to say that it was stopped.
  void AskToStop();

 private:
  void Run();

  std::mutex in_use_;
  std::condition_variable changed_;
  Work next_;
  std::stop_source stop_;       ///< of the work under way
  std::stop_source next_stop_;  ///< of that which waits
  bool end_ = false;
  std::thread thread_;  ///< last: started when all else is there
};

}  // namespace holeward
