// Checks a measured outline: its corner points must make one simple closed curve, with room for
// the corner radii.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/job_reading.h"

namespace holeward {
namespace {

// Corner points closer than this are one, mm.
constexpr double kSameCorner = 0.05;
// Set-backs may touch, but rounding must not make them overlap, mm.
constexpr double kTouch = 1e-9;
// Cosine of the sharpest corner a sheet could be bent to: 5 degrees between its flats.
constexpr double kBack = 0.9962;

double Cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

double SignedArea(const std::vector<Vec2>& outline) {
  double twice = 0.0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    twice += Cross(outline[i], outline[(i + 1) % outline.size()]);
  }
  return twice / 2.0;
}

int Turn(const Vec2& a, const Vec2& b, const Vec2& c) {
  const double area = Cross(b - a, c - a);
  return area > 0.0 ? 1 : (area < 0.0 ? -1 : 0);
}

bool Meet(const Vec2& a, const Vec2& b, const Vec2& c, const Vec2& d) {
  const bool apart = (a.cwiseMax(b).array() < c.cwiseMin(d).array()).any() ||
                     (c.cwiseMax(d).array() < a.cwiseMin(b).array()).any();
  if (apart) return false;
  return Turn(a, b, c) * Turn(a, b, d) <= 0 && Turn(c, d, a) * Turn(c, d, b) <= 0;
}

// Whether the curve goes back the way it came, which no crossing of two flats shows.
bool DoublesBack(const std::vector<Vec2>& outline, std::size_t i) {
  const std::size_t n = outline.size();
  const Vec2 in = (outline[i] - outline[(i + n - 1) % n]).normalized();
  const Vec2 out = (outline[(i + 1) % n] - outline[i]).normalized();
  return in.dot(out) < -kBack;
}

bool Crosses(const std::vector<Vec2>& outline) {
  const std::size_t n = outline.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (DoublesBack(outline, i)) return true;
  }
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 2; j < n; ++j) {
      if (i == 0 && j + 1 == n) continue;  // neighbours share a corner point
      if (Meet(outline[i], outline[i + 1], outline[j], outline[(j + 1) % n])) return true;
    }
  }
  return false;
}

// Length that a corner's radius takes from each of its two flats: r tan(turn / 2).
double SetBack(const std::vector<Vec2>& outline, std::size_t i, double radius) {
  const std::size_t n = outline.size();
  const Vec2 in = (outline[i] - outline[(i + n - 1) % n]).normalized();
  const Vec2 out = (outline[(i + 1) % n] - outline[i]).normalized();
  const double turn = std::atan2(std::abs(Cross(in, out)), in.dot(out));
  return radius * std::tan(turn / 2.0);
}

bool CheckDistinct(const StationRow& s, Location at, const std::string& where,
                   WalkContext& context) {
  for (std::size_t i = 0; i < s.outline.size(); ++i) {
    const std::size_t next = (i + 1) % s.outline.size();
    if ((s.outline[next] - s.outline[i]).norm() >= kSameCorner) continue;
    context.Add(at, fmt::format("corner points {} and {} of \"outline\" in {} are the same place",
                                i + 1, next + 1, where));
    return false;
  }
  return true;
}

bool CheckRoom(const StationRow& s, Location at, const std::string& where, WalkContext& context) {
  for (std::size_t i = 0; i < s.outline.size(); ++i) {
    const std::size_t next = (i + 1) % s.outline.size();
    const double room = (s.outline[next] - s.outline[i]).norm();
    const double taken =
        SetBack(s.outline, i, s.corners[i]) + SetBack(s.outline, next, s.corners[next]);
    if (taken <= room + kTouch) continue;
    context.Add(
        at, fmt::format("the corner radii of corner points {} and {} of \"outline\" in {} do "
                        "not fit on the flat between them: they take {:.6g} of {:.6g}",
                        i + 1, next + 1, where, taken / context.unit_mm, room / context.unit_mm));
    return false;
  }
  return true;
}

}  // namespace

bool CheckOutline(StationRow& station, Location at, const std::string& where,
                  WalkContext& context) {
  if (!CheckDistinct(station, at, where, context)) return false;
  const double area = SignedArea(station.outline);
  if (Crosses(station.outline) || std::abs(area) < kSameCorner * kSameCorner) {
    context.Add(at, fmt::format("\"outline\" in {} crosses itself or encloses nothing; give its "
                                "corner points in order round the section",
                                where));
    return false;
  }
  if (!CheckRoom(station, at, where, context)) return false;
  if (area < 0.0) {
    // The first corner point stays first.
    std::reverse(station.outline.begin() + 1, station.outline.end());
    std::reverse(station.corners.begin() + 1, station.corners.end());
  }
  return true;
}

}  // namespace holeward
