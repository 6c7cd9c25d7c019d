// Figures of the section through a hole, stress raisers, and what is round the hole, as tables.
#pragma once

#include <vector>

#include "app/work.h"
#include "export/clearance_input.h"

namespace holeward {

/// Tables of one stage of a hole. What could not be computed says why. Figures and no verdict.
[[nodiscard]] std::vector<FigureTable> FiguresOfHole(const Job& job, const SideWork& side,
                                                     const HoleCheck& check);

}  // namespace holeward
