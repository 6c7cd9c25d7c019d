// Walls of a straight round tube and a straight box as exact patches, for the clearance tests.
#pragma once

#include <cmath>
#include <vector>

#include "geometry/clearance.h"
#include "geometry/obstacle.h"

namespace holeward::testing {

/// The curved quarter walls of a cylinder about the y axis, its ends left out.
inline std::vector<BezierPatch> Sleeve(double radius, double y_from, double y_to) {
  std::vector<BezierPatch> walls;
  for (BezierPatch& patch : CylinderPatches({0, y_from, 0}, {0, y_to, 0}, radius)) {
    const auto length = (patch.poles[0] - patch.poles[1]).head<3>().norm();
    if (std::abs(length - (y_to - y_from)) < 1e-9) walls.push_back(patch);
  }
  return walls;
}

/// The ring between two circles about the y axis.
inline std::vector<BezierPatch> Ring(double outer, double inner, double y) {
  std::vector<BezierPatch> ring;
  const double w = std::sqrt(0.5);
  for (int k = 0; k < 4; ++k) {
    const double c = k % 2 == 0 ? (k == 0 ? 1 : -1) : 0;
    const double s = k % 2 == 1 ? (k == 1 ? 1 : -1) : 0;
    const Vec3 a(c, 0, s);
    const Vec3 b(-s, 0, c);
    BezierPatch patch{2, 1, {}, 0.0};
    for (int i = 0; i < 3; ++i) {
      const Vec3 arm = i == 0 ? a : i == 1 ? Vec3(a + b) : b;
      const double weight = i == 1 ? w : 1.0;
      for (const double radius : {outer, inner}) {
        Eigen::Vector4d pole;
        pole << weight * (radius * arm + Vec3(0, y, 0)), weight;
        patch.poles.push_back(pole);
      }
    }
    ring.push_back(patch);
  }
  return ring;
}

inline Obstacle Wall(FaceRole role, std::vector<BezierPatch> patches) {
  return {"part", ObstacleKind::wall, role, std::move(patches)};
}

/// A tube about the y axis from -half to half.
inline std::vector<Obstacle> Tube(double outside, double wall, double half = 150.0) {
  const double r = 0.5 * outside;
  std::vector<BezierPatch> ends = Ring(r, r - wall, -half);
  for (const BezierPatch& patch : Ring(r, r - wall, half)) ends.push_back(patch);
  std::vector<Obstacle> tube{Wall(FaceRole::outer, Sleeve(r, -half, half)),
                             Wall(FaceRole::inner, Sleeve(r - wall, -half, half)),
                             Wall(FaceRole::end, ends)};
  for (Obstacle& obstacle : tube) obstacle.round = true;
  return tube;
}

/// The four sides of a box about the y axis, half sizes x and z, corners sharp.
inline std::vector<BezierPatch> BoxSides(double x, double z, double half) {
  const auto side = [&](double x1, double z1, double x2, double z2) {
    return BilinearPatch({x1, -half, z1}, {x2, -half, z2}, {x1, half, z1}, {x2, half, z2}, 0.0);
  };
  return {side(-x, z, x, z), side(x, z, x, -z), side(x, -z, -x, -z), side(-x, -z, -x, z)};
}

/// An open box about the y axis, outside sizes width (x) and height (z).
inline std::vector<Obstacle> Box(double width, double height, double wall, double half = 150.0) {
  const double x = 0.5 * width;
  const double z = 0.5 * height;
  return {Wall(FaceRole::outer, BoxSides(x, z, half)),
          Wall(FaceRole::inner, BoxSides(x - wall, z - wall, half))};
}

/// A bar along y through (x, z).
inline Obstacle Bar(double x, double z, double radius, const char* name = "bar",
                    double half = 140.0) {
  return {name, ObstacleKind::inner, FaceRole::inner,
          CylinderPatches({x, -half, z}, {x, half, z}, radius)};
}

inline Pose Down(double x, double z) { return {{x, 0, z}, {0, 0, -1}}; }

}  // namespace holeward::testing
