#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "app/commands.h"
#include "app/output.h"
#include "app/work.h"
#include "export/decision_out.h"
#include "models/test_results.h"

namespace holeward {
namespace {

std::string Name(const TestPlace& place) {
  return fmt::format("{} {}", Word(place.side), place.point);
}

VehicleOut Decided(const Job& job, const VehicleResults& results) {
  const VehicleDecision decision = Decide(job, results.entries);
  VehicleOut out;
  out.vehicle = results.vehicle;
  if (decision.decision) {
    const DecisionRow& row = job.decisions[*decision.decision];
    out.decision = static_cast<int>(*decision.decision) + 1;
    out.when = row.when;
    out.then = row.then;
  }
  for (const TestPlace& place : decision.missing) {
    out.missing.push_back("result of " + Name(place));
  }
  for (const TestPlace& place : decision.no_remaining) {
    out.missing.push_back("remaining thickness of " + Name(place));
  }
  return out;
}

void Print(const VehicleOut& vehicle, Console& console) {
  constexpr int kWidth = 110;
  const std::string who =
      vehicle.vehicle.empty() ? "vehicle without a name" : "vehicle " + vehicle.vehicle;
  const std::string line =
      vehicle.decision
          ? fmt::format("{}: decision {} ({}): {}", who, *vehicle.decision, vehicle.when,
                        vehicle.then)
          : fmt::format("{}: NOT DECIDED, missing: {}", who, fmt::join(vehicle.missing, ", "));
  console.Print(Folded(Printable(line), kWidth));
}

}  // namespace

ExitStatus RunDecide(const Options& options, Console& console) {
  auto job = ReadJobOf(options.job, console);
  if (!job) {
    return job.error();
  }
  if (job->decisions.empty()) {
    console.Message("the job has no [[decision]]");
    return ExitStatus::wrong_job;
  }
  const ResultsReading reading = ReadResultsFile(options.results, *job);
  for (const JobError& error : reading.errors) {
    console.PlacedMessage(Printable(error.Text(options.results)));
  }
  if (!reading.errors.empty()) {
    return reading.unreadable ? ExitStatus::failed : ExitStatus::wrong_job;
  }
  if (reading.vehicles.empty()) {
    console.Message("the table of results has no vehicle in it");
    return ExitStatus::wrong_job;
  }
  std::vector<VehicleOut> vehicles;
  for (const VehicleResults& vehicle : reading.vehicles) {
    vehicles.push_back(Decided(*job, vehicle));
  }
  const bool all = std::all_of(vehicles.begin(), vehicles.end(), [](const VehicleOut& vehicle) {
    return vehicle.decision.has_value();
  });
  const ExitStatus status = all ? ExitStatus::done : ExitStatus::unproven;
  if (options.json) {
    Work work;
    work.job = std::move(*job);
    const ExitStatus printed = PrintDocument(DecideJson(HeadOf(work), vehicles), console);
    return printed == ExitStatus::done ? status : printed;
  }
  for (const VehicleOut& vehicle : vehicles) {
    Print(vehicle, console);
  }
  return status;
}

}  // namespace holeward
