#include "models/bench_volume.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

// Area of metal of the section at u: outline less what lies one wall inside it. Flats keep their
// wall, inner corners are r - t or sharp.
double MetalArea(const Skin& skin, double u, double wall) {
  if (skin.round()) {
    const double outer = skin.RadiusAt(u);
    const double inner = std::max(0.0, outer - wall);
    return kPi * (outer * outer - inner * inner);
  }
  const int n = skin.vertex_count();
  const int edges = skin.closed() ? n : n - 1;
  double area = 0.0;
  for (int i = 0; i < edges; ++i) {
    area += wall * (skin.VertexAt(u, (i + 1) % n) - skin.VertexAt(u, i)).norm();
  }
  for (int k = 0; k < n; ++k) {
    if (!skin.closed() && (k == 0 || k == n - 1)) continue;
    const Vec2 in = skin.VertexAt(u, k) - skin.VertexAt(u, (k + n - 1) % n);
    const Vec2 out = skin.VertexAt(u, (k + 1) % n) - skin.VertexAt(u, k);
    const double turn = std::atan2(in.x() * out.y() - in.y() * out.x(), in.dot(out));
    const double tangent = std::tan(0.5 * turn);
    const double radius = skin.CornerRadiusAt(u, k);
    const double inner = std::max(0.0, radius - wall);
    area -= wall * wall * tangent + (radius * radius - inner * inner) * (tangent - 0.5 * turn);
  }
  return area;
}

double InnerArea(const Skin& skin, double u, double wall) {
  if (skin.round()) return kPi * std::pow(std::max(0.0, skin.RadiusAt(u) - wall), 2);
  double twice = 0.0;
  double corners = 0.0;
  const int n = skin.vertex_count();
  for (int k = 0; k < n; ++k) {
    const Vec2 p = skin.VertexAt(u, k);
    const Vec2 q = skin.VertexAt(u, (k + 1) % n);
    twice += p.x() * q.y() - p.y() * q.x();
    corners += (1.0 - kPi / 4.0) * std::pow(skin.CornerRadiusAt(u, k), 2);
  }
  return 0.5 * std::abs(twice) - corners - MetalArea(skin, u, wall);
}

}  // namespace

double MetalVolume(const Skin& skin, double wall, const std::array<EndKind, 2>& ends) {
  // Gauss's two points, each span in two panels.
  constexpr std::array<double, 2> kPoints{0.211324865405187, 0.788675134594813};
  double volume = 0.0;
  for (int span = 0; span < skin.span_count(); ++span) {
    const double from = skin.span_start(span);
    const double h = 0.5 * (skin.span_start(span + 1) - from);
    for (int half = 0; half < 2; ++half) {
      const double start = from + half * h;
      const double length = skin.StationOf(start + h) - skin.StationOf(start);
      for (const double p : kPoints) {
        volume += 0.5 * length * MetalArea(skin, start + p * h, wall);
      }
    }
  }
  for (std::size_t end = 0; end < 2; ++end) {
    if (ends[end] != EndKind::closed || !skin.closed()) continue;
    volume += wall * InnerArea(skin, end == 0 ? 0.0 : skin.u_end(), wall);
  }
  return volume;
}

}  // namespace holeward
