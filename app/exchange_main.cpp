// The exchange process: answers one question (models/exchange.h) from standard input on standard
// output. It alone links the kernel's exchange libraries, and it alone reads files from outside.
#include <cstdio>
#include <exception>
#include <iostream>
#include <iterator>
#include <optional>
#include <string>

#include <Standard_Failure.hxx>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "export/model_request.h"
#include "export/model_step.h"
#include "export/step_reading.h"
#include "models/exchange.h"
#include "models/take_heads.h"
#include "models/take_off.h"

namespace holeward {
namespace {

using Json = nlohmann::json;

Json ErrorJson(const std::string& sentence) { return {{"error", sentence}}; }

Json WriteAnswer(const Json& request) {
  const auto model = ModelOfRequest(request);
  if (!model) return ErrorJson(model.error().message);
  const auto text = ToStep(*model);
  if (!text) return ErrorJson(text.error().message);
  return {{"text", BinaryValue(*text)}};
}

Json Told(const Result<Json>& answer) {
  return answer ? *answer : ErrorJson(answer.error().message);
}

Json AnswerTo(const Json& request) {
  const std::string what = request.value("do", "");
  if (what == kWriteStep) return WriteAnswer(request);
  if (what == kReadStep) return Told(ReadStepAnswer(BinaryOf(request.at("text"))));
  if (what == kTakeOff) return Told(TakeOffAnswer(request));
  if (what == kTakeHeads) return Told(TakeHeadsAnswer(request));
  return ErrorJson("the question is not known");
}

Json Answered(const std::string& bytes) {
  try {
    const auto request = ExchangeValue(bytes);
    return request ? AnswerTo(*request) : ErrorJson("the question is damaged");
  } catch (const Standard_Failure& failure) {
    const char* words = failure.GetMessageString();
    return ErrorJson(std::string("the geometry kernel failed: ") + (words != nullptr ? words : ""));
  } catch (const std::exception& failure) {
    return ErrorJson(std::string("failed: ") + failure.what());
  }
}

bool WriteAll(int file, const std::string& bytes) {
  for (std::size_t sent = 0; sent < bytes.size();) {
    const ssize_t n = write(file, bytes.data() + sent, bytes.size() - sent);
    if (n <= 0) return false;
    sent += static_cast<std::size_t>(n);
  }
  return true;
}

int Main() {
  // What the kernel prints must not get into the answer.
  const int answer = dup(STDOUT_FILENO);
  if (answer < 0 || dup2(STDERR_FILENO, STDOUT_FILENO) < 0) return 1;
  const std::string question{std::istreambuf_iterator<char>(std::cin), {}};
  const bool written = WriteAll(answer, ExchangeBytes(Answered(question)));
  // Without the kernel's own tidying up, in which a damaged model may still fail.
  _exit(written ? 0 : 1);
}

}  // namespace
}  // namespace holeward

int main() { return holeward::Main(); }
