// The solid of a part as the job gives it, bare or with what is fixed to it.
#pragma once

#include "geometry/part.h"
#include "geometry/result.h"
#include "geometry/solid.h"
#include "models/job.h"
#include "models/part_law.h"

namespace holeward {

/// The bare hollow solid, faces named by the part's words: "rear", "rear inner",
/// "corner rear-top", the ends by their names.
/// Errors: as NamedSolid::BuildHollow.
[[nodiscard]] Result<NamedSolid> BuildPartSolid(const PartRow& row, const Skin& skin,
                                                const PartNames& names);

/// The part's solid with its studs and brackets joined on and its existing holes cut; eyes as
/// full cylinders. Fittings without a stated height are left out, as their size is not known.
/// Takes seconds: for what is handed over, not for what is computed.
/// Errors (computed): a body that does not meet the part, or the kernel's failures.
[[nodiscard]] Result<NamedSolid> WithFittings(const Part& part);

}  // namespace holeward
