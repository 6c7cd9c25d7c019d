// The record of one vehicle: who, which vehicle, what was tested, drilled and closed. One side of
// paper unless the job has more points than one holds.
#pragma once

#include <vector>

#include "export/drawing.h"
#include "export/shop_input.h"
#include "geometry/result.h"

namespace holeward {

/// Draws the record sheet, A4. Every page carries set number, limits, cautions and, unless the
/// input is released, NOT RELEASED.
/// Errors (computed): a number that is not finite (names point and what it is).
[[nodiscard]] Result<std::vector<Drawing>> MakeRecordSheet(const ShopInput& input);

}  // namespace holeward
