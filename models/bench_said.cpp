// What a person hears of a fit: the misread readings, and the doubts.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/bench.h"

namespace holeward {
namespace {

// The slip that turns `right` into `read`, if it is one of the usual ones.
std::string SlipWords(double read, double right, double sigma) {
  const double close = 3.0 * sigma;
  const double off = read - right;
  for (const double step : {5.0, 10.0, 20.0, 50.0, 100.0}) {
    if (std::abs(std::abs(off) - step) < close) {
      return fmt::format(", {:g} mm too {}", step, off > 0.0 ? "much" : "little");
    }
  }
  if (right > 0.0 && std::abs(read * kInch - right) < std::max(close, 0.02 * right)) {
    return ", as if read in inches";
  }
  if (right > 0.0 && std::abs(read / right - 10.0) < 0.05) return ", the point one place too far";
  return "";
}

}  // namespace

std::vector<std::string> SuspectWords(const BenchFit& fit) {
  std::vector<std::string> words;
  for (const SuspectReading& s : fit.found.suspects) {
    const BenchReading& r = fit.sheet.readings[static_cast<std::size_t>(s.reading)];
    const char* unit = r.kind == BenchKind::weight ? "kg" : "mm";
    const int digits = r.kind == BenchKind::weight ? 3 : 1;
    std::string text = fmt::format(
        "reading \"{}\" is most likely misread: {:.{}f} {}; the others make it {:.{}f} {} (within "
        "{:.{}f}){}",
        r.name, r.value, digits, unit, s.probable, digits, unit, 2.0 * s.probable_sigma, digits + 1,
        r.kind == BenchKind::weight ? "" : SlipWords(r.value, s.probable, r.sigma));
    if (!s.rivals.empty()) {
      text += "; but it could as well be";
      for (std::size_t i = 0; i < s.rivals.size(); ++i) {
        text += (i == 0 ? " " : " or ") +
                fit.sheet.readings[static_cast<std::size_t>(s.rivals[i])].name;
      }
    }
    words.push_back(text + ". It is left out: take it again");
  }
  return words;
}

std::vector<std::string> WarningsOf(const BenchFit& fit) {
  std::vector<std::string> words = SuspectWords(fit);
  words.insert(words.end(), fit.doubts.begin(), fit.doubts.end());
  return words;
}

}  // namespace holeward
