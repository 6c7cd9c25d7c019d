// The worst depths of one drill over all that a hand may do at a site.
#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "geometry/drill.h"
#include "geometry/obstacle.h"
#include "geometry/worst_pose.h"
#include "models/hole_site.h"

namespace holeward {

/// The worst over every zone of a site, as an interval: the search for the pose itself
/// (WorstPoseOver). What that leaves open by more than its gap is searched again, from what
/// enclosing all poses of a cell in one cone proves (WorstOver); never looser than that then.
/// @param site made ready by MakeSite; @param obstacles those of its part
/// @param side as in ClearanceOf, mm
/// Failures: those of WorstOver and WorstPoseOver.
[[nodiscard]] WorstDepths WorstOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                                      const Drill& drill, double side);

/// What is certified of a site beforehand, and what is asked for, mm.
struct ProvenDepths {
  double through = std::numeric_limits<double>::infinity();  ///< no pose needs more
  double free = -std::numeric_limits<double>::infinity();    ///< no pose meets anything shallower
  double gap = 0.04;                          ///< how near a pose the search is to come
  std::optional<double> side = std::nullopt;  ///< as in ClearanceOf; nothing: the job's limit
  std::optional<Pose> worst = std::nullopt;   ///< the worst of the poses that it is proven for
};

/// The worst free depth alone, by the search for the pose: for a site whose poses and metal are all
/// among those that `proven` holds for. The break-through depth is `proven.through`, unsearched.
/// Arguments and failures else as for WorstOfSite.
[[nodiscard]] WorstDepths WorstFreeOfSite(const HoleSite& site,
                                          const std::vector<Obstacle>& obstacles,
                                          const Drill& drill, const ProvenDepths& proven);

}  // namespace holeward
