// How far a place of a part is from its nearest edge, by tape.
#pragma once

#include <limits>
#include <string>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/tape.h"

namespace holeward {

struct EdgeDistance {
  std::string failure;                                        ///< empty: computed
  double distance = std::numeric_limits<double>::infinity();  ///< mm, by tape; 0 on the edge
  std::string edge;                                           ///< its name
};

/// Tape from a place to the nearest end, lip, sharp corner, fitting outline or hole rim.
///
/// A sharp corner is the theoretical one, in which the two flats beside a rounded corner meet,
/// whatever its radius: the tape to the tangent line and the set-back, as corners are read
/// everywhere. It is the nearer, safer reading. A place on a corner's curve is at the edge. Corners
/// that turn less than 25 degrees are none. An eye counts by its section, less its radius.
[[nodiscard]] EdgeDistance EdgeDistanceOf(const Part& part, const TapeSolver& tape,
                                          const SkinPlace& place);

}  // namespace holeward
