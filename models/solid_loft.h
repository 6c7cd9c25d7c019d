// The sections of a part that is a body of flats in a file, where its centre line bends or its
// sizes change otherwise than from end to end.
#pragma once

#include <optional>
#include <utility>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/vec.h"
#include "models/job.h"

namespace holeward {

/// Fills in section, stations with tangents and slopes, and ends of a part whose `solid` is set.
/// @param centre_line where the job says it runs, from start to finish
/// @param ends the body, or two flat faces of it, to look for the ends in
/// @param body what is followed from end to end
/// Errors as LoftOfSolid; (job): the centre line is not its own, or runs along `up`.
[[nodiscard]] Result<void> TakeLoft(PartRow& part, Side described,
                                    const std::optional<std::pair<Vec3, Vec3>>& centre_line,
                                    const TopoDS_Shape& ends, const TopoDS_Shape& body);

}  // namespace holeward
