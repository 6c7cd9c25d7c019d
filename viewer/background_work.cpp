#include "viewer/background_work.h"

#include <utility>

namespace holeward {

BackgroundWork::BackgroundWork() : thread_([this] { Run(); }) {}

BackgroundWork::~BackgroundWork() {
  {
    const std::lock_guard lock(in_use_);
    end_ = true;
    stop_.request_stop();
  }
  changed_.notify_all();
  thread_.join();
}

void BackgroundWork::Start(Work work) {
  {
    const std::lock_guard lock(in_use_);
    next_ = std::move(work);
    next_stop_ = std::stop_source();
    stop_.request_stop();
  }
  changed_.notify_all();
}

void BackgroundWork::AskToStop() {
  const std::lock_guard lock(in_use_);
  next_stop_.request_stop();
  stop_.request_stop();
}

void BackgroundWork::Run() {
  for (;;) {
    Work work;
    std::stop_token stop;
    {
      std::unique_lock lock(in_use_);
      changed_.wait(lock, [this] { return end_ || next_; });
      if (end_) return;
      work = std::exchange(next_, nullptr);
      stop_ = next_stop_;
      stop = stop_.get_token();
    }
    work(stop);
  }
}

}  // namespace holeward
