// The sections, ends and centre line of a part that is a body of a file, as its faces show them.
#pragma once

#include <optional>
#include <string>
#include <utility>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"
#include "geometry/solid.h"
#include "geometry/vec.h"
#include "models/job.h"
#include "models/part_law.h"

namespace holeward {

/// `part "arm" (body 2 of van.step)`: a part of a solid in words, for messages.
[[nodiscard]] std::string Named(const PartRow& part);

/// What its solid is to be: names, wall and closed ends.
[[nodiscard]] HollowSpec SpecOf(const PartRow& part, const PartNames& names);

/// Fills in section, stations and ends of a part whose `solid` is set. Its wall is not looked at.
/// @param centre_line where the job says it runs, from start to finish
/// @param joined the body, its faces joined, or a pair of flat faces of it with what lies between
/// Errors (job): it is no straight or bent tube and no channel, or the centre line is not one of
/// its own; (computed) the kernel failed.
[[nodiscard]] Result<void> TakeSections(PartRow& part, Side described,
                                        const std::optional<std::pair<Vec3, Vec3>>& centre_line,
                                        const TopoDS_Shape& joined);

}  // namespace holeward
