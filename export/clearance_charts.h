// The margin's histogram with the limit marked, and the bars of what eats the margin.
#pragma once

#include <vector>

#include "export/clearance_input.h"
#include "export/drawing.h"
#include "export/label_placer.h"

namespace holeward {

/// Draws the histogram of the sampled margins: the limit as a heavy dashed line, the worst bound as
/// a triangle below the axis. Without samples, the sentence why. @pre everything finite
void DrawHistogram(const ClearanceHole& hole, double limit, const Box& room, Drawing* drawing);

/// Draws two bars an error, the largest gain first: what the worst margin gains with that error at
/// 0 (black) and its share of the variance (outlined). Errors beyond the room are summed up in a
/// sentence. @pre everything finite
void DrawShares(const ClearanceHole& hole, const Box& room, Drawing* drawing);

/// A round step that divides `range` into 3 to 8 parts: 1, 2 or 5 times a power of ten.
/// @param range > 0
[[nodiscard]] double RoundStep(double range);

}  // namespace holeward
