// Where the names of points go in a picture, so that none covers another.
#pragma once

#include <vector>

#include <Eigen/Geometry>

#include "geometry/vec.h"

namespace holeward {

/// A name to be put beside its place, in pixels, any direction of y.
struct LabelWish {
  Vec2 at = Vec2::Zero();    ///< the place it belongs to
  Vec2 size = Vec2::Zero();  ///< of its box
};

/// The lower corner of each label's box: the nearest free place round its own, inside the window
/// where there is one; deterministic. Earlier labels choose first.
/// @param keep_off radius round each place that no label covers, pixels
[[nodiscard]] std::vector<Vec2> PlaceLabels(const std::vector<LabelWish>& labels,
                                            const Vec2& window, double keep_off);

}  // namespace holeward
