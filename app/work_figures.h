// Figures of the section through a hole, stress raisers, and what is round the hole, as tables.
#pragma once

#include <vector>

#include "app/work.h"
#include "export/clearance_input.h"

namespace holeward {

/// What is round a hole, as intended and over its zone: the same table for every stage of it.
[[nodiscard]] FigureTable FiguresRound(const Job& job, const SideWork& side,
                                       const HoleCheck& check);

/// Tables of one stage of a hole. What could not be computed says why. Figures and no verdict.
/// @param round FiguresRound of the hole
[[nodiscard]] std::vector<FigureTable> FiguresOfHole(const Job& job, const SideWork& side,
                                                     const HoleCheck& check,
                                                     const FigureTable& round);

}  // namespace holeward
