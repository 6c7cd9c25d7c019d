#include <algorithm>
#include <cmath>
#include <tuple>

#include "models/job_reader.h"
#include "models/utf8_check.h"
#include "tests/fuzz/demand.h"
#include "tests/fuzz/fuzz_inputs.h"

namespace holeward::fuzz {
namespace {

auto Place(const Location& at) { return std::tuple(at.line, at.column); }

void DemandSound(const JobReading& reading, std::string_view bytes) {
  const auto lines = 1 + std::count(bytes.begin(), bytes.end(), '\n');
  const JobError* before = nullptr;
  for (const JobError& error : reading.errors) {
    Demand(error.at.line >= 1 && error.at.column >= 1, "an error has a place");
    Demand(error.at.line <= lines, "an error stands in the file");
    Demand(!error.message.empty(), "an error says something");
    Demand(!FirstNotUtf8(error.message), "an error is text");
    Demand(!before || Place(before->at) <= Place(error.at), "errors stand in order");
    before = &error;
  }
}

void DemandBuildable(const Job& job) {
  for (const PartRow& part : job.parts) {
    Demand(part.stations.size() >= 2, "a part has two stations");
    Demand(std::isfinite(part.wall) && part.wall > 0.0, "a wall has a thickness");
    for (const auto& station : part.stations) {
      Demand(station.centre.allFinite(), "a station has a place");
    }
  }
  for (const PointRow& point : job.points) {
    for (const auto& measure : point.rule) {
      Demand(std::isfinite(measure.value), "a reading is a number");
    }
  }
}

}  // namespace

void ReadAsJob(std::string_view bytes) {
  const JobReading reading = ReadJobText(bytes, "job.toml");
  DemandSound(reading, bytes);
  if (reading.ok()) DemandBuildable(reading.job);
  const JobReading again = ReadJobText(bytes, "job.toml");
  Demand(again.errors.size() == reading.errors.size(), "reading again says the same");
  for (std::size_t i = 0; i < again.errors.size(); ++i) {
    Demand(again.errors[i].message == reading.errors[i].message, "in the same words");
  }
}

}  // namespace holeward::fuzz
