// The engineer's report of a run: what it is made from.
#pragma once

#include "app/console.h"
#include "app/work.h"
#include "export/clearance_input.h"

namespace holeward {

/// Everything the clearance report prints about a checked job. Stages that are alike on both sides
/// stand once. What could not be computed is left out with the reason; nothing here changes a
/// verdict.
[[nodiscard]] ClearanceReportInput ClearanceInputOf(const Work& work, Console& console);

}  // namespace holeward
