// From where a picture is taken, in words.
#pragma once

#include "geometry/phrase.h"
#include "geometry/vec.h"

namespace holeward {

/// "seen from above and behind", the direction that counts most first.
/// @param eye unit vector toward the viewer, vehicle axes
/// @param outboard_y +1 where outboard is +y, else -1
[[nodiscard]] Phrase SeenFrom(const Vec3& eye, double outboard_y);

}  // namespace holeward
