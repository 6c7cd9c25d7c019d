// The foot of a path on a kinked or strongly bent start curve, where Newton's method on the foot
// fails.
#pragma once

#include <optional>

#include "geometry/tape_aim.h"

namespace holeward {

/// The path from the place of the start curve that is nearest along the surface, by bisection on
/// the slope of the length from one place of the curve to the next: it also finds a foot at a kink
/// of the curve (a line along the part bends at a mitre), which no path leaves square. Nothing if
/// paths from the places themselves do not settle.
[[nodiscard]] std::optional<TapeAim> AimFromNearestFoot(const Surface& surface,
                                                        const TapeStart& start, const SkinPlace& to,
                                                        const TapeGuess& guess);

}  // namespace holeward
