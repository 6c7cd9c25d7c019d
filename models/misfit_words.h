// Where a template piece fits and should not, in words.
#pragma once

#include <string>
#include <vector>

#include "geometry/misfit.h"
#include "models/words.h"

namespace holeward {

/// The wrong places, each in a few words: "on the other side", "end for end", "at top", "on the
/// other side at top, underside". Grouped so that the other side is named once; empty without
/// misfits. Left and right are not named: the word of one side never stands on a sheet of the
/// other.
[[nodiscard]] std::vector<std::string> WrongPlaces(const std::vector<Misfit>& misfits,
                                                   const Words& words = {});

}  // namespace holeward
