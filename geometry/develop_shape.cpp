#include "geometry/develop_shape.h"

#include <algorithm>
#include <cmath>

#include <clipper.hpp>

namespace holeward {
namespace {

// The library counts in whole numbers: this many a mm.
constexpr double kCounts = 1e5;

ClipperLib::Path ToPath(const std::vector<Vec2>& polygon) {
  ClipperLib::Path path;
  path.reserve(polygon.size());
  for (const Vec2& p : polygon) {
    path.emplace_back(static_cast<ClipperLib::cInt>(std::llround(p.x() * kCounts)),
                      static_cast<ClipperLib::cInt>(std::llround(p.y() * kCounts)));
  }
  return path;
}

std::vector<Vec2> FromPath(const ClipperLib::Path& path) {
  std::vector<Vec2> out;
  out.reserve(path.size());
  for (const ClipperLib::IntPoint& p : path) {
    out.emplace_back(static_cast<double>(p.X) / kCounts, static_cast<double>(p.Y) / kCounts);
  }
  return out;
}

}  // namespace

std::vector<SheetRegion> CutFrom(const std::vector<Vec2>& outline,
                                 const std::vector<std::vector<Vec2>>& removed) {
  ClipperLib::Clipper clipper;
  clipper.AddPath(ToPath(outline), ClipperLib::ptSubject, true);
  for (const std::vector<Vec2>& polygon : removed) {
    clipper.AddPath(ToPath(polygon), ClipperLib::ptClip, true);
  }
  ClipperLib::PolyTree tree;
  clipper.Execute(ClipperLib::ctDifference, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
  std::vector<SheetRegion> out;
  for (const ClipperLib::PolyNode* node : tree.Childs) {
    out.push_back({FromPath(node->Contour), {}});
    for (const ClipperLib::PolyNode* hole : node->Childs) {
      out.back().holes.push_back(FromPath(hole->Contour));
    }
  }
  std::sort(out.begin(), out.end(), [](const SheetRegion& a, const SheetRegion& b) {
    return std::abs(AreaOf(a.outline)) > std::abs(AreaOf(b.outline));
  });
  return out;
}

double AreaOf(const std::vector<Vec2>& polygon) {
  double twice = 0.0;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return 0.5 * twice;
}

bool IsInside(const std::vector<Vec2>& polygon, const Vec2& p) {
  bool inside = false;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    if ((a.y() > p.y()) != (b.y() > p.y()) &&
        p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) {
      inside = !inside;
    }
  }
  return inside;
}

double OffBorder(const std::vector<Vec2>& polygon, const Vec2& p) {
  double nearest = 1e300;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    const Vec2 run = b - a;
    const double share =
        std::clamp((p - a).dot(run) / std::max(run.squaredNorm(), 1e-300), 0.0, 1.0);
    nearest = std::min(nearest, (a + share * run - p).norm());
  }
  return nearest;
}

}  // namespace holeward
