// The proof wrap of a part: its faces developed with ends, edges, fittings and rows but without
// points, to be tried on the sample. Where it fits, the model is the part; the gaps that show can
// be entered as further readings.
#pragma once

#include <string>
#include <vector>

#include "geometry/development.h"
#include "geometry/part.h"
#include "geometry/result.h"
#include "models/bench.h"
#include "models/job.h"

namespace holeward {

/// A length of the wrap whose gap beside the part is a reading.
struct ProofGap {
  std::string reading;    ///< "tape 1 top to 5 top, wrap"
  double made = 0.0;      ///< on the wrap, mm
  double expected = 0.0;  ///< the gap lies within ± this: three standard deviations of the fit
};

struct ProofWrap {
  std::string part;
  std::vector<DevelopedPiece> pieces;  ///< a face each; a round part all round
  std::vector<ProofGap> gaps;          ///< of a part measured on a bench
  std::vector<std::string> notes;      ///< faces that cannot be laid flat, and why
};

/// What the wrap is made from.
struct ProofWrapOf {
  const Job* job = nullptr;
  const Part* part = nullptr;     ///< of the described side
  const BenchFit* fit = nullptr;  ///< null: the part is not measured on a bench
  double outboard_y = 1.0;
};

/// Develops the wrap. Gaps are lengths of the part less those of the wrap: positive where the wrap
/// is too short. Without a fit the expected gaps are the job's `marking.outline`. Errors (job): no
/// face can be laid flat.
[[nodiscard]] Result<ProofWrap> MakeProofWrap(const ProofWrapOf& of);

/// The table in which gaps are entered: part, reading, instrument, unit, made, within, gap (empty).
/// It is read back as a table of readings (bench_table.h).
[[nodiscard]] std::string ProofWrapCsv(const std::vector<ProofWrap>& wraps);

}  // namespace holeward
