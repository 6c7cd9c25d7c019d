// The orientation marker in the corner: a plain outline of a vehicle with its ways in words.
#pragma once

#include <array>
#include <string>

#include "viewer/window/eye.h"
#include "viewer/window/view_overlay.h"

namespace holeward {

/// Draws the vehicle into the lower left corner, turned as the eye sees it.
void PaintMarker(ViewOverlay& overlay, const Eye& eye);

/// The words it carries, along the vehicle and across it: FRONT and LEFT on the ways they name; a
/// way that leads straight from the person is named by what is seen of the vehicle, REAR or RIGHT.
[[nodiscard]] std::array<std::string, 2> MarkerWords(const Eye& eye);

}  // namespace holeward
