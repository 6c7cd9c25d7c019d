#include "models/section_plane.h"

#include "models/hole_check.h"

namespace holeward {

Result<Pose> IntendedPose(const Job& job, const PointRow& row, const PlacedPoint& placed) {
  const auto axis = AxisOf(row.axis, job.described_side, placed.normal);
  if (!axis) return tl::unexpected<Error>(axis.error());
  return Pose{placed.position, (*axis)(placed.normal).normalized()};
}

Result<CutPlane> SectionPlane(const Part& part, const SkinPlace& place, const Pose& pose,
                              double turn_rad) {
  const Vec3 across = part.skin->FrameAt(place.u).tangent.cross(pose.direction);
  return CutPlane::Through(pose.entry, pose.direction,
                           Eigen::AngleAxisd(turn_rad, pose.direction) * across);
}

double SetDepth(const Job& job, const HoleCheck& check) {
  return check.stop ? *check.stop : check.breakthrough + job.marking.run_on;
}

}  // namespace holeward
