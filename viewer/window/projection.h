// Where places of the vehicle come to lie in the window, as the picture in three dimensions draws
// them.
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/vec.h"
#include "viewer/window/eye.h"

namespace holeward {

/// A look at the vehicle in a window of so many pixels.
struct Projection {
  static constexpr double kAngle = 30.0 * kPi / 180.0;  ///< of view in perspective, top to bottom

  Eye eye;
  bool perspective = false;
  int width = 1, height = 1;  ///< of the window, pixels

  /// From the eye to what it looks at, mm, so that `eye.height` fills the window.
  [[nodiscard]] double Distance() const { return 0.5 * eye.height / std::tan(0.5 * kAngle); }

  /// The place in the window: pixels, x to the right and y up. What lies at the eye or behind it in
  /// perspective comes to lie far outside.
  [[nodiscard]] Vec2 OnScreen(const Vec3& p) const {
    const Vec3 way = p - eye.focus;
    double nearer = 1.0;
    if (perspective) {
      const double left = Distance() - way.dot(eye.Toward());
      nearer = Distance() / std::max(left, 1e-3 * Distance());
    }
    const double dots = nearer * height / eye.height;
    return {0.5 * width + dots * way.dot(eye.Right()), 0.5 * height + dots * way.dot(eye.Up())};
  }

  /// From a place to the eye, mm; infinite without perspective.
  [[nodiscard]] double DistanceTo(const Vec3& p) const {
    if (!perspective) return std::numeric_limits<double>::infinity();
    return (eye.focus + Distance() * eye.Toward() - p).norm();
  }

  /// Unit, from a place toward the eye.
  [[nodiscard]] Vec3 ToEye(const Vec3& p) const {
    if (!perspective) return eye.Toward();
    return (eye.focus + Distance() * eye.Toward() - p).normalized();
  }
};

}  // namespace holeward
