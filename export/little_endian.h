// Numbers as bytes, the least first, whatever the machine's own order.
#pragma once

#include <bit>
#include <cstdint>
#include <string>

namespace holeward {

/// Appends the lowest `count` bytes of a number.
inline void AppendBytes(std::uint32_t value, int count, std::string* bytes) {
  for (int i = 0; i < count; ++i) bytes->push_back(static_cast<char>((value >> (8 * i)) & 0xffU));
}

/// Appends a number as an IEEE 754 single.
inline void AppendFloat(double value, std::string* bytes) {
  AppendBytes(std::bit_cast<std::uint32_t>(static_cast<float>(value)), 4, bytes);
}

}  // namespace holeward
