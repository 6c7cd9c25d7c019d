// From where the window looks at the vehicle: turned about its upright axis and tilted, never
// rolled.
#pragma once

#include <algorithm>
#include <cmath>

#include "geometry/vec.h"

namespace holeward {

enum class Look { front, rear, top, underside, left, right, three_quarter };

/// The direction to the eye as two angles, and what it looks at.
struct Eye {
  double yaw = 0.0;    ///< radians, 0 in front of the vehicle, toward its left
  double pitch = 0.0;  ///< radians, up; within a quarter turn
  Vec3 focus = Vec3::Zero();
  double height = 800.0;  ///< of what the window shows at the focus, mm

  [[nodiscard]] bool operator==(const Eye& other) const = default;

  /// Unit, from the focus to the eye.
  [[nodiscard]] Vec3 Toward() const {
    return {std::cos(pitch) * std::cos(yaw), std::cos(pitch) * std::sin(yaw), std::sin(pitch)};
  }
  [[nodiscard]] Vec3 Up() const {
    return {-std::sin(pitch) * std::cos(yaw), -std::sin(pitch) * std::sin(yaw), std::cos(pitch)};
  }
  [[nodiscard]] Vec3 Right() const { return Up().cross(Toward()); }

  void From(Look look) {
    constexpr double kQuarter = 0.5 * kPi;
    switch (look) {
      case Look::front: yaw = 0.0, pitch = 0.0; break;
      case Look::rear: yaw = kPi, pitch = 0.0; break;
      case Look::top: yaw = kPi, pitch = kQuarter; break;  // front up
      case Look::underside: yaw = 0.0, pitch = -kQuarter; break;
      case Look::left: yaw = kQuarter, pitch = 0.0; break;
      case Look::right: yaw = -kQuarter, pitch = 0.0; break;
      case Look::three_quarter: yaw = 0.75 * kPi, pitch = 0.45; break;  // from behind, left, above
    }
  }
  void Turn(double by_yaw, double by_pitch) {
    yaw += by_yaw;
    pitch = std::clamp(pitch + by_pitch, -0.5 * kPi, 0.5 * kPi);
  }
};

}  // namespace holeward
