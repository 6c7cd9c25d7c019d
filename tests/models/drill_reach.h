// What a drill meets in a bare triangulation of a body, told without the code under test: no skin,
// no named faces, no patches.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

#include <BRepMesh_IncrementalMesh.hxx>
#include <BRep_Tool.hxx>
#include <Poly_Triangulation.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Shape.hxx>

#include "geometry/vec.h"

namespace holeward::testing_tools {

using Triangle = std::array<Vec3, 3>;

/// The triangles of a body's faces, outward or not, none farther from its face than `deflection`
/// mm.
inline std::vector<Triangle> TrianglesOf(const TopoDS_Shape& body, double deflection) {
  const BRepMesh_IncrementalMesh mesh(body, deflection, false, 0.2);
  std::vector<Triangle> all;
  for (TopExp_Explorer e(body, TopAbs_FACE); e.More(); e.Next()) {
    TopLoc_Location at;
    const auto faces = BRep_Tool::Triangulation(TopoDS::Face(e.Current()), at);
    if (faces.IsNull()) return {};
    const auto place = [&](int i) {
      const gp_Pnt p = faces->Node(i).Transformed(at);
      return Vec3(p.X(), p.Y(), p.Z());
    };
    for (int i = 1; i <= faces->NbTriangles(); ++i) {
      int a = 0, b = 0, c = 0;
      faces->Triangle(i).Get(a, b, c);
      if (e.Current().Orientation() == TopAbs_REVERSED) std::swap(b, c);
      all.push_back({place(a), place(b), place(c)});
    }
  }
  return all;
}

/// Volume inside closed triangles by the divergence theorem, mm³.
inline double VolumeOf(const std::vector<Triangle>& triangles) {
  double six = 0.0;
  for (const Triangle& t : triangles) six += t[0].dot(t[1].cross(t[2]));
  return six / 6.0;
}

/// A drill's travel: straight from `entry` along the unit vector `way`, a cylinder of `radius` with
/// a point of half angle k, cot = cot k.
struct Travel {
  Vec3 entry;
  Vec3 way;
  double radius = 0.0;
  double cot = 0.0;
};

/// Least depth of the tip at which metal deeper than `from` is met, mm, to within 0.2 mm (never
/// shallower than the truth by more); 1e9 if none is.
inline double MeetsAt(const std::vector<Triangle>& triangles, const Travel& travel, double from) {
  double least = 1e9;
  std::vector<Triangle> open = triangles;
  while (!open.empty()) {
    const Triangle t = open.back();
    open.pop_back();
    const Vec3 middle = (t[0] + t[1] + t[2]) / 3.0;
    double reach = 0.0;
    for (const Vec3& corner : t) reach = std::max(reach, (corner - middle).norm());
    const Vec3 off = middle - travel.entry;
    const double depth = off.dot(travel.way);
    const double aside = (off - depth * travel.way).norm();
    if (aside - reach > travel.radius || depth + reach < from || depth - reach > least) continue;
    if (reach > 0.1) {  // in two by its longest side
      std::size_t longest = 0;
      for (std::size_t i = 1; i < 3; ++i) {
        if ((t[(i + 1) % 3] - t[i]).norm() > (t[(longest + 1) % 3] - t[longest]).norm()) {
          longest = i;
        }
      }
      const Vec3& a = t[longest];
      const Vec3& b = t[(longest + 1) % 3];
      const Vec3& c = t[(longest + 2) % 3];
      const Vec3 half = 0.5 * (a + b);
      open.push_back({a, half, c});
      open.push_back({half, b, c});
      continue;
    }
    if (aside > travel.radius || depth < from) continue;
    least = std::min(least, depth + aside * travel.cot);
  }
  return least;
}

/// Depths at which the axis of a travel crosses triangles, in order; where it crosses an edge, of
/// both beside it.
inline std::vector<double> CrossingsOf(const std::vector<Triangle>& triangles,
                                       const Travel& travel) {
  constexpr double kEdge = 1e-9;  // else rounding may have it miss both
  std::vector<double> depths;
  for (const Triangle& t : triangles) {
    const Vec3 a = t[1] - t[0];
    const Vec3 b = t[2] - t[0];
    const Vec3 h = travel.way.cross(b);
    const double det = a.dot(h);
    if (std::abs(det) < 1e-12) continue;
    const Vec3 s = travel.entry - t[0];
    const double u = s.dot(h) / det;
    const Vec3 q = s.cross(a);
    const double v = travel.way.dot(q) / det;
    if (u < -kEdge || v < -kEdge || u + v > 1.0 + kEdge) continue;
    depths.push_back(b.dot(q) / det);
  }
  std::sort(depths.begin(), depths.end());
  return depths;
}

/// Thickness of the wall the drill enters by its axis; nothing where the mark is not on metal.
inline std::optional<double> WallAt(const std::vector<Triangle>& triangles, const Travel& travel) {
  std::vector<double> depths = CrossingsOf(triangles, travel);
  std::erase_if(depths, [](double d) { return d < -0.3; });
  if (depths.empty() || depths.front() > 0.3) return std::nullopt;
  for (const double depth : depths) {
    if (depth > depths.front() + 0.05) return depth;
  }
  return std::nullopt;
}

}  // namespace holeward::testing_tools
