// The orientation marker in the corner: a plain outline of a vehicle with its ways in words.
#pragma once

#include "viewer/window/eye.h"
#include "viewer/window/view_overlay.h"

namespace holeward {

/// Draws the vehicle into the lower left corner, turned as the eye sees it.
void PaintMarker(ViewOverlay& overlay, const Eye& eye);

}  // namespace holeward
