// libFuzzer on the job reader. Every other change is one of lines and values, which keeps most of a
// job sound, so that what is deep in the reader is reached; the rest are the fuzzer's own.
#include <algorithm>
#include <array>
#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <vector>

#include "tests/fuzz/fuzz_inputs.h"

extern "C" size_t LLVMFuzzerMutate(uint8_t* data, size_t size, size_t max_size);

namespace {

constexpr std::array kValues = {
    "0",      "-1",         "1e308", "nan",  "-inf",   "9223372036854775807",
    "\"\"",   "[]",         "{}",    "[[]]", "true",   "1e-300",
    "[1, 2]", "1979-05-27", "0.5",   "400",  "\"in\"", "\"none\""};

std::vector<std::string> Lines(const std::string& text) {
  std::vector<std::string> lines(1);
  for (const char c : text) {
    c == '\n' ? lines.emplace_back() : lines.back() += c;
  }
  return lines;
}

std::string Changed(const std::string& text, unsigned seed) {
  std::minstd_rand random(seed);
  std::vector<std::string> lines = Lines(text);
  std::string& line = lines[random() % lines.size()];
  const std::string& other = lines[random() % lines.size()];
  const auto equals = line.find("= ");
  switch (random() % 5) {
    case 0: line.clear(); break;
    case 1: line = std::string(other); break;
    case 2: line += "\n" + std::string(other); break;
    default:
      if (equals != std::string::npos) {
        line = line.substr(0, equals + 2) + kValues[random() % kValues.size()];
      }
  }
  std::string joined;
  for (const std::string& part : lines) joined += part + "\n";
  return joined;
}

}  // namespace

extern "C" size_t LLVMFuzzerCustomMutator(uint8_t* data, size_t size, size_t max_size,
                                          unsigned int seed) {
  if (seed % 2 == 0) return LLVMFuzzerMutate(data, size, max_size);
  const std::string changed = Changed({reinterpret_cast<const char*>(data), size}, seed / 2);
  const size_t kept = std::min(changed.size(), max_size);
  std::memcpy(data, changed.data(), kept);
  return kept;
}

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  holeward::fuzz::ReadAsJob({reinterpret_cast<const char*>(data), size});
  return 0;
}
