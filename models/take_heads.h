// Cutting off what covers the ends of a body, in the exchange process: a body that brings the
// kernel down costs a sentence.
#pragma once

#include <string>

#include <nlohmann/json.hpp>

#include "geometry/result.h"
#include "geometry/tube_heads.h"

namespace holeward {

constexpr const char* kTakeHeads = "take_heads";

/// WithoutHeads, asked of the exchange process under its limits.
/// Errors: those of WithoutHeads and AskExchange.
[[nodiscard]] Result<BeheadedBody> CutAtHeads(const TopoDS_Shape& solid, const std::string& what);

/// What the exchange process answers to that question.
/// @pre the request was made by CutAtHeads (else nlohmann::json::exception)
[[nodiscard]] Result<nlohmann::json> TakeHeadsAnswer(const nlohmann::json& request);

}  // namespace holeward
