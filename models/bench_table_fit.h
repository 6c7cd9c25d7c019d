// The parts of a job fitted to a table of readings taken since.
#pragma once

#include <string>
#include <vector>

#include "models/bench_reading.h"
#include "models/bench_table.h"
#include "models/job.h"

namespace holeward {

/// A part fitted to a table.
struct TableFit {
  PartBench bench;
  bool described_otherwise = false;  ///< the job has the part by stations: its bench is the form's
};

struct TableFits {
  std::vector<TableFit> parts;   ///< in the order of the job
  std::vector<JobError> errors;  ///< with their places in the table
};

/// Fits every part that the table has readings of: a part with a bench to the table's readings and
/// to those of its own that the table does not have, any other to the table's alone, laid as its
/// form lays it.
/// @param benches the fits of the job's own readings
/// @param another the table is of another sample: a part with a bench is laid as that says, and
/// fitted to the table alone
/// Errors: those of TakeReadings and FitBench; a part that the job does not have; parts that no
/// form can be made of; of another sample, a part that the job has no bench readings of.
[[nodiscard]] TableFits FitTable(const Job& job, const std::vector<PartBench>& benches,
                                 const BenchTable& table, bool another = false);

}  // namespace holeward
