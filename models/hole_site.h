// Where and how a hole may be drilled: its axis, every pose a hand may give the drill, and what
// they can meet.
#pragma once

#include <limits>
#include <stop_token>
#include <string>
#include <vector>

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
  AxisRule axis;
  std::vector<std::vector<PoseCone>> poses;  ///< every pose of the marking zones, zone by zone
  /// Once asked to stop, a check of the site may find less than there is to find: its result is to
  /// be thrown away.
  std::stop_token stop = {};
};

/// Readies a site: its axis and every pose a hand may give the drill.
/// Errors: those of AxisOf; a marking zone without bound, or one that cannot be covered.
[[nodiscard]] Result<HoleSite> MakeSite(HoleSite site);

/// The zones to judge: those of every nominal place, one that lies in another (or within 0.05 mm of
/// doing so, the other then widened) left out.
[[nodiscard]] std::vector<NominalPlace> ZonesToJudge(const PlacedPoint& placed);

/// The laps of double wall that a drill or probe of `radius` (mm) may meet in any pose of a site
/// made ready.
[[nodiscard]] std::vector<const Lap*> LapsMet(const HoleSite& site, double radius);

/// What a drill or probe up to `diameter` (mm) can meet in any pose of a site made ready.
/// @param deepest what lies beyond this depth may be left out, mm; all up to the horizon otherwise
[[nodiscard]] NearObstacles ObstaclesOf(const HoleSite& ready, double diameter,
                                        double deepest = std::numeric_limits<double>::infinity());

}  // namespace holeward
