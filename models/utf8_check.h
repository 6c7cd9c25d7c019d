// Whether a text is valid UTF-8, and where it first is not.
#pragma once

#include <optional>
#include <string_view>

#include "models/job.h"

namespace holeward {

/// Line and column (in characters) of the first byte that is not part of valid UTF-8; nothing if
/// all is valid. Source: RFC 3629, section 4.
[[nodiscard]] std::optional<Location> FirstNotUtf8(std::string_view text);

}  // namespace holeward
