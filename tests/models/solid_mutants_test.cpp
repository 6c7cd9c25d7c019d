// Damaged STEP files: whatever stands in them, reading ends with bodies or one sentence, in time,
// and what is read as a part has the size that was asked for.
#include <algorithm>
#include <atomic>
#include <cstdio>
#include <cstdlib>
#include <random>

#include "geometry/parallel.h"
#include "models/job_reader.h"
#include "models/solid_starter.h"
#include "tests/models/solid_jobs.h"

namespace holeward {
namespace {

using testing_tools::Scratch;

std::string Mutant(std::string text, std::mt19937& random) {
  const auto any = [&](std::size_t size) { return size == 0 ? 0 : random() % size; };
  const int changes = 1 + static_cast<int>(any(2));
  for (int i = 0; i < changes; ++i) {
    const std::size_t at = any(text.size());
    switch (any(20)) {
      case 0: text[at] = static_cast<char>(any(256)); break;
      case 1: text.resize(at); break;
      case 2: text.erase(at, 1 + any(40)); break;
      case 3: text.insert(at, text.substr(any(text.size()), 1 + any(200))); break;
      case 4: {  // another entity's number
        const auto hash = text.find('#', at);
        if (hash != std::string::npos) text.insert(hash + 1, 1, static_cast<char>('1' + any(9)));
        break;
      }
      default: {  // another figure
        const auto digit = text.find_first_of("0123456789", at);
        if (digit != std::string::npos) text[digit] = static_cast<char>('0' + any(10));
        break;
      }
      case 5: {
        const char* const words[] = {"1E308", "-1.", "NAN", "$", "*", "()", ".F.", "''"};
        text.insert(at, words[any(8)]);
        break;
      }
    }
    if (text.empty()) return text;
  }
  return text;
}

TEST(SolidMutants, EndInBodiesOrOneSentence) {
  const bool in_full = std::getenv("HOLEWARD_LONG_TESTS") != nullptr;
  const Scratch folder;
  std::vector<std::string> files;
  for (const auto& one : testing_tools::SolidCases()) {
    if (!in_full && files.size() == 2) break;
    files.push_back(
        testing_tools::ReadAll(testing_tools::WriteStep(one, folder, one.name + ".step")));
    if (in_full && files.size() < 10) {
      files.push_back(testing_tools::ReadAll(
          testing_tools::WriteStep(one, folder, one.name + "-drilled.step", "--drilled")));
    }
  }
  files.resize(std::min<std::size_t>(files.size(), 10));
  const std::size_t count = in_full ? 10000 : 24;
  std::atomic<int> read{0}, refused{0}, parts{0}, crashed{0}, stopped{0}, odd{0};
  ForEach(count, [&](std::size_t i) {
    std::mt19937 random(static_cast<unsigned>(20261129 + i));
    const std::string name = "mutant" + std::to_string(i) + ".step";
    const std::string path = folder.Put(name, Mutant(files[i % files.size()], random));
    const auto starter = SolidStarterJob(path);
    if (!starter) {
      const std::string& why = starter.error().message;
      ++refused;
      if (why.find("crashed") != std::string::npos) ++crashed;
      if (why.find("was stopped") != std::string::npos) ++stopped;
      if (why.empty() || why.find('\n') != std::string::npos) ++odd;
    } else {
      ++read;
      const JobReading job = ReadJobText(*starter, folder.path() + "/job.toml");
      if (job.ok()) ++parts;
    }
    std::filesystem::remove(path);
  });
  EXPECT_EQ(read + refused, static_cast<int>(count));
  EXPECT_EQ(odd, 0);
  EXPECT_GT(refused, 0);
  std::printf(
      "%zu mutants of %zu files: %d read (%d of them jobs), %d refused (%d after a crash, %d "
      "stopped)\n",
      count, files.size(), read.load(), parts.load(), refused.load(), crashed.load(),
      stopped.load());
}

}  // namespace
}  // namespace holeward
