// Arcs of circles, and surfaces ruled between them, as weighted poles: exact.
#pragma once

#include <array>

#include "geometry/bezier.h"
#include "geometry/vec.h"

namespace holeward {

using ArcPoles = std::array<Eigen::Vector4d, 3>;

/// A place as a pole of this weight.
[[nodiscard]] inline Eigen::Vector4d Pole(const Vec3& place, double weight) {
  return {weight * place.x(), weight * place.y(), weight * place.z(), weight};
}

/// The shorter arc from centre + a to centre + b, of less than half a circle.
/// @param a, b of one length, mm; both 0: the centre alone, which wants a weight
/// @param cos_half the cosine of half the angle between them, the weight of the middle pole
/// Source: the standard form of a circular arc as a rational quadratic, Piegl and Tiller, The NURBS
/// Book, section 7.3 (from memory).
[[nodiscard]] inline ArcPoles Arc(const Vec3& centre, const Vec3& a, const Vec3& b,
                                  double cos_half) {
  return {Pole(centre + a, 1.0), Pole(centre + (a + b) / (2.0 * cos_half * cos_half), cos_half),
          Pole(centre + b, 1.0)};
}

/// Ruled between two arcs of equal weights.
[[nodiscard]] inline BezierPatch Ruled(const ArcPoles& first, const ArcPoles& second) {
  BezierPatch patch;
  patch.degree_u = 2;
  patch.degree_v = 1;
  for (std::size_t i = 0; i < 3; ++i) {
    patch.poles.push_back(first[i]);
    patch.poles.push_back(second[i]);
  }
  return patch;
}

}  // namespace holeward
