// The hash a release is bound to: of what a job says, not of how its file is written.
#pragma once

#include <string>

#include "models/toml_tree.h"

namespace holeward {

/// Hash of a job's content: the first 16 hexadecimal digits of the SHA-256 (NIST FIPS 180-4) of its
/// keys and values in one fixed form. Comments, blanks, the order of keys and the way a number or
/// text is written do not count; every value does, but for [release], which is bound to this hash.
/// A value left out and its default written out are different content.
[[nodiscard]] std::string ContentHash(const TomlNode& job);

}  // namespace holeward
