#include "viewer/picture_edges.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <map>
#include <utility>

namespace holeward {
namespace {

constexpr double kSamePlace = 1e-3;    // mm: facets made one by one share corners to this
constexpr double kCreaseCosine = 0.7;  // facets that turn more than 45 degrees meet in a crease

using Corner = std::array<std::int64_t, 3>;

Corner CornerOf(const Vec3& p) {
  Corner corner;
  for (int i = 0; i < 3; ++i) {
    corner[static_cast<std::size_t>(i)] = std::llround(p[i] / kSamePlace);
  }
  return corner;
}

}  // namespace

std::vector<PictureEdge> EdgesOf(const PictureMesh& mesh) {
  std::map<std::pair<Corner, Corner>, const Facet*> open;
  std::vector<PictureEdge> edges;
  for (const Facet& facet : mesh.facets) {
    for (std::size_t i = 0; i < 4; ++i) {
      const Vec3& a = facet.corners[i];
      const Vec3& b = facet.corners[(i + 1) % 4];
      Corner from = CornerOf(a);
      Corner to = CornerOf(b);
      if (from == to) continue;
      if (to < from) std::swap(from, to);
      const auto [at, fresh] = open.try_emplace({from, to}, &facet);
      if (fresh) continue;
      edges.push_back({{a, b}, {at->second->normal, facet.normal}});
      open.erase(at);
    }
  }
  return edges;
}

bool ShowsFrom(const PictureEdge& edge, const Vec3& eye) {
  const bool first = edge.normals[0].dot(eye) > 0.0;
  const bool second = edge.normals[1].dot(eye) > 0.0;
  if (first != second) return true;
  return first && edge.normals[0].dot(edge.normals[1]) < kCreaseCosine;
}

}  // namespace holeward
