// How a picture's places on paper follow from places in the vehicle: parallel projection.
#pragma once

#include "geometry/vec.h"

namespace holeward {

/// The two picture axes and the direction to the eye, orthonormal, and where the picture lies on
/// its paper: `centre` (of the picture plane) comes to the middle.
struct PictureCamera {
  Vec3 right = Vec3::UnitY();
  Vec3 up = Vec3::UnitZ();
  Vec3 eye = Vec3::UnitX();
  Vec2 centre = Vec2::Zero();
  double scale = 1.0;  ///< drawn over true
  double width = 0.0;  ///< mm
  double height = 0.0;

  /// A camera that looks from `toward_viewer` (any length, not zero), up being up as far as it can.
  [[nodiscard]] static PictureCamera From(const Vec3& toward_viewer);

  [[nodiscard]] Vec2 Flat(const Vec3& p) const { return {p.dot(right), p.dot(up)}; }
  /// mm on the paper, x to the right and y down from its upper left.
  [[nodiscard]] Vec2 OnPage(const Vec3& p) const {
    const Vec2 q = scale * (Flat(p) - centre);
    return {0.5 * width + q.x(), 0.5 * height - q.y()};
  }
  /// Nearness to the eye, mm; more is nearer.
  [[nodiscard]] double Depth(const Vec3& p) const { return p.dot(eye); }
};

}  // namespace holeward
