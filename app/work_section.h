// The section through a hole's drill axis, from the scene to what the report draws.
#pragma once

#include "app/work.h"
#include "export/clearance_input.h"
#include "geometry/clearance.h"
#include "geometry/result.h"
#include "geometry/section_cut.h"

namespace holeward {

/// What one section is made from.
struct SectionAsk {
  const Job& job;
  const SideWork& side;
  const SectionCutter& cutter;
  const HoleCheck& check;
  std::optional<Pose> worst;  ///< the worst pose found, and
  double worst_depth = 0.0;   ///< the tip's depth at which it meets metal, mm
};

/// The intended pose of a hole in the frame of the described side.
/// Errors: a hole the side does not have; those of AxisOf.
[[nodiscard]] Result<Pose> IntendedPose(const Job& job, const SideWork& side,
                                        const std::string& point);

/// The section through the drill's axis, as square to the part's centre line as the axis allows.
/// Drawn in the frame of the described side. Errors: those of IntendedPose and Drill::Of; a hole
/// whose depths were not computed.
[[nodiscard]] Result<SectionPicture> SectionPictureOf(const SectionAsk& ask);

}  // namespace holeward
