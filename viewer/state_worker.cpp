#include "viewer/state_worker.h"

#include <utility>

namespace holeward {

StateWorker::StateWorker(Done done) : done_(std::move(done)), thread_([this] { Run(); }) {}

StateWorker::~StateWorker() {
  {
    const std::lock_guard lock(in_use_);
    end_ = true;
    ++asked_;
  }
  changed_.notify_all();
  thread_.join();
}

void StateWorker::Ask(std::string text, std::string file) {
  {
    const std::lock_guard lock(in_use_);
    wish_ = {std::move(text), std::move(file)};
    ++asked_;
  }
  changed_.notify_all();
}

bool StateWorker::Newer(unsigned number) {
  const std::lock_guard lock(in_use_);
  return asked_ != number;
}

void StateWorker::Run() {
  unsigned done = 0;
  for (;;) {
    Wish wish;
    {
      std::unique_lock lock(in_use_);
      changed_.wait(lock, [&] { return end_ || asked_ != done; });
      if (end_) return;
      done = asked_;
      wish = wish_;
    }
    Work(wish, done);
  }
}

void StateWorker::Work(const Wish& wish, unsigned number) {
  JobState placed = PlacedState(wish.text, wish.file, last_.get());
  const bool new_parts = last_ == nullptr || last_->sides.empty() || placed.sides.empty() ||
                         last_->sides.front().scene != placed.sides.front().scene;
  last_ = std::make_shared<const JobState>(std::move(placed));
  // A point that moves is checked sooner than it is drawn; parts that change take a while.
  if (new_parts) done_(last_);
  if (Newer(number)) return;
  last_ = std::make_shared<const JobState>(CheckedState(*last_));
  done_(last_);
}

}  // namespace holeward
