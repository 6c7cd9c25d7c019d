// A stage of a hole with something changed: another stop, a drill, an axis, a steadier hand.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "geometry/checked.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "models/hole_check.h"
#include "models/job.h"
#include "models/surroundings.h"

namespace holeward {

/// What a stage is judged from; a copy, free to change.
struct HoleVariant {
  Job job;  ///< what a hole is judged by alone (JudgedBy)
  PointRow row;
  PlacedPoint placed;
  std::size_t stage = 0;
};

/// A job without its parts, points and sheets: the limits, errors and tools a hole is judged by. It
/// is copied for every variant, however large the job.
[[nodiscard]] Job JudgedBy(const Job& job);

/// The verdict on a variant. `surroundings` must be those of the variant's marking.
[[nodiscard]] HoleCheck CheckVariant(const HoleVariant& variant, const Scene& scene,
                                     const Part& part, const Surroundings& surroundings);

/// True if the limits are kept and the drill goes through, whatever is assumed only.
[[nodiscard]] bool KeepsLimits(const HoleCheck& check, const Limits& limits);

/// Takes a share of every zone away: `left` of a part of each zone's radius stays (0: none of it).
void ShrinkZones(PlacedPoint& placed, const std::function<double&(ZoneMakeup&)>& part, double left);

}  // namespace holeward
