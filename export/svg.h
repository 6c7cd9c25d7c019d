// SVG of one page drawing: in mm at 1:1, letters as outlines, groups named for what they are.
#pragma once

#include <string>

#include "export/drawing.h"
#include "geometry/result.h"

namespace holeward {

/// The text of an SVG document whose user unit is one millimetre (width="210mm",
/// viewBox="0 0 210 297"). Letters are outlines (no font needed to show them alike) and carry their
/// words as `aria-label`; runs of items of one group form a `<g class="cut">` and so on.
/// Errors: a drawing with a number that is not finite; Cairo failing.
/// Accuracy: coordinates are written to 0.0001 mm.
[[nodiscard]] Result<std::string> ToSvg(const Drawing& page, const std::string& title);

}  // namespace holeward
