// What stands between a place of the vehicle and the eye.
#pragma once

#include <vector>

#include <Eigen/Geometry>

#include "geometry/vec.h"
#include "viewer/scene_shape.h"

namespace holeward {

/// The way from a place to the eye, vehicle axes.
struct SightLine {
  Vec3 place = Vec3::Zero();
  Vec3 to_eye = Vec3::UnitZ();  ///< unit
  double distance = 0.0;        ///< mm to the eye; infinite in parallel projection
};

/// The surfaces of bodies, in boxes so that few are looked at for a line.
class LineOfSight {
 public:
  LineOfSight() = default;
  explicit LineOfSight(const std::vector<ShapeBody>& bodies);

  /// True if a surface is met on the way, from kClearOfSkin on: the skin a place lies on does not
  /// hide it. @param through_skins skins are seen through, all else is not
  [[nodiscard]] bool Hidden(const SightLine& line, bool through_skins) const;

  /// The facets of a curved skin lie this far from it at most, seen anything but edge on, mm.
  static constexpr double kClearOfSkin = 1.5;

 private:
  /// Surfaces that lie together.
  struct Bunch {
    bool skin = false;
    Eigen::AlignedBox3d box;
    std::vector<std::array<Vec3, 4>> quads;
  };
  std::vector<Bunch> bunches_;
};

}  // namespace holeward
