// A part whose end is covered by what is in one piece with it there: an eye across the end of an
// arm. It is taken as a tube that was cut before the eye and goes on under it.
#pragma once

#include <optional>
#include <utility>
#include <vector>

#include "geometry/result.h"
#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

/// Takes a body one or both of whose ends an eye covers: the eyes are fittings of the part besides
/// the holes and mounts it has. Nothing if no end is so covered.
/// Errors (job): what is left is no tube, does not go on under the eye, or does not run through the
/// eye's middle; a face of the body is neither the tube's nor a mount's; (computed) the kernel
/// failed.
[[nodiscard]] Result<std::optional<std::vector<FittingRow>>> TakeHeaded(
    PartRow& part, Side described, const std::optional<std::pair<Vec3, Vec3>>& centre_line);

}  // namespace holeward
