// Lets a test read a file back with a tool that is not ours (qpdf, poppler).
#pragma once

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <unistd.h>

#include "geometry/vec.h"

namespace holeward::testing_tools {

/// A folder of its own, removed with everything in it at the end.
class Scratch {
 public:
  Scratch() {
    std::string pattern = (std::filesystem::temp_directory_path() / "holeward-XXXXXX").string();
    path_ = ::mkdtemp(pattern.data());
  }
  ~Scratch() {
    std::error_code ignored;
    std::filesystem::permissions(path_, std::filesystem::perms::owner_all, ignored);
    std::filesystem::remove_all(path_, ignored);
  }
  Scratch(const Scratch&) = delete;
  Scratch& operator=(const Scratch&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }
  [[nodiscard]] std::string Put(const std::string& name, const std::string& bytes) const {
    std::string file = path_ + "/" + name;
    std::ofstream(file, std::ios::binary) << bytes;
    return file;
  }

 private:
  std::string path_;
};

inline std::string ReadAll(const std::string& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// What the command prints; "command failed" if it exits other than 0.
inline std::string Output(const std::string& command) {
  std::FILE* pipe = ::popen((command + " 2>/dev/null").c_str(), "r");
  if (pipe == nullptr) return "command failed";
  std::string out;
  char buffer[4096];
  std::size_t n = 0;
  while ((n = std::fread(buffer, 1, sizeof buffer, pipe)) > 0) out.append(buffer, n);
  return ::pclose(pipe) == 0 ? out : "command failed";
}

/// A word of a page with its box, origin lower left, mm.
struct SeenWord {
  std::string words;
  Vec2 low, high;
};

/// The words of every page, by `pdftotext -bbox`.
inline std::vector<std::vector<SeenWord>> WordsOf(const std::string& pdf_file) {
  std::vector<std::vector<SeenWord>> pages;
  std::istringstream lines(Output(std::string("pdftotext -bbox ") + pdf_file + " -"));
  constexpr double kMm = 25.4 / 72.0;
  double height = 0.0;
  for (std::string line; std::getline(lines, line);) {
    double width = 0.0;
    if (std::sscanf(line.c_str(), " <page width=\"%lf\" height=\"%lf\"", &width, &height) == 2) {
      pages.emplace_back();
    }
    double x0 = 0, y0 = 0, x1 = 0, y1 = 0;
    if (std::sscanf(line.c_str(), " <word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x0,
                    &y0, &x1, &y1) != 4) {
      continue;
    }
    const std::size_t from = line.find('>') + 1;
    pages.back().push_back({line.substr(from, line.find("</word>") - from),
                            Vec2(x0, height - y1) * kMm, Vec2(x1, height - y0) * kMm});
  }
  return pages;
}

/// One straight piece of a path, mm, origin lower left.
struct SeenLine {
  Vec2 a, b;
};

/// The straight lines each page's content draws: qpdf expands the file, and m, l, h, re, cm, q and
/// Q (ISO 32000-2, 8.5.2 and 8.4.4) are followed here.
inline std::vector<std::vector<SeenLine>> LinesOf(const std::string& pdf_file) {
  std::vector<std::vector<SeenLine>> pages;
  const std::string text =
      Output(std::string("qpdf --qdf --object-streams=disable ") + pdf_file + " -");
  std::size_t at = 0;
  while ((at = text.find("\nstream\n", at)) != std::string::npos) {
    const std::size_t end = text.find("\nendstream", at);
    const std::string content = text.substr(at + 8, end - at - 8);
    const std::string before = text.substr(at > 600 ? at - 600 : 0, at > 600 ? 600 : at);
    at = end;
    // Page contents only: qpdf names them in a comment before the object.
    const std::size_t object = before.rfind(" obj\n");
    const std::size_t comment = before.rfind("%% Contents for page");
    if (object == std::string::npos || comment == std::string::npos || object - comment > 80)
      continue;
    pages.emplace_back();
    std::vector<double> numbers;
    Eigen::Affine2d matrix = Eigen::Affine2d::Identity();
    std::vector<Eigen::Affine2d> stack;
    Vec2 here = Vec2::Zero();
    Vec2 begun = Vec2::Zero();  // of the present subpath
    std::istringstream words(content);
    constexpr double kMm = 25.4 / 72.0;
    for (std::string word; words >> word;) {
      char* rest = nullptr;
      const double value = std::strtod(word.c_str(), &rest);
      if (*rest == '\0') {
        numbers.push_back(value);
        continue;
      }
      const std::size_t n = numbers.size();
      if (word == "q") stack.push_back(matrix);
      if (word == "Q" && !stack.empty()) {
        matrix = stack.back();
        stack.pop_back();
      }
      if (word == "cm" && n >= 6) {
        Eigen::Affine2d by;
        by.matrix() << numbers[n - 6], numbers[n - 4], numbers[n - 2], numbers[n - 5],
            numbers[n - 3], numbers[n - 1], 0.0, 0.0, 1.0;
        matrix = matrix * by;
      }
      if (word == "m" && n >= 2) begun = here = matrix * Vec2(numbers[n - 2], numbers[n - 1]);
      if (word == "h") {
        pages.back().push_back({here * kMm, begun * kMm});
        here = begun;
      }
      if (word == "re" && n >= 4) {
        const Vec2 low(numbers[n - 4], numbers[n - 3]);
        const Vec2 size(numbers[n - 2], numbers[n - 1]);
        const Vec2 corners[] = {matrix * low, matrix * Vec2(low + Vec2(size.x(), 0.0)),
                                matrix * Vec2(low + size),
                                matrix * Vec2(low + Vec2(0.0, size.y()))};
        for (int i = 0; i < 4; ++i) {
          pages.back().push_back({corners[i] * kMm, corners[(i + 1) % 4] * kMm});
        }
      }
      if (word == "l" && n >= 2) {
        const Vec2 to = matrix * Vec2(numbers[n - 2], numbers[n - 1]);
        pages.back().push_back({here * kMm, to * kMm});
        here = to;
      }
      numbers.clear();
    }
  }
  return pages;
}

/// True if some line of the page has these ends, either way round, within `tolerance` mm.
inline bool HasLine(const std::vector<SeenLine>& lines, const Vec2& a, const Vec2& b,
                    double tolerance) {
  for (const SeenLine& line : lines) {
    const double same = std::max((line.a - a).norm(), (line.b - b).norm());
    const double turned = std::max((line.a - b).norm(), (line.b - a).norm());
    if (std::min(same, turned) <= tolerance) return true;
  }
  return false;
}

}  // namespace holeward::testing_tools
