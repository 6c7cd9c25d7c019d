// Taking the mounts off a body in the exchange process: a body that brings the kernel down costs a
// sentence.
#pragma once

#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "geometry/result.h"
#include "geometry/solid_mounts.h"

namespace holeward {

constexpr const char* kTakeOff = "take_off";

/// WithoutMounts, asked of the exchange process under its limits.
/// Errors: those of WithoutMounts and AskExchange.
[[nodiscard]] Result<PartedBody> TakenApart(const TopoDS_Shape& solid,
                                            std::vector<SolidMount> mounts,
                                            const std::string& what);

/// What the exchange process answers to that question.
/// @pre the request was made by TakenApart (else nlohmann::json::exception)
[[nodiscard]] Result<nlohmann::json> TakeOffAnswer(const nlohmann::json& request);

}  // namespace holeward
