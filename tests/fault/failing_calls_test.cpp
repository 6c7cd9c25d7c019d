// `issue` while the Nth call of a kind fails, once or from there on: the old set stays intact or
// the new one is complete, and the status and standard error say which. The long runs take every N
// of the file calls, and thousands of the allocations.
#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/fault/run.h"
#include "tests/long_part.h"

namespace holeward::fault {
namespace {

constexpr int kFailed = 4;

using Files = std::map<std::string, std::string>;

const std::vector<std::string> kClock = {"SOURCE_DATE_EPOCH=1700000000"};

class FailingCalls : public testing::TestWithParam<const char*> {
 protected:
  static void SetUpTestSuite() {
    const Place place;
    for (const char* revision : {"old", "new"}) {
      const Ended run =
          RunProgram(place, {{"issue", place.Job(revision), "--to", revision}, kClock});
      ASSERT_LE(run.status, 3) << run.err;
      usual_status_ = run.status;
    }
    old_ = place.Files("old");
    new_ = place.Files("new");
    ASSERT_GT(old_.size(), 5U);
    ASSERT_NE(old_, new_);
  }

  /// Runs `issue` over the old set with a plan for the failing call, counted from another one on.
  [[nodiscard]] Ended Issue(const std::string& plan) const {
    Call call = {{"issue", place_.Job("new"), "--to", "set"}, kClock};
    call.environment.insert(
        call.environment.end(),
        {"LD_PRELOAD=" HOLEWARD_FAILING_CALLS, "HOLEWARD_FAIL=" + plan,
         "HOLEWARD_FAIL_AFTER=" + after_, "HOLEWARD_FAIL_COUNT=" + place_.Path("count")});
    return RunProgram(place_, call);
  }

  [[nodiscard]] long Count(const std::string& kind) const {
    place_.Fill("set", {});
    if (kind == "mkdir") std::filesystem::remove(place_.Path("set"));
    if (kind == "link") place_.Fill("set", old_);
    const Ended run = Issue(kind + ":0");
    EXPECT_EQ(run.status, usual_status_) << run.err;
    return std::atol(Bytes(place_.Path("count")).c_str());
  }

  /// The names of the files that two sets do not share.
  static std::string Differing(const Files& a, const Files& b) {
    std::string names;
    for (const auto& [name, bytes] : a) {
      if (b.count(name) == 0 || b.at(name) != bytes) names += name + ' ';
    }
    for (const auto& [name, bytes] : b) {
      if (a.count(name) == 0) names += "(without " + name + ") ";
    }
    return names;
  }

  /// One run with a fault; true if it failed and said so.
  bool FailOnce(const std::string& plan, const Files& before) const {
    const Ended run = Issue(plan);
    const Files after = place_.Files("set");
    if (after == new_ && run.status == usual_status_) return false;
    EXPECT_TRUE(after == before) << plan << ": neither the old set nor the new one; differs from "
                                 << "the new one in " << Differing(after, new_) << '\n'
                                 << run.err;
    EXPECT_EQ(run.status, kFailed) << plan << '\n' << run.err;
    EXPECT_NE(run.err, "") << plan;
    EXPECT_TRUE(run.out.empty()) << plan;
    if (after != before) place_.Fill("set", before);
    return true;
  }

  Place place_;
  std::string after_;
  static Files old_;
  static Files new_;
  static int usual_status_;
};

Files FailingCalls::old_;
Files FailingCalls::new_;
int FailingCalls::usual_status_ = -1;

/// The plans for so many calls: every number, once and for good, or, in a short run, the first one
/// and those from the middle on.
std::vector<std::string> Plans(const std::string& kind, long calls) {
  if (!LongRuns()) return {kind + ":1", kind + ":" + std::to_string(1 + calls / 2) + "+"};
  std::vector<std::string> plans;
  for (long n = 1; n <= calls; ++n) {
    for (const char* how : {"", "+"}) plans.push_back(kind + ":" + std::to_string(n) + how);
  }
  return plans;
}

TEST_P(FailingCalls, LeaveTheOldSetOrTheNewOne) {
  const std::string kind = GetParam();
  const long calls = Count(kind);
  ASSERT_GE(calls, kind == "mkdir" ? 1 : 13) << kind;
  const Files before = kind == "mkdir" ? Files() : old_;
  std::size_t failed = 0;
  const std::vector<std::string> plans = Plans(kind, calls);
  for (const std::string& plan : plans) {
    kind == "mkdir" ? (void)std::filesystem::remove_all(place_.Path("set"))
                    : place_.Fill("set", before);
    failed += FailOnce(plan, before) ? 1 : 0;
  }
  EXPECT_EQ(failed, plans.size()) << "no call of this kind can fail unnoticed";
  RecordProperty("calls", static_cast<int>(calls));
  RecordProperty("runs", static_cast<int>(plans.size()));
}

INSTANTIATE_TEST_SUITE_P(OfAKind, FailingCalls,
                         testing::Values("open", "write", "fsync", "close", "rename", "link",
                                         "mkdir"),
                         [](const auto& kind) { return kind.param; });

using FailingMemory = FailingCalls;

TEST_P(FailingMemory, LeavesTheOldSetOrTheNewOne) {
  const long calls = Count("memory");
  ASSERT_GT(calls, 1000);
  const std::size_t steps = LongRuns() ? 1500 : 3;
  const test::LongPart part = test::LongPartOf(steps);
  std::size_t failed = 0;
  place_.Fill("set", old_);
  for (std::size_t step = part.from; step < part.to; ++step) {
    // Denser toward the end, where the files are written: the last tenth takes a third of the runs.
    const double share = static_cast<double>(step) / static_cast<double>(steps - 1);
    const double at = share < 2.0 / 3.0 ? 1.35 * share : 0.9 + 0.3 * (share - 2.0 / 3.0);
    const long number = 1 + static_cast<long>(at * static_cast<double>(calls - 1));
    for (const char* how : {"", "+"}) {
      if (place_.Files("set") != old_) place_.Fill("set", old_);
      failed += FailOnce("memory:" + std::to_string(number) + how, old_) ? 1 : 0;
    }
  }
  EXPECT_GT(failed, (part.to - part.from) / 2);
  RecordProperty("calls", static_cast<int>(std::min(calls, 2000000000L)));
  RecordProperty("failed", static_cast<int>(failed));
}

// Counted from the first byte written, every allocation is reached, not only a share.
TEST_P(FailingMemory, WhileFilesAreWrittenLeavesTheOldSetOrTheNewOne) {
  after_ = "write:1";
  const long calls = Count("memory");
  ASSERT_GT(calls, 13) << "one a file at least";
  std::size_t failed = 0;
  const std::vector<std::string> plans = Plans("memory", calls);
  for (const std::string& plan : plans) {
    place_.Fill("set", old_);
    failed += FailOnce(plan, old_) ? 1 : 0;
  }
  EXPECT_GT(failed, 0U);
  RecordProperty("calls", static_cast<int>(calls));
  RecordProperty("failed", static_cast<int>(failed));
  RecordProperty("runs", static_cast<int>(plans.size()));
}

// The last thing done to a set is to force its folder to the disk. What is refused after that takes
// nothing from it: the set is new, and the run says all it has to say and leaves as usual.
TEST_P(FailingMemory, AfterTheSetIsInPlaceChangesNothing) {
  place_.Fill("set", old_);
  const long forced = Count("fsync");
  const std::string said = Bytes(place_.Path("run.out"));
  after_ = "fsync:" + std::to_string(forced);
  const long calls = Count("memory");
  const std::vector<std::string> plans = Plans("memory", calls);
  for (const std::string& plan : plans) {
    place_.Fill("set", old_);
    const Ended run = Issue(plan);
    EXPECT_TRUE(place_.Files("set") == new_) << plan << " of " << calls;
    EXPECT_EQ(run.status, usual_status_) << plan << " of " << calls << '\n' << run.err;
    EXPECT_EQ(run.out, said) << plan << " of " << calls;
  }
  RecordProperty("calls", static_cast<int>(calls));
  RecordProperty("runs", static_cast<int>(plans.size()));
}

INSTANTIATE_TEST_SUITE_P(Everywhere, FailingMemory, testing::Values("memory"),
                         [](const auto& kind) { return kind.param; });

}  // namespace
}  // namespace holeward::fault
