// Access: the room a tool has for itself, outside the part.
#pragma once

#include <limits>
#include <string>
#include <vector>

#include "geometry/obstacle.h"
#include "geometry/vec.h"

namespace holeward {

/// The cylinder a tool occupies: from `base` along `direction` (unit, away from the part).
struct ToolRoom {
  Vec3 base = Vec3::Zero();
  Vec3 direction = Vec3::UnitZ();
  double radius = 0.0;
  double length = 0.0;
};

struct Access {
  std::string failure;  ///< empty: computed
  /// Least distance between the tool and any obstacle, mm; negative: how deep the worst place of an
  /// obstacle's surface lies inside the tool; infinite without obstacles.
  double distance = std::numeric_limits<double>::infinity();
  std::string body;  ///< what is nearest
};

/// Least distance of a tool to obstacles, to 1e-4 mm and never too large (branch and bound on the
/// patches' control points, their `grown` taken off; `shift` is not).
/// Failures: numbers that are not finite, a search that did not settle.
[[nodiscard]] Access AccessOf(const std::vector<Obstacle>& obstacles, const ToolRoom& tool);

}  // namespace holeward
