// `issue` while its surroundings change: interrupts, full disks, folders that go or cannot be
// written, two runs at once.
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <random>
#include <thread>

#include <fcntl.h>
#include <sys/mount.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/fault/run.h"

namespace holeward::fault {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;
using Files = std::map<std::string, std::string>;

constexpr int kFailed = 4;
constexpr int kInterrupted = 130;

double Seconds(Clock::time_point since) {
  return std::chrono::duration<double>(Clock::now() - since).count();
}

class DisturbedRun : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    const Place place;
    for (const char* revision : {"old", "new"}) {
      const auto begun = Clock::now();
      const Ended run = RunProgram(place, Issue(place.Job(revision), revision));
      ASSERT_LE(run.status, 3) << run.err;
      usual_status_ = run.status;
      usual_seconds_ = Seconds(begun);
    }
    old_ = place.Files("old");
    new_ = place.Files("new");
    ASSERT_NE(old_, new_);
  }

  static Call Issue(const std::string& job, const std::string& folder) {
    return {{"issue", job, "--to", folder}, {"SOURCE_DATE_EPOCH=1700000000"}};
  }

  void ExpectFailedAndOldSet(const Ended& run) const {
    EXPECT_EQ(run.status, kFailed) << run.err;
    EXPECT_NE(run.err, "");
    EXPECT_TRUE(run.out.empty());
    EXPECT_TRUE(place_.Files("set") == old_) << run.err;
  }

  Place place_;
  static Files old_;
  static Files new_;
  static int usual_status_;
  static double usual_seconds_;
};

Files DisturbedRun::old_;
Files DisturbedRun::new_;
int DisturbedRun::usual_status_ = -1;
double DisturbedRun::usual_seconds_ = 0.0;

TEST_F(DisturbedRun, InterruptedAtAnyTimeLeavesTheOldSetOrTheNewOne) {
  std::mt19937 random(20261);
  const std::string job = place_.Job("new");
  const int runs = LongRuns() ? 300 : 9;
  int interrupted = 0;
  for (int i = 0; i < runs; ++i) {
    place_.Fill("set", old_);
    const double share = std::uniform_real_distribution<>(0.02, 1.1)(random);
    const int signal = i % 4 == 3 ? SIGTERM : SIGINT;
    const pid_t child = Start(place_, Issue(job, "set"), "run");
    std::this_thread::sleep_for(std::chrono::duration<double>(share * usual_seconds_));
    kill(child, signal);
    const bool twice = i % 3 == 2;
    if (twice) kill(child, signal);
    const Ended run = Wait(child, place_, "run");
    const Files after = place_.Files("set");
    EXPECT_TRUE(after == old_ || after == new_) << "neither the old set nor the new one";
    const bool unheard = run.status == 128 + signal && run.err.empty() && !twice;
    if (unheard || run.status == usual_status_) continue;  // before main() or after the end
    if (run.status == 128 + signal && share < 0.1) continue;
    EXPECT_EQ(run.status, kInterrupted) << run.err;
    EXPECT_EQ(run.err, "holeward: interrupted\n");
    ++interrupted;
  }
  EXPECT_GT(interrupted, 0);
  RecordProperty("interrupted", interrupted);
}

// A requirement on time, so it is measured only where the machine is given to it.
TEST_F(DisturbedRun, AnInterruptIsToldAtOnceAndEndsTheRunSoon) {
  if (!LongRuns()) GTEST_SKIP() << "measured in the long runs";
  std::mt19937 random(4411);
  double latest_word = 0.0;
  double latest_end = 0.0;
  int heard = 0;
  for (int i = 0; i < 100; ++i) {
    const pid_t child = Start(place_, Issue(place_.Job("new"), "set"), "run");
    const auto ended = [child] {
      siginfo_t info{};
      return waitid(P_PID, static_cast<id_t>(child), &info, WEXITED | WNOHANG | WNOWAIT) == 0 &&
             info.si_pid == child;
    };
    const double share = std::uniform_real_distribution<>(0.1, 0.8)(random);
    std::this_thread::sleep_for(std::chrono::duration<double>(share * usual_seconds_));
    const auto asked = Clock::now();
    kill(child, SIGINT);
    while (Bytes(place_.Path("run.err")).empty() && !ended() && Seconds(asked) < 5.0) {
      std::this_thread::sleep_for(std::chrono::milliseconds(1));
    }
    const double word = Seconds(asked);
    const Ended run = Wait(child, place_, "run");
    EXPECT_EQ(run.status, kInterrupted);
    if (run.err.empty()) continue;  // still loading its libraries: gone at once, without a word
    ++heard;
    latest_word = std::max(latest_word, word);
    latest_end = std::max(latest_end, Seconds(asked));
  }
  EXPECT_GE(heard, 80);
  EXPECT_LE(latest_word, 0.1);
  EXPECT_LE(latest_end, 2.0);
  RecordProperty("latest_word_ms", static_cast<int>(1e3 * latest_word));
  RecordProperty("latest_end_ms", static_cast<int>(1e3 * latest_end));
}

TEST_F(DisturbedRun, AFileThatMayNotGrowIsAFailure) {
  place_.Fill("set", old_);
  Call call = Issue(place_.Job("new"), "set");
  call.before = [] {
    const rlimit most = {4096, 4096};
    setrlimit(RLIMIT_FSIZE, &most);
  };
  ExpectFailedAndOldSet(RunProgram(place_, call));
}

TEST_F(DisturbedRun, AFullDiskIsAFailure) {
  fs::create_directory(place_.Path("set"));
  // Room for the old set and part of the new one.
  if (mount("none", place_.Path("set").c_str(), "tmpfs", 0, "size=1200k") != 0) {
    GTEST_SKIP() << "this user may not make a small disk";
  }
  std::size_t bytes = 0;
  for (const auto& [name, text] : old_) bytes += text.size();
  const std::string filler(1200 * 1024 - std::min<std::size_t>(bytes + bytes / 2, 1100 * 1024),
                           'x');
  for (const auto& [name, text] : old_) std::ofstream(place_.Path("set/" + name)) << text;
  std::ofstream(place_.Path("set/filler")) << filler;
  Files before = place_.Files("set");
  const Ended run = RunProgram(place_, Issue(place_.Job("new"), "set"));
  EXPECT_EQ(run.status, kFailed) << run.err;
  EXPECT_NE(run.err.find("No space left on device"), std::string::npos) << run.err;
  EXPECT_TRUE(place_.Files("set") == before);
  umount(place_.Path("set").c_str());
}

TEST_F(DisturbedRun, AFolderThatMayNotBeWrittenIsAFailure) {
  place_.Fill("set", old_);
  Call call = Issue(place_.Job("new"), "set");
  chmod(place_.Path("").c_str(), 0777);
  for (const char* name : {"job-new.toml", "run.out", "run.err"}) {
    std::ofstream(place_.Path(name), std::ios::app);
    chmod(place_.Path(name).c_str(), 0666);
  }
  chmod(place_.Path("set").c_str(), 0555);
  call.before = [] {
    constexpr uid_t kNobody = 65534;
    if (geteuid() == 0 && setuid(kNobody) != 0) _exit(99);
  };
  const Ended run = RunProgram(place_, call);
  if (run.status == 99) GTEST_SKIP() << "nobody else may run the program from where it is";
  EXPECT_NE(run.err.find("Permission denied"), std::string::npos) << run.err;
  ExpectFailedAndOldSet(run);
}

TEST_F(DisturbedRun, WhatVanishesIsTold) {
  place_.Fill("set", old_);
  const std::string job = place_.Job("new");
  fs::remove(place_.Path(job));
  ExpectFailedAndOldSet(RunProgram(place_, Issue(job, "set")));
  // The folder it runs in.
  const std::string there = place_.Path(place_.Job("new"));
  Call call = Issue(there, "elsewhere");
  call.before = [] {
    if (mkdir("gone", 0755) != 0 || chdir("gone") != 0 || rmdir("../gone") != 0) _exit(99);
  };
  const Ended run = RunProgram(place_, call);
  EXPECT_EQ(run.status, kFailed) << run.err;
  EXPECT_NE(run.err.find("elsewhere"), std::string::npos) << run.err;
}

TEST_F(DisturbedRun, AClosedOutputIsAFailureAndNotAPlaceForFiles) {
  Call call = Issue(place_.Job("new"), "set");
  call.before = [] { close(STDOUT_FILENO); };
  const Ended run = RunProgram(place_, call);
  EXPECT_EQ(run.status, kFailed) << run.err;
  EXPECT_NE(run.err.find("could not be written whole"), std::string::npos) << run.err;
  EXPECT_TRUE(place_.Files("set") == new_);
  call.before = [] { close(STDERR_FILENO); };
  EXPECT_EQ(RunProgram(place_, call).status, usual_status_);
  EXPECT_TRUE(place_.Files("set") == new_);
}

TEST_F(DisturbedRun, APipeNobodyReadsIsAFailure) {
  Call call = Issue(place_.Job("new"), "set");
  call.before = [] {
    int ends[2] = {};
    if (pipe(ends) != 0 || close(ends[0]) != 0 || dup2(ends[1], STDOUT_FILENO) < 0) _exit(99);
  };
  const Ended run = RunProgram(place_, call);
  EXPECT_EQ(run.status, kFailed) << run.err;
  EXPECT_NE(run.err.find("could not be written whole"), std::string::npos) << run.err;
}

TEST_F(DisturbedRun, TwoRunsIntoOneFolderLeaveOneWholeSet) {
  const std::string first = place_.Job("old");
  const std::string second = place_.Job("new");
  const int rounds = LongRuns() ? 60 : 2;
  for (int i = 0; i < rounds; ++i) {
    if (i % 2 == 0) fs::remove_all(place_.Path("set"));
    const pid_t one = Start(place_, Issue(first, "set"), "one");
    const pid_t two = Start(place_, Issue(second, "set"), "two");
    const Ended one_ended = Wait(one, place_, "one");
    const Ended two_ended = Wait(two, place_, "two");
    EXPECT_EQ(one_ended.status, usual_status_) << one_ended.err;
    EXPECT_EQ(two_ended.status, usual_status_) << two_ended.err;
    const Files after = place_.Files("set");
    EXPECT_TRUE(after == old_ || after == new_) << "a mixture";
  }
}

TEST_F(DisturbedRun, AMachineShortOfThreadsGivesTheSameBytesOrASentence) {
  Call call = Issue(place_.Job("new"), "set");
  call.before = [] {
    const rlimit most = {1, 1};
    if (setrlimit(RLIMIT_NPROC, &most) != 0) _exit(99);
    constexpr uid_t kNobody = 65534;
    if (geteuid() == 0 && setuid(kNobody) != 0) _exit(99);
  };
  chmod(place_.Path("").c_str(), 0777);
  const Ended run = RunProgram(place_, call);
  if (run.status == 99) GTEST_SKIP() << "nobody else may run the program from where it is";
  if (run.status == 4) {  // a library that cannot do without a thread of its own gave up
    EXPECT_NE(run.err.find("holeward: "), std::string::npos);
    EXPECT_TRUE(place_.Files("set").empty());
    return;
  }
  EXPECT_EQ(run.status, usual_status_) << run.err;
  EXPECT_TRUE(place_.Files("set") == new_);
}

}  // namespace
}  // namespace holeward::fault
