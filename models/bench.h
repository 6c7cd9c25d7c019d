// From the readings of a sample part to a part one can trust: all readings adjusted together, the
// misread one named, the uncertainty of every size, and the stations in the vehicle.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/adjust_snoop.h"
#include "geometry/marking.h"
#include "geometry/result.h"
#include "geometry/unproven_reach.h"
#include "models/bench_model.h"
#include "models/bench_rows.h"
#include "models/job.h"

namespace holeward {

/// A fitted size of the sample.
struct BenchSizeOut {
  std::string name;
  double value = 0.0;
  double sigma = 0.0;  ///< standard deviation of the fit
  double low = 0.0;    ///< it lies between these 95 times in 100; where a misreading could be one
  double high = 0.0;   ///< of several, whichever of them it is
};

/// A reading that would be worth taking.
struct BenchAdvice {
  std::string what;   ///< "height at row 3 with the caliper"
  double gain = 0.0;  ///< by how much the outline's half-width at the row would shrink, mm
  std::size_t row = 0;
};

/// What the readings of one part gave.
struct BenchFit {
  BenchSheet sheet;
  Snooping found;
  std::vector<double> least_found;  ///< a reading: least error that its test finds; infinite: none
  std::vector<BenchSizeOut> sizes;
  std::vector<StationRow> stations;  ///< in the vehicle
  std::vector<double> row_stations;  ///< along the centre line
  Vec3 up = Vec3::UnitZ();           ///< the bench's up in the vehicle
  double wall = 0.0;
  HalfWidth outline;         ///< for the checks: what every outside size may be off
  HalfWidth wall_error;      ///< likewise for every wall
  double joining = 0.0;      ///< of `outline`: what the shape between rows leaves open
  double part_spread = 0.0;  ///< standard deviation from sample to sample; 0: one sample
  /// Why nothing that rests on the part is proven, in sentences without their full stop; empty: it
  /// may be.
  std::vector<std::string> doubts;
  /// Where sizes rest on readings that nothing checks: a hole there is unproven.
  std::vector<UnprovenReach> unchecked;
  std::vector<std::string> notes;  ///< what the person should know, in sentences
  std::optional<BenchAdvice> advice;
};

/// What the person must hear of a fit, in sentences without their full stop: misread readings, then
/// doubts.
[[nodiscard]] std::vector<std::string> WarningsOf(const BenchFit& fit);

/// Why no part came of it, and where in the job.
struct BenchError {
  Location at;
  std::string message;
};

/// Fits a part to its bench readings.
/// @param part all of it but its stations, as read
/// Errors: sizes that no reading fixes, sizes that cannot be, mounts that do not agree.
[[nodiscard]] tl::expected<BenchFit, BenchError> FitBench(const PartRow& part,
                                                          const BenchSheet& sheet, Side described);

/// The problem FitBench solves, for tests and for choosing readings.
/// @param model must outlive the problem
[[nodiscard]] AdjustProblem ProblemOf(const BenchModel& model, const BenchSheet& sheet);

/// The suspects of a fit in sentences: which reading, what it was, what it probably is.
[[nodiscard]] std::vector<std::string> SuspectWords(const BenchFit& fit);

}  // namespace holeward
