#include "models/exchange.h"

#include <cstdint>
#include <vector>

namespace holeward {

using Json = nlohmann::json;

std::string ExchangeBytes(const Json& value) {
  const std::vector<std::uint8_t> bytes = Json::to_cbor(value);
  return {bytes.begin(), bytes.end()};
}

std::optional<Json> ExchangeValue(const std::string& bytes) {
  Json value = Json::from_cbor(bytes, true, false);
  if (value.is_discarded() || !value.is_object()) return std::nullopt;
  return value;
}

Json BinaryValue(const std::string& bytes) {
  return Json::binary(std::vector<std::uint8_t>(bytes.begin(), bytes.end()));
}

std::string BinaryOf(const Json& value) {
  const auto& bytes = value.get_binary();
  return {bytes.begin(), bytes.end()};
}

Result<Json> AskExchange(const Json& request, const std::string& doing,
                         const ExchangeLimits& limits) {
  const auto program = ExchangeProgram();
  if (!program) return tl::unexpected<Error>(program.error());
  const auto bytes = RunExchange(*program, ExchangeBytes(request), doing, limits);
  if (!bytes) return tl::unexpected<Error>(bytes.error());
  auto answer = ExchangeValue(*bytes);
  if (!answer) return Fail(ErrorKind::computed, doing + " gave an answer that is damaged");
  const auto error = answer->find("error");
  if (error != answer->end()) {
    return Fail(ErrorKind::computed,
                doing + ": " + (error->is_string() ? error->get<std::string>() : "failed"));
  }
  return std::move(*answer);
}

}  // namespace holeward
