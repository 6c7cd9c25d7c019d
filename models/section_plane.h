// The plane in which a hole is shown cut, and how deep its drill stands.
#pragma once

#include "geometry/checked.h"
#include "geometry/clearance.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/section_cut.h"
#include "models/job.h"

namespace holeward {

/// The intended pose of a drill at a point, in the frame of the described side.
/// Errors: those of AxisOf.
[[nodiscard]] Result<Pose> IntendedPose(const Job& job, const PointRow& row,
                                        const PlacedPoint& placed);

/// The plane through the drill's axis, as square to the part's centre line as the axis allows.
/// @param turn_rad turned about the axis by this
/// Errors: those of CutPlane::Through.
[[nodiscard]] Result<CutPlane> SectionPlane(const Part& part, const SkinPlace& place,
                                            const Pose& pose, double turn_rad = 0.0);

/// Tip depth at which a drill is drawn: at its stop, or after the run-on, mm.
[[nodiscard]] double SetDepth(const Job& job, const HoleCheck& check);

}  // namespace holeward
