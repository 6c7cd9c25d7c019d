#include "geometry/random.h"

#include <algorithm>
#include <cmath>

namespace holeward {

PhiloxBlock Philox4x32(PhiloxBlock counter, PhiloxKey key) {
  constexpr std::uint64_t kMultiplier0 = 0xD2511F53;
  constexpr std::uint64_t kMultiplier1 = 0xCD9E8D57;
  constexpr std::uint32_t kWeyl0 = 0x9E3779B9;
  constexpr std::uint32_t kWeyl1 = 0xBB67AE85;
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t product0 = kMultiplier0 * counter[0];
    const std::uint64_t product1 = kMultiplier1 * counter[2];
    counter = {static_cast<std::uint32_t>(product1 >> 32) ^ counter[1] ^ key[0],
               static_cast<std::uint32_t>(product1),
               static_cast<std::uint32_t>(product0 >> 32) ^ counter[3] ^ key[1],
               static_cast<std::uint32_t>(product0)};
    key[0] += kWeyl0;
    key[1] += kWeyl1;
  }
  return counter;
}

void UniformsOf(std::uint64_t seed, std::uint64_t pose, std::span<double> numbers) {
  const PhiloxKey key{static_cast<std::uint32_t>(seed), static_cast<std::uint32_t>(seed >> 32)};
  PhiloxBlock block{};
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    if (i % 4 == 0) {
      block = Philox4x32({static_cast<std::uint32_t>(pose), static_cast<std::uint32_t>(pose >> 32),
                          static_cast<std::uint32_t>(i / 4), 0},
                         key);
    }
    numbers[i] = (block[i % 4] + 0.5) * 0x1p-32;
  }
}

double Within(const HalfWidth& half, double u) { return u * half.plus - (1.0 - u) * half.minus; }

Vec2 InDisc(double radius, double u, double v) {
  const double r = radius * std::sqrt(u);
  return {r * std::cos(2.0 * kPi * v), r * std::sin(2.0 * kPi * v)};
}

Vec3 InCone(const Vec3& axis, double half_rad, double u, double v) {
  // Evenly by solid angle: 1 - cos is even. Written by half angles so that small cones keep their
  // digits.
  const double sin_half = std::sin(0.5 * half_rad);
  const double less = 2.0 * u * sin_half * sin_half;  // 1 - cos of the angle drawn
  const double across = std::sqrt(std::max(0.0, less * (2.0 - less)));
  // An orthonormal pair beside the axis without a square root: Duff et al., JCGT 6 (2017) 1.
  const double sign = std::copysign(1.0, axis.z());
  const double a = -1.0 / (sign + axis.z());
  const double b = axis.x() * axis.y() * a;
  const Vec3 x(1.0 + sign * axis.x() * axis.x() * a, sign * b, -sign * axis.x());
  const Vec3 y(b, sign + axis.y() * axis.y() * a, -axis.y());
  const double turn = 2.0 * kPi * v;
  return (1.0 - less) * axis + across * (std::cos(turn) * x + std::sin(turn) * y);
}

}  // namespace holeward
