// What a measuring form asks for: the rows of a part, the readings of each row, and the spare
// readings with which a misreading shows.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "geometry/result.h"
#include "models/bench_rows.h"

namespace holeward {

/// A box of each row: "front", by steel rule.
struct FormColumn {
  std::string word;
  std::string instrument;
};

/// A row as the job has it, for the drawing: mm on the bench.
struct FormRow {
  double distance = 0.0;
  std::array<double, 2> offset{0.0, 0.0};  ///< of the faces toward rear (inboard) and front
  std::array<double, 2> height{0.0, 0.0};  ///< of underside and top
};

struct MeasuringForm {
  std::string part;
  std::string toward;                  ///< the way distances grow
  std::string straightedge;            ///< the side it lies on
  std::array<std::string, 2> lateral;  ///< "rear", "front"
  bool round = false;
  std::vector<FormRow> rows;
  std::vector<FormColumn> columns;
  std::vector<BenchReading> once;    ///< read once: corner radius, wall
  std::vector<BenchReading> spares;  ///< by the design matrix
};

/// The form of a part with its stations as rows, at most 12 of them.
/// @param bench the part's own sheet, whose straightedge and way of distances then count; or null
/// Errors (job): an upright part, one given by outlines.
[[nodiscard]] Result<MeasuringForm> FormOf(const PartRow& part, Side described,
                                           const BenchSheet* bench = nullptr);

/// The sheet of a part as its form lays it, without rows; the wall as the job has it.
/// Errors: as FormOf.
[[nodiscard]] Result<BenchSheet> BareSheetOf(const PartRow& part, Side described);

}  // namespace holeward
