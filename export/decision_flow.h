// The decisions of a job as a small flow from top to bottom: a question, and what to do if it is
// answered with yes; with no, on to the next below.
#pragma once

#include <string>
#include <vector>

#include "export/clearance_flow.h"
#include "models/job_shop.h"
#include "models/words.h"

namespace holeward {

/// Height the flow takes below its heading at this width, mm; 0 without a decision.
[[nodiscard]] double DecisionHeight(const std::vector<DecisionRow>& decisions, double width,
                                    const Words& words);

/// Sets the flow under a heading. Each decision has a box to tick.
void SetDecisions(const std::vector<DecisionRow>& decisions, const Words& words, Flow* flow);

}  // namespace holeward
