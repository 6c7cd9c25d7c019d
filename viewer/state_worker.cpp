#include "viewer/state_worker.h"

#include <utility>

namespace holeward {

StateWorker::StateWorker(Done done) : done_(std::move(done)), thread_([this] { Run(); }) {}

StateWorker::~StateWorker() {
  {
    const std::lock_guard lock(in_use_);
    end_ = true;
    ++asked_;
    stop_.request_stop();
  }
  changed_.notify_all();
  thread_.join();
}

void StateWorker::Ask(std::string text, std::string file) {
  {
    const std::lock_guard lock(in_use_);
    wish_ = {std::move(text), std::move(file)};
    ++asked_;
    stop_.request_stop();
  }
  changed_.notify_all();
}

void StateWorker::Stop() {
  const std::lock_guard lock(in_use_);
  stop_.request_stop();
}

bool StateWorker::Newer(unsigned number) {
  const std::lock_guard lock(in_use_);
  return asked_ != number;
}

void StateWorker::Run() {
  unsigned done = 0;
  for (;;) {
    Wish wish;
    std::stop_token stop;
    {
      std::unique_lock lock(in_use_);
      changed_.wait(lock, [&] { return end_ || asked_ != done; });
      if (end_) return;
      done = asked_;
      wish = wish_;
      stop_ = std::stop_source();
      stop = stop_.get_token();
    }
    Work(wish, done, stop);
  }
}

void StateWorker::Work(const Wish& wish, unsigned number, const std::stop_token& stop) {
  last_ = std::make_shared<const JobState>(PlacedState(wish.text, wish.file, last_.get()));
  done_(last_);
  if (Newer(number)) return;
  last_ = std::make_shared<const JobState>(CheckedState(*last_, stop));
  if (last_->stopped && Newer(number)) return;
  done_(last_);
}

}  // namespace holeward
