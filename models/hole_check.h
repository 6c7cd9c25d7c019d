// The check of one stage of one hole.
#pragma once

#include <optional>
#include <vector>

#include "geometry/checked.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/tolerance.h"
#include "models/job.h"
#include "models/surroundings.h"

namespace holeward {

/// The direction the tip travels from a place of given outward normal, as the job says.
/// Errors (job): a direction word the job's side does not know, a lean along the normal, or an axis
/// that does not go into the part at `normal`.
[[nodiscard]] Result<AxisRule> AxisOf(const AxisRow& axis, Side described_side, const Vec3& normal);

/// What every stage of a drill point is judged with.
struct HoleSite {
  const Job& job;
  const Scene& scene;
  const Part& part;
  const Surroundings& surroundings;
  const PointRow& row;
  const PlacedPoint& placed;
};

/// Checks stage `stage` (0-based) of a drill point.
[[nodiscard]] HoleCheck CheckStage(const HoleSite& site, std::size_t stage);

}  // namespace holeward
