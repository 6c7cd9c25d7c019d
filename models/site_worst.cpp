#include "models/site_worst.h"

#include <cmath>
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

}  // namespace

WorstDepths WorstOfSite(const HoleSite& site, const std::vector<Obstacle>& obstacles,
                        const Drill& drill, double side) {
  WorstSearch cones{side, site.surroundings.diagonal(), {}};
  cones.so_far.breakthrough = site.proven_through.value_or(0.0);
  for (const std::vector<PoseCone>& poses : site.poses) {
    cones.so_far = WorstOver(obstacles, poses, drill, cones);
    if (!cones.so_far.ok()) return Failed(cones.so_far.failure);
  }
  WorstPoseSearch search;
  search.side = side;
  search.horizon = cones.horizon;
  search.proven_free = cones.so_far.free_depth;
  search.proven_through = cones.so_far.breakthrough;
  if (site.proven_through) {
    search.so_far.breakthrough = search.so_far.breakthrough_attained = search.proven_through;
  }
  for (const NominalPlace& zone : ZonesToJudge(site.placed)) {
    const PoseZone poses{site.part.skin.get(), zone, zone.zone.radius,
                         site.job.marking.tilt_rad.Greatest(), site.axis};
    search.so_far = WorstPoseOver(obstacles, poses, drill, search);
    if (!search.so_far.ok()) return search.so_far;
  }
  WorstDepths worst = search.so_far;
  if (std::isnan(worst.breakthrough) || std::isnan(worst.lower) || std::isnan(worst.upper)) {
    return Failed("the worst case gave no number");
  }
  if (worst.body.empty()) worst.body = cones.so_far.body;
  return worst;
}

}  // namespace holeward
