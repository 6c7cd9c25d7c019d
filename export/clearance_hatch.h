// Hatching of regions and clipping of lines, for section drawings.
#pragma once

#include <utility>
#include <vector>

#include "export/drawing.h"
#include "export/label_placer.h"

namespace holeward {

using Loops = std::vector<std::vector<Vec2>>;
using Segment2 = std::pair<Vec2, Vec2>;

/// The parts of lines at `turn_rad` and `spacing` mm apart that lie inside an odd number of
/// `loops`, within `window` and in none of the polygons `holes`.
/// Source: ISO 128-3 (hatching: continuous narrow lines, preferably at 45 degrees).
/// @param spacing across the lines, mm, > 0
[[nodiscard]] std::vector<Segment2> Hatch(const Loops& loops, double turn_rad, double spacing,
                                          const Box& window, const Loops& holes);

/// A polyline cut to what lies within `window` and in none of the polygons `holes`: its pieces in
/// order, each as long as it can be.
[[nodiscard]] Loops Visible(const std::vector<Vec2>& points, bool closed, const Box& window,
                            const Loops& holes);

}  // namespace holeward
