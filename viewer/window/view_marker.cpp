#include "viewer/window/view_marker.h"

#include <cmath>
#include <string>
#include <vector>

namespace holeward {
namespace {

constexpr double kSize = 19.0;  // pixels a unit of the outline
const Vec2 kAt(110.0, 78.0);    // its middle, pixels from the corner
constexpr double kGap = 8.0;    // pixels between it and a word
constexpr Ink3 kInk = {89, 97, 112};

/// The outline of a vehicle, lengths in its own: front at +x, left at +y.
std::vector<std::vector<Vec3>> Outline() {
  const std::vector<Vec2> side = {{-2.0, -0.6}, {2.1, -0.6}, {2.2, 0.0},  {1.4, 0.2},
                                  {0.9, 1.0},   {-2.0, 1.0}, {-2.0, -0.6}};
  std::vector<std::vector<Vec3>> lines;
  for (const double y : {-0.85, 0.85}) {
    std::vector<Vec3> line;
    for (const Vec2& p : side) line.emplace_back(p.x(), y, p.y());
    lines.push_back(line);
    for (const double wheel : {-1.25, 1.35}) {
      std::vector<Vec3> ring;
      for (int i = 0; i <= 16; ++i) {
        const double angle = 2.0 * kPi * i / 16;
        ring.emplace_back(wheel + 0.38 * std::cos(angle), y, -0.6 + 0.38 * std::sin(angle));
      }
      lines.push_back(ring);
    }
  }
  for (std::size_t i = 0; i + 1 < side.size(); ++i) {
    lines.push_back({{side[i].x(), -0.85, side[i].y()}, {side[i].x(), 0.85, side[i].y()}});
  }
  return lines;
}

bool IsAlongSight(const Vec3& way, const Eye& eye) {
  return std::hypot(way.dot(eye.Right()), way.dot(eye.Up())) < 0.5;
}

}  // namespace

std::array<std::string, 2> MarkerWords(const Eye& eye) {
  const auto word = [&](const Vec3& way, const char* there, const char* opposite) {
    const bool turned_away = IsAlongSight(way, eye) && way.dot(eye.Toward()) < 0.0;
    return std::string(turned_away ? opposite : there);
  };
  return {word(Vec3::UnitX(), "FRONT", "REAR"), word(Vec3::UnitY(), "LEFT", "RIGHT")};
}

void PaintMarker(ViewOverlay& overlay, const Eye& eye) {
  const auto flat = [&](const Vec3& p) {
    return Vec2(overlay.scale() * (kAt + kSize * Vec2(p.dot(eye.Right()), p.dot(eye.Up()))));
  };
  for (const auto& line : Outline()) {
    std::vector<Vec2> places;
    for (const Vec3& p : line) places.push_back(flat(p));
    overlay.Line(places, kInk, 1.2);
  }
  // Beside the vehicle, on the way they name; below it where that way is along the line of sight.
  const auto name = [&](const std::string& word, const Vec3& end) {
    const Vec2 way = flat(end) - flat(Vec3::Zero());
    const Vec2 size = overlay.SizeOf(word, true);
    if (IsAlongSight(end.normalized(), eye)) {
      overlay.WordsAbout(word, flat(Vec3::Zero()) - Vec2(0.0, 2.2 * kSize * overlay.scale()));
      return;
    }
    const Vec2 unit = way.normalized();
    const double room = 0.5 * size.dot(unit.cwiseAbs()) + kGap * overlay.scale();
    overlay.WordsAbout(word, flat(end) + room * unit);
  };
  const auto [along, across] = MarkerWords(eye);
  name(along, {2.2, 0.0, 0.0});
  name(across, {0.0, 1.5, 0.0});
}

}  // namespace holeward
