// Where a body is cut in front of what covers its end (tube_heads.h).
#pragma once

#include <array>
#include <optional>

#include "geometry/vec.h"

namespace holeward {

/// Where a body is cut.
struct HeadCut {
  Vec3 at = Vec3::Zero();
  Vec3 out = Vec3::UnitY();  ///< unit, out of the tube that is left
};

/// Where a tube is cut at its start and finish, if it is.
using TubeCuts = std::array<std::optional<HeadCut>, 2>;

}  // namespace holeward
