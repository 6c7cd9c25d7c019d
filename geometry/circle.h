// The circle that places lie on.
#pragma once

#include <optional>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

struct SpaceCircle {
  Vec3 centre = Vec3::Zero();
  Vec3 normal = Vec3::UnitZ();  ///< unit, of its plane
  double radius = 0.0;          ///< mm

  /// How far the places are off it at most, in its plane or out of it, mm.
  [[nodiscard]] double Departure(const std::vector<Vec3>& places) const;
};

/// The circle through three places; nothing if they lie on a line.
[[nodiscard]] std::optional<SpaceCircle> CircleThrough(const Vec3& a, const Vec3& b, const Vec3& c);

/// The circle through three of the places that lie well apart; nothing for fewer than three, or on
/// a line.
[[nodiscard]] std::optional<SpaceCircle> CircleOf(const std::vector<Vec3>& places);

}  // namespace holeward
