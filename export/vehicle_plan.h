// A small plan of a vehicle from above that shows which corner a sheet is for.
#pragma once

#include <optional>

#include "export/box.h"
#include "export/drawing.h"
#include "models/job.h"
#include "models/words.h"

namespace holeward {

/// The corner concerned. Without an axle nothing is said about front or rear: the whole side.
struct PlanCorner {
  Side side = Side::left;
  std::optional<Axle> axle;
};

/// Width a plan needs for its height, mm.
[[nodiscard]] double VehiclePlanWidth(double height);

/// Draws the plan as high as the box, its left edge on the box's: outline and wheels seen from
/// above, FRONT in words at the top, the corner concerned in black. Black alone, no text but FRONT.
/// @param box  at least 14 mm high
void DrawVehiclePlan(const Box& box, const PlanCorner& corner, const Words& words,
                     Drawing* drawing);

}  // namespace holeward
