// A job with what its bench readings gave.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "models/job_reader.h"

namespace holeward {

struct BenchFit;  // models/bench.h

/// The fit of one part, by its name.
struct PartBench {
  std::string part;
  std::shared_ptr<const BenchFit> fit;
};

struct JobWithBenches {
  JobReading reading;
  std::vector<PartBench> benches;  ///< in the order of the file; parts that could be fitted
  /// What `marking.outline` and `marking.wall` are without the benches: fits never narrow them.
  HalfWidth outline_floor;
  HalfWidth wall_floor;
};

/// As ReadJobText and ReadJobFile. A part whose readings leave a doubt is read as assumed, so that
/// nothing that rests on it is proven.
/// @param known an earlier reading whose bodies of STEP files are used again where nothing that was
///        asked of them has changed, or null
[[nodiscard]] JobWithBenches ReadBenchJobText(std::string_view text, const std::string& file,
                                              const Job* known = nullptr);
[[nodiscard]] JobWithBenches ReadBenchJobFile(const std::string& path);

}  // namespace holeward
