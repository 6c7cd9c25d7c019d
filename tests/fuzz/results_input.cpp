#include <string>
#include <tuple>

#include "models/job_reader.h"
#include "models/test_results.h"
#include "models/utf8_check.h"
#include "tests/fuzz/demand.h"
#include "tests/fuzz/fuzz_inputs.h"

namespace holeward::fuzz {
namespace {

constexpr const char* kJob = R"(holeward = 1
[vehicle]
sides = ["left", "right"]
[part.tube]
section = "round"
diameter = 60
wall = 3
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
[[point]]
name = "A1"
use = "test"
part = "tube"
rule = [ { tape = 100, from = "inner end", toward = "outboard" }, { line = "bottom" } ]
[[point]]
name = "A2"
use = "test"
part = "tube"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { line = "top" } ]
[[decision]]
when = "any test fails or remaining < 2.0 at A1"
then = "Replace the tube."
[[decision]]
when = "left A2 is not tested"
then = "Test it."
[[decision]]
when = "otherwise"
then = "The tube stays in use."
)";

const Job& TheJob() {
  static const JobReading reading = ReadJobText(kJob, "job.toml");
  Demand(reading.ok(), "the job is sound");
  return reading.job;
}

}  // namespace

void ReadAsResults(std::string_view bytes) {
  const ResultsReading reading = ReadResultsText(bytes, TheJob());
  std::tuple<int, int> before{0, 0};
  for (const JobError& error : reading.errors) {
    const std::tuple<int, int> place{error.at.line, error.at.column};
    Demand(error.at.line >= 1 && error.at.column >= 1, "an error has a place");
    Demand(before <= place, "errors stand in order");
    Demand(!error.message.empty() && !FirstNotUtf8(error.message), "an error is text");
    before = place;
  }
  if (!reading.errors.empty()) return;
  for (const VehicleResults& vehicle : reading.vehicles) {
    const VehicleDecision decision = Decide(TheJob(), vehicle.entries);
    const bool lacks = !decision.missing.empty() || !decision.no_remaining.empty();
    Demand(decision.decision.has_value() != lacks, "decided, or what is missing is named");
    Demand(!decision.decision || *decision.decision < TheJob().decisions.size(),
           "a known decision");
  }
}

}  // namespace holeward::fuzz
