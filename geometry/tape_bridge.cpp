// The taut tape over hollows.
#include <algorithm>
#include <cmath>

#include "geometry/tape.h"
#include "geometry/tape_shoot.h"

namespace holeward {
namespace {

constexpr double kHollow = 1e-9;  // 1/mm: a normal curvature below it is rounding

/// A stretch of the path seen from its side: normal curvature (positive: hollow) and length.
struct Stretch {
  double curvature = 0.0;
  double length = 0.0;
};

/// The chords of the path with the normal curvature at their middles.
std::vector<Stretch> Profile(const Surface& surface, const std::vector<SkinPlace>& places) {
  std::vector<Stretch> profile;
  for (std::size_t i = 0; i + 1 < places.size(); ++i) {
    const SkinPlace& a = places[i];
    const SkinPlace& b = places[i + 1];
    const double p = b.u - a.u;
    const double q = b.v - a.v;
    const SkinPlace middle{0.5 * (a.u + b.u), 0.5 * (a.v + b.v)};
    const SkinJet x = JetIn(surface, middle, CellOf(surface, middle));
    const double speed2 = (p * x.du + q * x.dv).squaredNorm();
    if (speed2 <= 0) continue;
    const Vec3 bend = p * p * x.duu + 2 * p * q * x.duv + q * q * x.dvv;
    profile.push_back({bend.dot(x.normal) / speed2, std::sqrt(speed2)});
  }
  return profile;
}

/// The path laid out in a plane by its normal curvature, outside to the left.
std::vector<Vec2> LaidOut(const std::vector<Stretch>& profile) {
  constexpr int kParts = 8;
  std::vector<Vec2> line = {Vec2::Zero()};
  double angle = 0.0;
  for (const Stretch& s : profile) {
    const double h = s.length / kParts;
    for (int n = 0; n < kParts; ++n) {
      const double half = 0.5 * s.curvature * h;
      const double chord = std::abs(half) > 1e-6 ? h * std::sin(half) / half : h;
      line.push_back(line.back() + chord * Vec2(std::cos(angle + half), std::sin(angle + half)));
      angle += 2 * half;
    }
  }
  return line;
}

double LengthOf(const std::vector<Vec2>& line) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) sum += (line[i + 1] - line[i]).norm();
  return sum;
}

/// Pulls the line taut on its left side: corners that turn left are cut off.
std::vector<Vec2> Taut(const std::vector<Vec2>& line) {
  std::vector<Vec2> taut;
  for (const Vec2& p : line) {
    while (taut.size() >= 2) {
      const Vec2 a = taut.back() - taut[taut.size() - 2];
      const Vec2 b = p - taut.back();
      if (a.x() * b.y() - a.y() * b.x() <= 0) break;
      taut.pop_back();
    }
    taut.push_back(p);
  }
  return taut;
}

}  // namespace

double TapeSolver::BridgedLength(const TapePath& path) const {
  if (path.places.size() < 2) return path.length;
  const std::vector<Stretch> profile = Profile(*surface_, path.places);
  const bool hollow = std::any_of(profile.begin(), profile.end(),
                                  [](const Stretch& s) { return s.curvature > kHollow; });
  if (!hollow) return path.length;
  const std::vector<Vec2> line = LaidOut(profile);
  return path.length - std::max(LengthOf(line) - LengthOf(Taut(line)), 0.0);
}

}  // namespace holeward
