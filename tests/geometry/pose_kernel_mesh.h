// Triangles of patches and of a drill, for the mesh libraries the pose kernel is compared with.
#pragma once

#include <array>
#include <cmath>
#include <vector>

#include "geometry/bezier.h"
#include "geometry/vec.h"

namespace holeward::testing {

struct Mesh {
  std::vector<Vec3> places;
  std::vector<std::array<int, 3>> triangles;
};

/// The place of a patch at (u, v) by de Casteljau's algorithm on a copy.
inline Vec3 PlaceOn(const BezierPatch& patch, double u, double v) {
  std::vector<Eigen::Vector4d> poles = patch.poles;
  const int nv = patch.degree_v + 1;
  const auto at = [&](int i, int j) -> Eigen::Vector4d& {
    return poles[static_cast<std::size_t>(i * nv + j)];
  };
  for (int i = 0; i <= patch.degree_u; ++i) {
    for (int level = patch.degree_v; level > 0; --level) {
      for (int j = 0; j < level; ++j) at(i, j) = (1.0 - v) * at(i, j) + v * at(i, j + 1);
    }
  }
  for (int level = patch.degree_u; level > 0; --level) {
    for (int i = 0; i < level; ++i) at(i, 0) = (1.0 - u) * at(i, 0) + u * at(i + 1, 0);
  }
  return at(0, 0).head<3>() / at(0, 0).w();
}

inline void AddPatch(const BezierPatch& patch, int cells, Mesh& mesh) {
  const int first = static_cast<int>(mesh.places.size());
  for (int i = 0; i <= cells; ++i) {
    for (int j = 0; j <= cells; ++j) {
      mesh.places.push_back(
          PlaceOn(patch, static_cast<double>(i) / cells, static_cast<double>(j) / cells));
    }
  }
  for (int i = 0; i < cells; ++i) {
    for (int j = 0; j < cells; ++j) {
      const int k = first + i * (cells + 1) + j;
      mesh.triangles.push_back({k, k + 1, k + cells + 1});
      mesh.triangles.push_back({k + 1, k + cells + 2, k + cells + 1});
    }
  }
}

/// A drill with its tip at the origin, going back along +z; its corners lie on the
/// true drill.
inline Mesh DrillMesh(int sides, double radius, double half_angle, double shank) {
  Mesh mesh;
  const double back = radius / std::tan(half_angle);
  mesh.places.emplace_back(0, 0, 0);
  for (int k = 0; k < sides; ++k) {
    const double t = 2.0 * kPi * k / sides;
    mesh.places.emplace_back(radius * std::cos(t), radius * std::sin(t), back);
    mesh.places.emplace_back(radius * std::cos(t), radius * std::sin(t), shank);
  }
  for (int k = 0; k < sides; ++k) {
    const int a = 1 + 2 * k;
    const int b = 1 + 2 * ((k + 1) % sides);
    mesh.triangles.push_back({0, a, b});
    mesh.triangles.push_back({a, a + 1, b});
    mesh.triangles.push_back({a + 1, b + 1, b});
  }
  return mesh;
}

}  // namespace holeward::testing
