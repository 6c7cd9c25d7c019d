#include "geometry/develop_shape.h"

#include <algorithm>
#include <cmath>

#include <clipper.hpp>

#include "geometry/polygon.h"

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

// Polygons of either hand alike.
ClipperLib::Path ToOutline(const std::vector<Vec2>& polygon) {
  ClipperLib::Path path = ToPath(polygon);
  if (!ClipperLib::Orientation(path)) ClipperLib::ReversePath(path);
  return path;
}

std::vector<ClippedRegion> Combined(ClipperLib::ClipType how, const std::vector<Vec2>& outline,
                                    const std::vector<std::vector<Vec2>>& others) {
  ClipperLib::Clipper clipper;
  clipper.AddPath(ToOutline(outline), ClipperLib::ptSubject, true);
  for (const std::vector<Vec2>& polygon : others) {
    clipper.AddPath(ToOutline(polygon), ClipperLib::ptClip, true);
  }
  ClipperLib::PolyTree tree;
  clipper.Execute(how, tree, ClipperLib::pftNonZero, ClipperLib::pftNonZero);
  std::vector<ClippedRegion> out;
  for (const ClipperLib::PolyNode* node : tree.Childs) {
    out.push_back({FromPath(node->Contour), {}});
    for (const ClipperLib::PolyNode* hole : node->Childs) {
      out.back().holes.push_back(FromPath(hole->Contour));
    }
  }
  std::sort(out.begin(), out.end(), [](const ClippedRegion& a, const ClippedRegion& b) {
    return std::abs(AreaOf(a.outline)) > std::abs(AreaOf(b.outline));
  });
  return out;
}

}  // namespace

std::vector<ClippedRegion> CutFrom(const std::vector<Vec2>& outline,
                                   const std::vector<std::vector<Vec2>>& removed) {
  return Combined(ClipperLib::ctDifference, outline, removed);
}

std::vector<ClippedRegion> JoinedTo(const std::vector<Vec2>& outline,
                                    const std::vector<std::vector<Vec2>>& added) {
  return Combined(ClipperLib::ctUnion, outline, added);
}

}  // namespace holeward
