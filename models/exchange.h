// Questions to the exchange process (exchange_process.h): what is asked and answered is one JSON
// value each way, in CBOR (RFC 8949). An answer holds "error", a sentence, or what was asked for.
#pragma once

#include <optional>
#include <string>

#include <nlohmann/json.hpp>

#include "geometry/result.h"
#include "models/exchange_process.h"

namespace holeward {

/// What reading a body, or taking it apart, may take: a few seconds are usual for one of a thousand
/// faces.
inline constexpr ExchangeLimits kBodyLimits{60, 300.0, std::size_t{3} << 30,
                                            std::size_t{256} << 20};

/// Asks the exchange process.
/// @param doing what for, for the messages: "reading \"arm.step\""
/// Errors: those of ExchangeProgram and RunExchange; (computed) the error the process answered
/// with, or an answer that is none.
[[nodiscard]] Result<nlohmann::json> AskExchange(const nlohmann::json& request,
                                                 const std::string& doing,
                                                 const ExchangeLimits& limits = {});

/// A value as bytes, and back; nothing if they are none.
[[nodiscard]] std::string ExchangeBytes(const nlohmann::json& value);
[[nodiscard]] std::optional<nlohmann::json> ExchangeValue(const std::string& bytes);

/// Bytes as a value, and back. @pre `value` was made so (else nlohmann::json::exception)
[[nodiscard]] nlohmann::json BinaryValue(const std::string& bytes);
[[nodiscard]] std::string BinaryOf(const nlohmann::json& value);

}  // namespace holeward
