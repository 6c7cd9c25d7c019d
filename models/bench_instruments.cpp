#include "models/bench_instruments.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace holeward {
namespace {

double Metres(double mm) { return std::max(1.0, std::ceil(std::abs(mm) / 1000.0)); }

double Together(double a, double b) { return std::hypot(SigmaOfHalfWidth(a), SigmaOfHalfWidth(b)); }

// ISO 2768-1, class m, ± mm; below 6 mm the smallest.
double GeneralTolerance(double mm) {
  constexpr std::array<std::array<double, 2>, 6> kUpTo{
      {{6.0, 0.1}, {30.0, 0.2}, {120.0, 0.3}, {400.0, 0.5}, {1000.0, 0.8}, {2000.0, 1.2}}};
  for (const auto& [length, half] : kUpTo) {
    if (mm <= length) return half;
  }
  return 2.0;
}

}  // namespace

const std::vector<std::string>& InstrumentWords() {
  static const std::vector<std::string> kWords{
      "caliper",      "steel rule", "tape",  "class I tape", "class III tape", "height gauge",
      "radius gauge", "wall gauge", "scale", "drawing",      "assumed"};
  return kWords;
}

std::string UsualInstrument(BenchKind kind) {
  switch (kind) {
    case BenchKind::distance:
    case BenchKind::face: return "steel rule";
    case BenchKind::width:
    case BenchKind::height:
    case BenchKind::diameter: return "caliper";
    case BenchKind::corner: return "radius gauge";
    case BenchKind::girth:
    case BenchKind::tape:
    case BenchKind::diagonal: return "tape";
    case BenchKind::wall: return "wall gauge";
    case BenchKind::weight: return "scale";
  }
  return "steel rule";
}

double SigmaOfHalfWidth(double half) { return half / std::sqrt(3.0); }

double InstrumentSigma(std::string_view instrument, double value) {
  if (instrument == "caliper") return Together(0.05, 0.1);
  if (instrument == "steel rule") return Together(0.1 + 0.1 * Metres(value), 0.5);
  // Hooked on an end: 0.2 more.
  if (instrument == "tape") return Together(0.3 + 0.2 * Metres(value) + 0.2, 0.5);
  if (instrument == "class I tape") return Together(0.1 + 0.1 * Metres(value) + 0.1, 0.5);
  if (instrument == "class III tape") return Together(0.6 + 0.4 * Metres(value) + 0.3, 0.5);
  if (instrument == "drawing") return SigmaOfHalfWidth(GeneralTolerance(std::abs(value)));
  if (instrument == "assumed") return SigmaOfHalfWidth(std::max(1.0, 0.05 * std::abs(value)));
  if (instrument == "height gauge") return Together(0.05, 0.1);
  if (instrument == "radius gauge") return SigmaOfHalfWidth(0.5);
  if (instrument == "wall gauge") return SigmaOfHalfWidth(0.1);
  return SigmaOfHalfWidth(std::max(0.005, 0.002 * std::abs(value)));  // scale, kg
}

double WallSigma(bool measured, double wall) {
  return measured ? InstrumentSigma("wall gauge", wall) : SigmaOfHalfWidth(0.2);
}

double ReadingSigma(BenchKind kind, std::string_view instrument, double value) {
  const double own = InstrumentSigma(instrument, value);
  if (kind != BenchKind::weight) return own;
  return std::hypot(own, SigmaOfHalfWidth(0.01 * value));
}

}  // namespace holeward
