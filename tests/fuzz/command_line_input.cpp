#include <cmath>
#include <string>
#include <vector>

#include "app/command_line.h"
#include "app/table.h"
#include "export/printer_bars.h"
#include "tests/fuzz/demand.h"
#include "tests/fuzz/fuzz_inputs.h"

namespace holeward::fuzz {
namespace {

std::vector<std::string> Lines(std::string_view bytes) {
  std::vector<std::string> lines(1);
  for (const char c : bytes) {
    if (c == '\n') {
      lines.emplace_back();
    } else if (c != '\0') {  // no argument of a process holds one
      lines.back() += c;
    }
  }
  return lines;
}

void DemandSoundBars(std::string_view text) {
  const Result<PrinterBars> bars = ParsePrinterBars(text);
  if (!bars) {
    Demand(!bars.error().message.empty(), "refused bars are told");
    return;
  }
  for (const double bar : {bars->x, bars->y}) {
    Demand(std::isfinite(bar) && std::abs(bar - 150.0) <= 3.0 + 1e-9, "bars are within 2 %");
  }
}

}  // namespace

void ParseAsCommandLine(std::string_view bytes) {
  const std::vector<std::string> lines = Lines(bytes);
  DemandSoundBars(lines.front());
  std::vector<const char*> arguments = {"holeward"};
  for (const std::string& line : lines) arguments.push_back(line.c_str());
  const ParsedCommandLine parsed =
      ParseCommandLine(static_cast<int>(arguments.size()), arguments.data());
  if (parsed.options) {
    Demand(!parsed.options->OutputFolder().empty(), "a run has a folder to write to");
    Demand(parsed.message.empty() && parsed.output.empty(), "a run says nothing of its own");
    return;
  }
  const bool text = parsed.status == ExitStatus::done && !parsed.output.empty();
  const bool refusal = parsed.status == ExitStatus::wrong_job && !parsed.message.empty();
  Demand(text || refusal, "no options: a text or a refusal");
}

}  // namespace holeward::fuzz
