// What is drawn flat over the bodies: points with names and verdicts, tapes and what they read.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "viewer/line_of_sight.h"
#include "viewer/scene_shape.h"
#include "viewer/window/projection.h"
#include "viewer/window/view_overlay.h"
#include "viewer/window_model.h"

namespace holeward {

/// A tape laid between two picked places.
struct ShownReading {
  std::vector<Vec3> path;  ///< vehicle axes
  std::string words;
};

struct PointLayer {
  std::vector<ShapePoint> points;
  std::optional<ChosenPoint> chosen;
  std::optional<ShownReading> reading;
  std::string notice;  ///< what must be known of the whole picture; empty: nothing
  bool inches = false;
  bool inside = false;  ///< the skins are seen through: points of their far side show too
  LineOfSight sight;    ///< what hides what

  [[nodiscard]] bool IsChosen(const ShapePoint& point) const {
    return chosen == ChosenPoint{point.name, point.side};
  }
  /// The point is on a side of its part that is seen, and nothing stands before it.
  [[nodiscard]] bool IsSeen(const ShapePoint& point, const Projection& seen) const;

  void Paint(ViewOverlay& overlay, const Projection& seen) const;
};

}  // namespace holeward
