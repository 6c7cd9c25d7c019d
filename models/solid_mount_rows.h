// The mounts in one piece with a part's body, as fittings of it.
#pragma once

#include <string>
#include <vector>

#include "geometry/result.h"
#include "geometry/skin.h"
#include "geometry/solid_match.h"
#include "geometry/solid_mounts.h"
#include "models/job.h"
#include "models/part_law.h"

namespace holeward {

/// Puts a fitting that lies at u, `girth` round the section (mm), on the face or line nearest to
/// it: its face and how far aside.
/// @param at u and girth
void PutOnNearest(const Skin& skin, const PartNames& names, const Vec2& at, FittingRow& row);

/// The holes that a part's body has already, as fittings: "hole 1", ...
[[nodiscard]] std::vector<FittingRow> HoleRows(const PartRow& part, const Skin& skin,
                                               const PartNames& names,
                                               const std::vector<SolidHole>& holes);

/// Makes the mounts of a body fittings of its part, in order along it, and keeps their faces with
/// the part's solid.
/// @param part whose sections and wall are known
/// Errors (job): a mount goes all the way round; a face of the body is neither the tube's nor a
/// mount's; (computed) the kernel failed.
[[nodiscard]] Result<std::vector<FittingRow>> TakeMounts(PartRow& part, Side described,
                                                         const PartedBody& parted);

/// The faces of the mounts by the names of the fittings they are.
[[nodiscard]] std::vector<NamedMount> FacesOfMounts(const PartRow& part);

/// Gives the mounts of a part's body the names of its fittings, in their order.
void NameMounts(PartRow& part, const std::vector<std::string>& names);

}  // namespace holeward
