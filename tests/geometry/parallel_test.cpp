#include "geometry/parallel.h"

#include <atomic>
#include <numeric>
#include <stdexcept>
#include <string>
#include <thread>

#include <gtest/gtest.h>

namespace holeward {
namespace {

TEST(Parallel, DoesEachPieceOfWorkOnce) {
  for (const int threads : {0, 1, 2, 7}) {
    std::vector<std::atomic<int>> times(1000);
    ForEach(
        times.size(), [&](std::size_t i) { ++times[i]; }, threads);
    for (const std::atomic<int>& count : times) ASSERT_EQ(count.load(), 1) << threads;
  }
  ForEach(0, [](std::size_t) { FAIL() << "there was nothing to do"; });
}

TEST(Parallel, GivesBackWhatIsMadeInOrder) {
  const auto made = MadeOfEach(50, [](std::size_t i) { return std::to_string(i); });
  ASSERT_EQ(made.size(), 50U);
  for (std::size_t i = 0; i < made.size(); ++i) EXPECT_EQ(made[i], std::to_string(i));
}

TEST(Parallel, ThrowsOnTheFirstFailureAndDoesTheRest) {
  for (const int threads : {1, 4}) {
    std::atomic<int> done{0};
    const auto work = [&](std::size_t i) {
      if (i == 3 || i == 7 || i == 90) throw std::runtime_error(std::to_string(i));
      ++done;
    };
    try {
      ForEach(100, work, threads);
      FAIL() << "nothing was thrown";
    } catch (const std::runtime_error& error) {
      EXPECT_STREQ(error.what(), "3");
    }
    EXPECT_EQ(done.load(), 97);
  }
}

TEST(Parallel, RunsTwoAtATimeWithinOthers) {
  int first = 0;
  std::vector<int> second;
  Both([&] { first = 1; },
       [&] { second = MadeOfEach(20, [](std::size_t i) { return static_cast<int>(i); }); });
  EXPECT_EQ(first, 1);
  EXPECT_EQ(std::accumulate(second.begin(), second.end(), 0), 190);
}

TEST(Parallel, UsesTheThreadsItIsGiven) {
  // Each of the two waits for the other: on one thread they would never end.
  std::atomic<int> there{0};
  ForEach(
      2,
      [&](std::size_t) {
        ++there;
        while (there.load() < 2) std::this_thread::yield();
      },
      2);
  EXPECT_EQ(there.load(), 2);
}

}  // namespace
}  // namespace holeward
