// Holes that were drilled by an older job, judged by a newer one.
#pragma once

#include <string>
#include <vector>

#include "models/checking.h"
#include "models/job.h"

namespace holeward {

/// A job as it was worked by, for one side.
struct DoneSide {
  const Job& job;
  const std::vector<PlacedPoint>& points;  ///< placed, in the frame of the described side
  const std::vector<HoleCheck>& holes;     ///< checked: their stops are those that were set
};

/// Farther than this from the new skin, mm, a hole is not where the new job has metal to judge.
inline constexpr double kDoneOffSkin = 0.05;

/// Checks the holes of an older job against the solids, tools and limits of a newer one: each at
/// its old place and in its old marking zone, with the stops it was drilled with.
/// @param now the newer job; @param scene built from it for `side`; @param points_of the older job
/// of the same side, with the same described side
/// @return one HoleCheck a stage; what cannot be judged (its part is gone, its place is off the
///         new skin) is unproven and says why
[[nodiscard]] std::vector<HoleCheck> CheckDoneHoles(const Job& now, const Scene& scene,
                                                    const DoneSide& done, Side side);

}  // namespace holeward
