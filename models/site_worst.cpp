#include "models/site_worst.h"

#include <string>
#include <utility>

#include "geometry/tolerance.h"

namespace holeward {
namespace {

WorstDepths Failed(std::string why) {
  WorstDepths worst;
  worst.failure = std::move(why);
  return worst;
}

/// The worst pose of all zones.
WorstDepths WorstPoseOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                            const Drill& drill, WorstPoseSearch search) {
  for (const NominalPlace& zone : ZonesToJudge(site.placed)) {
    const PoseZone poses{site.part.skin.get(), zone, zone.zone.radius,
                         site.job.marking.tilt_rad.Greatest(), site.axis};
    search.so_far = WorstPoseOver(obstacles, poses, drill, search);
    if (!search.so_far.ok()) return search.so_far;
  }
  return search.so_far;
}

/// True if the search came as near to a pose as it is asked to.
bool IsSettled(const WorstDepths& worst, double gap) {
  const bool free = worst.lower >= worst.upper - gap;  // infinite both: nothing is met
  return worst.ok() && free && worst.breakthrough - worst.breakthrough_attained <= gap;
}

/// All poses of a cell enclosed in one cone.
WorstClearance WorstConesOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                                const Drill& drill, double side) {
  WorstSearch cones{side, site.surroundings.diagonal(), {}};
  for (const std::vector<PoseCone>& poses : site.poses) {
    cones.so_far = WorstOver(obstacles, poses, drill, cones);
    if (!cones.so_far.ok()) break;
  }
  return cones.so_far;
}

}  // namespace

WorstDepths WorstOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                        const Drill& drill, double side) {
  WorstPoseSearch search;
  search.side = side;
  search.horizon = site.surroundings.diagonal();
  search.stop = site.stop;
  WorstDepths worst = WorstPoseOfSite(site, obstacles, drill, search);
  if (IsSettled(worst, search.gap) || site.stop.stop_requested()) return worst;
  const WorstClearance cones = WorstConesOfSite(site, obstacles, drill, side);
  if (!cones.ok()) return Failed(cones.failure);
  search.proven_free = cones.free_depth;
  search.proven_through = cones.breakthrough;
  worst = WorstPoseOfSite(site, obstacles, drill, search);
  if (worst.body.empty()) worst.body = cones.body;
  return worst;
}

WorstDepths WorstFreeOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                            const Drill& drill, const ProvenDepths& proven) {
  WorstPoseSearch search;
  search.side = proven.side.value_or(site.job.limits.side);
  search.horizon = site.surroundings.diagonal();
  search.gap = proven.gap;
  search.proven_free = proven.free;
  search.proven_through = proven.through;
  search.start = proven.worst;
  search.so_far.breakthrough = search.so_far.breakthrough_attained = proven.through;
  return WorstPoseOfSite(site, obstacles, drill, search);
}

}  // namespace holeward
