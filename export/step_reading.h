// Reading the solid bodies of a STEP file (ISO 10303-21; AP203, AP214, AP242). Runs in the exchange
// process alone.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "geometry/result.h"

namespace holeward {

/// What a request to read begins with: {"do": "read_step", "text": bytes of the file}.
inline constexpr const char* kReadStep = "read_step";

/// The answer: {"schema": text, "unit": text, "bodies": [{"name", "shape": bytes, "healed": [text],
/// "trouble": text, "volume": mm³, "low": [x, y, z], "high": [x, y, z], "faces": count}]}, bodies
/// in the order of the file. A body with "trouble" has no shape: it is not valid, not closed or has
/// no volume, and healing did not help.
/// Errors (computed): not a STEP file; entities that fail the file's own check; no solid in it.
[[nodiscard]] Result<nlohmann::json> ReadStepAnswer(const std::string& text);

}  // namespace holeward
