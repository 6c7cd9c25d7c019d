// Random numbers by counter: the numbers of pose i depend on the seed and i alone, so any number of
// threads draws the same.
//
// The generator is Philox 4x32-10 of Salmon, Moraes, Dror and Shaw, "Parallel random numbers: as
// easy as 1, 2, 3", SC11 (2011).
#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "geometry/marking.h"
#include "geometry/vec.h"

namespace holeward {

using PhiloxBlock = std::array<std::uint32_t, 4>;
using PhiloxKey = std::array<std::uint32_t, 2>;

/// Ten rounds of Philox on a block of counter under a key.
[[nodiscard]] PhiloxBlock Philox4x32(PhiloxBlock counter, PhiloxKey key);

/// Fills `numbers` with the uniform numbers of one pose, each in (0, 1): the middles of 2^32 equal
/// steps.
void UniformsOf(std::uint64_t seed, std::uint64_t pose, std::span<double> numbers);

// ---- Shapes from uniform numbers u, v in [0, 1]

/// A value spread evenly over [-minus, +plus]; u = 0.5 of an even one gives 0.
[[nodiscard]] double Within(const HalfWidth& half, double u);
/// A place spread evenly over the disc of this radius about 0.
[[nodiscard]] Vec2 InDisc(double radius, double u, double v);
/// A direction spread evenly (by solid angle) over the cone of this half-angle about `axis`.
/// @param axis unit; @param half_rad in [0, pi]
[[nodiscard]] Vec3 InCone(const Vec3& axis, double half_rad, double u, double v);

}  // namespace holeward
