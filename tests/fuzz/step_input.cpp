#include <cmath>
#include <exception>
#include <string>

#include <Standard_Failure.hxx>

#include "export/step_reading.h"
#include "geometry/solid_bytes.h"
#include "models/exchange.h"
#include "tests/fuzz/demand.h"
#include "tests/fuzz/fuzz_inputs.h"

namespace holeward::fuzz {
namespace {

using Json = nlohmann::json;

void DemandSoundBody(const Json& body) {
  const bool usable = body.at("trouble").get<std::string>().empty();
  Demand(usable == body.contains("shape"), "a body has a shape or trouble");
  if (!usable) return;
  const double volume = body.at("volume").get<double>();
  Demand(std::isfinite(volume) && volume > 0.0, "a body has a volume");
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double low = body.at("low").at(axis).get<double>();
    const double high = body.at("high").at(axis).get<double>();
    Demand(std::isfinite(low) && std::isfinite(high) && low < high, "a body has a size");
  }
  Demand(ShapeOfBytes(BinaryOf(body.at("shape"))).has_value(), "a shape can be read back");
}

}  // namespace

void ReadAsStep(std::string_view bytes) {
  try {
    const auto answer = ReadStepAnswer(std::string(bytes));
    if (!answer) {
      Demand(!answer.error().message.empty(), "a refused file is told why");
      return;
    }
    Demand(!answer->at("bodies").empty(), "a file that is read has a body");
    for (const Json& body : answer->at("bodies")) DemandSoundBody(body);
    // As it goes to the process that asked.
    const auto again = ExchangeValue(ExchangeBytes(*answer));
    Demand(again && *again == *answer, "an answer arrives as it was sent");
  } catch (const Standard_Failure&) {
    // What the kernel gives up on is one sentence of the exchange process (app/exchange_main.cpp).
  } catch (const Json::exception&) {
    Demand(false, "an answer has what it should");
  } catch (const std::exception&) {
    // The same.
  }
}

}  // namespace holeward::fuzz
