// The obstacles of a large scene that a tool or a drill can have to do with, found by their boxes.
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

#include "geometry/access.h"
#include "geometry/box_tree.h"
#include "geometry/near_wall.h"
#include "geometry/obstacle.h"
#include "geometry/piece.h"

namespace holeward {

/// Everything a drill can occupy in any pose: what `reach` says, seen along the frame's axis, up to
/// `farthest` (mm).
struct PosesReach {
  AxisFrame frame;
  Reach reach;
  double farthest = 0.0;
};

/// The box round all an obstacle may be, its patches grown by what they may be off; one without
/// bounds if a number of it is not finite.
[[nodiscard]] UprightBox BoxOf(const Obstacle& obstacle);

/// Obstacles chosen, as places in the list they were chosen from, in its order.
struct Chosen {
  std::vector<std::size_t> indices;
  std::size_t looked_at = 0;  ///< boxes looked at to find them
};

/// Obstacles kept with their boxes.
class ObstacleField {
 public:
  /// True for an obstacle that counts.
  using Counts = std::function<bool(std::size_t index)>;

  ObstacleField() = default;
  explicit ObstacleField(std::vector<Obstacle> obstacles);

  [[nodiscard]] const std::vector<Obstacle>& all() const { return obstacles_; }
  [[nodiscard]] Chosen All(const Counts& counts) const;
  /// Those of which a place may be the nearest to the tool: AccessOf them is AccessOf all. All of
  /// them where a number is not finite.
  [[nodiscard]] Chosen NearestTo(const ToolRoom& tool, const Counts& counts) const;
  /// Those that the drill can reach; what is left out, it cannot.
  [[nodiscard]] Chosen Within(const PosesReach& drill, const Counts& counts) const;

 private:
  std::vector<Obstacle> obstacles_;
  BoxTree tree_;
};

}  // namespace holeward
