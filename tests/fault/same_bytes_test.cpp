// Same input, same bytes: `issue` on other days' machines, in other folders, with other numbers of
// threads, under other settings of the user.
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

#include <sched.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "tests/fault/run.h"

namespace holeward::fault {
namespace {

namespace fs = std::filesystem;

void OnOneProcessor() {
  cpu_set_t allowed;
  CPU_ZERO(&allowed);
  sched_getaffinity(0, sizeof allowed, &allowed);
  for (int cpu = 0, kept = 0; cpu < CPU_SETSIZE; ++cpu) {
    if (CPU_ISSET(cpu, &allowed) != 0 && kept++ > 0) CPU_CLR(cpu, &allowed);
  }
  if (sched_setaffinity(0, sizeof allowed, &allowed) != 0) _exit(99);
}

std::vector<std::string> Jobs() {
  if (!LongRuns()) return {"box-beam.toml"};
  std::vector<std::string> jobs;
  for (const auto& entry : fs::directory_iterator(HOLEWARD_SOURCE_DIR "/models/examples")) {
    if (entry.path().extension() == ".toml") jobs.push_back(entry.path().filename().string());
  }
  return jobs;
}

TEST(SameBytes, WhateverTheThreadsFoldersAndSettings) {
  const std::vector<std::string> clock = {"SOURCE_DATE_EPOCH=1700000000"};
  for (const std::string& job : Jobs()) {
    SCOPED_TRACE(job);
    const fs::path source = fs::path(HOLEWARD_SOURCE_DIR "/models/examples") / job;
    const Place here;
    const Place there;
    for (const Place* place : {&here, &there}) fs::copy_file(source, place->Path(job));
    const Ended first = RunProgram(here, {{"issue", job, "--to", "set"}, clock, nullptr});
    ASSERT_LE(first.status, 3) << first.err;
    const auto files = here.Files("set");
    ASSERT_GT(files.size(), 8U);

    Call alone = {{"issue", job, "--to", "a/b"}, clock, OnOneProcessor};
    Call settings = {{"issue", job, "--to", "c"}, clock, nullptr};
    settings.environment.insert(settings.environment.end(),
                                {"TZ=Pacific/Kiritimati", "LANG=de_DE.UTF-8", "LC_ALL=tr_TR.UTF-8",
                                 "HOME=/nonexistent", "COLUMNS=40"});
    for (const Call& call : {alone, settings}) {
      const Ended run = RunProgram(there, call);
      EXPECT_EQ(run.status, first.status) << run.err;
      const auto again = there.Files(call.arguments.back());
      ASSERT_EQ(again.size(), files.size());
      for (const auto& [name, bytes] : files) {
        EXPECT_TRUE(again.at(name) == bytes) << name << " differs";
      }
      if (call.arguments.back() == "c") EXPECT_EQ(run.err, first.err);
    }
  }
}

}  // namespace
}  // namespace holeward::fault
