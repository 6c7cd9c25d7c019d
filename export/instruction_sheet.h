// The technician's instructions, one side after the other: cautions, tools, steps, points, hole
// schedule, setting gauge at 1:1, and a card in large type for under the lift. Black ink alone says
// everything.
#pragma once

#include <vector>

#include "export/drawing.h"
#include "export/setting_gauge.h"
#include "export/shop_input.h"
#include "export/template_sheet.h"
#include "geometry/result.h"

namespace holeward {

/// A page with a setting gauge, and its check bar: 150 mm unless a printer is made up for.
struct GaugePage {
  Side side = Side::left;
  int page = 1;
  CheckBar bar;
};

struct InstructionSheet {
  std::vector<Drawing> pages;  ///< A4, for ToPdf
  std::vector<GaugePage> gauge_pages;
  std::vector<GaugePlace> gauges;
};

/// Draws the instructions of every side. Every page carries its side, set number, cautions, limits
/// and, unless the input is released, NOT RELEASED.
/// Errors (computed): a number that is not finite (names point and what it is); those of DrawGauge.
[[nodiscard]] Result<InstructionSheet> MakeInstructionSheet(const ShopInput& input);

}  // namespace holeward
