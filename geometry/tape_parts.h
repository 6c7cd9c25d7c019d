// Aiming a long path in parts, where neighbouring geodesics run so far apart that one shot from the
// start cannot be steered.
#pragma once

#include <optional>

#include "geometry/tape_aim.h"
#include "geometry/tape_seed.h"

namespace holeward {

/// The geodesic near a chord path: its places cut into parts, each part aimed by itself, and the
/// joints moved sideways until no part turns at them (Newton's method on the length; multiple
/// shooting, Stoer and Bulirsch, Introduction to Numerical Analysis, 7.3.5). Nothing if it does not
/// settle.
[[nodiscard]] std::optional<TapeAim> AimInParts(const Surface& surface, const TapeStart& start,
                                                const TapeSeed& seed);

}  // namespace holeward
