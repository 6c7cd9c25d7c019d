// The check of one stage of one hole.
#pragma once

#include <cstddef>

#include "geometry/checked.h"
#include "geometry/result.h"
#include "models/hole_site.h"

namespace holeward {

/// Checks stage `stage` (0-based) of a drill point. `ready`: the site made ready, or why it could
/// not be; then nothing of the stage is computed but access.
[[nodiscard]] HoleCheck CheckStage(const Result<HoleSite>& ready, const HoleSite& site,
                                   std::size_t stage);

}  // namespace holeward
