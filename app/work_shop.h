// The workshop's sheets of a run: what they are made from.
#pragma once

#include "app/work.h"
#include "export/decision_out.h"
#include "export/shop_input.h"

namespace holeward {

/// What every page of a run says of job, set and release.
[[nodiscard]] PageFacts FactsOfRun(const Work& work);

/// The rows of results.csv: every test point of every side made, in the order of the job.
[[nodiscard]] std::vector<BlankResult> BlankResultsOf(const Job& job);

/// Everything the instruction sheet and the record sheet print about a checked job, each side in
/// its own words. Nothing here changes a verdict.
/// @param options whose `--bars` the setting gauge follows
[[nodiscard]] ShopInput ShopInputOf(const Work& work, const Options& options);

}  // namespace holeward
