#include "geometry/distribution.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "geometry/vec.h"

namespace holeward {
namespace {

constexpr double kRoot2 = std::numbers::sqrt2;
constexpr double kCut = kDeviationsOfHalfWidth / kRoot2;  // where erf is cut off

/// The y in [0, kCut] with erf(y) = value. Newton from below: erf is concave there, so each step
/// stays below the root and comes nearer.
double InverseErf(double value) {
  constexpr double kSlope = 2.0 / (kRoot2 * 1.2533141373155003);  // 2 / sqrt(pi), of erf at 0
  constexpr double kSmallest = 1e-15;
  constexpr int kMostSteps = 60;
  // erf(y) <= 2 y / sqrt(pi), so this lies below the root.
  double y = value / kSlope;
  for (int step = 0; step < kMostSteps; ++step) {
    const double move = (value - std::erf(y)) / (kSlope * std::exp(-y * y));
    y = std::min(y + move, kCut);
    if (!(std::abs(move) > kSmallest)) break;
  }
  return y;
}

/// Share of a half-width below which a share `t` of one side's draws lie.
double HalfQuantile(Distribution distribution, double t) {
  switch (distribution) {
    case Distribution::rectangular: return t;
    // t = 1 - (1 - x)²
    case Distribution::triangular: return t / (1.0 + std::sqrt(1.0 - t));
    case Distribution::normal: {
      if (t >= 1.0) return 1.0;
      static const double kept = std::erf(kCut);
      return InverseErf(t * kept) / kCut;
    }
  }
  return t;
}

}  // namespace

const char* Word(Distribution distribution) {
  switch (distribution) {
    case Distribution::rectangular: return "rectangular";
    case Distribution::triangular: return "triangular";
    case Distribution::normal: return "normal";
  }
  return "rectangular";
}

double EvenInInterval(Distribution distribution, double nothing, double u) {
  if (distribution == Distribution::rectangular) return u;
  if (u < nothing) {
    return std::max(0.0, nothing - nothing * HalfQuantile(distribution, 1.0 - u / nothing));
  }
  const double above = 1.0 - nothing;
  if (above <= 0.0) return 1.0;
  return std::min(1.0, nothing + above * HalfQuantile(distribution, (u - nothing) / above));
}

double EvenInDisc(Distribution distribution, double u) {
  switch (distribution) {
    case Distribution::rectangular: return u;
    case Distribution::triangular: {
      // u = 3 r² - 2 r³, solved by the cosine of a third of an angle.
      if (u <= 0.0 || u >= 1.0) return std::clamp(u, 0.0, 1.0);
      const double r = std::clamp(0.5 - std::sin(std::asin(1.0 - 2.0 * u) / 3.0), 0.0, 1.0);
      return r * r;
    }
    case Distribution::normal: {
      // u = (1 - exp(-k r²)) / (1 - exp(-k)), k half the square of the cut.
      if (u <= 0.0 || u >= 1.0) return std::clamp(u, 0.0, 1.0);
      constexpr double kHalfSquare = 0.5 * kDeviationsOfHalfWidth * kDeviationsOfHalfWidth;
      static const double kept = -std::expm1(-kHalfSquare);
      return std::min(1.0, -std::log1p(-u * kept) / kHalfSquare);
    }
  }
  return u;
}

}  // namespace holeward
