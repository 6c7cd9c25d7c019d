// The workshop's sheets of a run: what they are made from.
#pragma once

#include "app/work.h"
#include "export/shop_input.h"

namespace holeward {

/// Everything the instruction sheet and the record sheet print about a checked job, each side in
/// its own words. Nothing here changes a verdict.
/// @param options whose `--bars` the setting gauge follows
[[nodiscard]] ShopInput ShopInputOf(const Work& work, const Options& options);

}  // namespace holeward
