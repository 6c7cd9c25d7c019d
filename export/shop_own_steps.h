// The trainer's own steps, put among the standard ones, and what they bring with them.
#pragma once

#include <vector>

#include "export/shop_words.h"

namespace holeward {

/// The standard steps with those of the trainer that this side has, each where the job puts it:
/// before or after a standard step (or where that would stand, if the side has none of it), several
/// at one place in the order of the file; then those with a number, at that place or at the end.
[[nodiscard]] std::vector<ShopStep> WithOwnSteps(std::vector<ShopStep> standard,
                                                 const ShopInput& input, const ShopSide& side);

/// Their cautions, in the order of the file.
[[nodiscard]] std::vector<Hazard> OwnHazards(const ShopInput& input, const ShopSide& side);

/// Their materials, each with the steps that use it.
[[nodiscard]] std::vector<ToolLine> OwnMaterials(const ShopInput& input, const ShopSide& side);

/// "Time stated for the trainer's own steps on this side: 25 min", or nothing.
[[nodiscard]] std::string OwnTime(const ShopInput& input, const ShopSide& side);

}  // namespace holeward
