// How far a fitting that readings place may stand from where it is taken to be.
#pragma once

#include <optional>

#include "geometry/part.h"

namespace holeward {

/// No place of the fitting up to `height` (mm) off the skin is farther than this from where it is
/// taken to be, mm: its centre within `spread`, and turned as the skin turns over that. Nothing if
/// its spread is not bounded.
/// Accuracy: the skin's turn is sampled in eight directions at the spread and widened by a fifth.
[[nodiscard]] std::optional<double> MovedAtMost(const Skin& skin, const Fitting& fitting,
                                                double height);

}  // namespace holeward
