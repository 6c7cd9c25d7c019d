// Jobs made from tests/data/good_job.toml by changing values and lines at random, with a fixed
// seed.
#pragma once

#include <fstream>
#include <random>
#include <string>
#include <vector>

namespace holeward::testing_tools {

inline std::vector<std::string> GoodJobLines() {
  std::ifstream file(std::string(HOLEWARD_SOURCE_DIR) + "/tests/data/good_job.toml");
  std::vector<std::string> lines;
  for (std::string line; std::getline(file, line);) lines.push_back(line);
  return lines;
}

class JobChanger {
 public:
  JobChanger() : lines_(GoodJobLines()) {}

  /// The next changed job.
  [[nodiscard]] std::string Changed() {
    std::vector<std::string> lines = lines_;
    const int changes = 1 + static_cast<int>(random_() % 3);
    for (int i = 0; i < changes; ++i) Change(lines);
    std::string text;
    for (const auto& line : lines) text += line + "\n";
    return text;
  }

 private:
  static const std::vector<std::string>& Values() {
    static const std::vector<std::string> kValues{
        "0",      "-1",      "1e308",    "nan",        "-inf",        "9223372036854775807",
        "\"\"",   "\"top\"", "[]",       "{}",         "[[]]",        "true",
        "1e-300", "[1, 2]",  "\"face\"", "1979-05-27", "[[0, 0, 0]]", "{ minus = 1, plus = 2 }",
        "0.5",    "400",     "\"R1\"",   "\"link\"",   "[\"T1\"]",    "\"round\""};
    return kValues;
  }

  std::size_t Any(std::size_t size) { return random_() % size; }

  void Change(std::vector<std::string>& lines) {
    auto& line = lines[Any(lines.size())];
    const auto equals = line.rfind("= ");
    switch (random_() % 5) {
      case 0: line.clear(); break;
      case 1: line = lines[Any(lines.size())]; break;
      case 2: std::swap(line, lines[Any(lines.size())]); break;
      default:
        if (equals != std::string::npos)
          line = line.substr(0, equals + 2) + Values()[Any(Values().size())];
    }
  }

  std::vector<std::string> lines_;
  std::mt19937 random_{7711};
};

}  // namespace holeward::testing_tools
