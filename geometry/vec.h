// Vectors and constants used throughout. Lengths are millimetres, angles radians; vehicle axes are
// those of ISO 8855: x forward, y left, z up.
#pragma once

#include <numbers>

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace holeward {

using Vec2 = Eigen::Vector2d;
using Vec3 = Eigen::Vector3d;

inline constexpr double kPi = std::numbers::pi;
inline constexpr double kDegree = kPi / 180.0;
inline constexpr double kInch = 25.4;  ///< mm

/// The mirror image about the vehicle's centre plane (y = 0).
[[nodiscard]] inline Vec3 Mirrored(const Vec3& p_world) {
  return {p_world.x(), -p_world.y(), p_world.z()};
}

}  // namespace holeward
