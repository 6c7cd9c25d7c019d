// Works out states of a job beside the window: the newest text first, what is out of date dropped.
#pragma once

#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

#include "viewer/job_state.h"

namespace holeward {

/// One thread. Every text asked for comes back placed, then checked. A newer text ends the check of
/// an older one, which then does not come back.
class StateWorker {
 public:
  using Done = std::function<void(std::shared_ptr<const JobState>)>;

  /// @param done called on the worker's thread
  explicit StateWorker(Done done);
  StateWorker(const StateWorker&) = delete;
  StateWorker& operator=(const StateWorker&) = delete;
  /// Waits for the step it is at.
  ~StateWorker();

  void Ask(std::string text, std::string file);
  /// Gives up the check under way: its text comes back placed and `stopped`. Without one, nothing.
  void Stop();

 private:
  struct Wish {
    std::string text;
    std::string file;
  };
  void Run();
  void Work(const Wish& wish, unsigned number, const std::stop_token& stop);
  [[nodiscard]] bool Newer(unsigned number);

  Done done_;
  std::mutex in_use_;
  std::condition_variable changed_;
  Wish wish_;
  unsigned asked_ = 0;     ///< how often; the number of the newest wish
  std::stop_source stop_;  ///< of the wish under way
  bool end_ = false;
  std::shared_ptr<const JobState> last_;  ///< the worker's own
  std::thread thread_;                    ///< last: started when all else is there
};

}  // namespace holeward
