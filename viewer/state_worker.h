// Works out states of a job beside the window: the newest text first, what is out of date dropped.
#pragma once

#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "viewer/job_state.h"

namespace holeward {

/// One thread. Every text asked for comes back checked, and where parts changed it comes back
/// placed before that; unless a newer text is asked for meanwhile.
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

 private:
  struct Wish {
    std::string text;
    std::string file;
  };
  void Run();
  void Work(const Wish& wish, unsigned number);
  [[nodiscard]] bool Newer(unsigned number);

  Done done_;
  std::mutex in_use_;
  std::condition_variable changed_;
  Wish wish_;
  unsigned asked_ = 0;  ///< how often; the number of the newest wish
  bool end_ = false;
  std::shared_ptr<const JobState> last_;  ///< the worker's own
  std::thread thread_;                    ///< last: started when all else is there
};

}  // namespace holeward
