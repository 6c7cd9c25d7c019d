// The short hash printed with every result, so that a sheet can be matched to its job file.
#pragma once

#include <string>
#include <string_view>

namespace holeward {

/// SHA-256 of the bytes, 64 lower-case hexadecimal digits. Source: NIST FIPS 180-4.
[[nodiscard]] std::string Sha256(std::string_view bytes);

/// The first 8 digits of Sha256.
[[nodiscard]] std::string ShortHash(std::string_view bytes);

}  // namespace holeward
