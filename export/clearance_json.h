// The clearance report as a document: the same figures, without the drawings.
#pragma once

#include "export/clearance_input.h"
#include "export/result_json.h"
#include "geometry/result.h"

namespace holeward {

/// Everything the report prints: verdicts, margins, chance of contact, shares, tables, advice, what
/// was not checked. A hole stands once for each of its sides. Blocks that were not computed are
/// left out and named with the reason in `not_computed`. Errors (computed): a number that is not
/// finite.
[[nodiscard]] Result<Json> ClearanceJson(const ClearanceReportInput& input);

}  // namespace holeward
