// The jobs `holeward new` starts a trainer with: models/starter/*.toml, built into the program.
#pragma once

#include <string_view>

namespace holeward {

/// The text of a starter job.
/// @param kind "arm", "tube" or "channel"
/// @return a complete commented job file (UTF-8, ended by a newline); empty for any other kind
[[nodiscard]] std::string_view StarterJob(std::string_view kind);

}  // namespace holeward
