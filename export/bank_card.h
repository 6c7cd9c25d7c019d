// The outline of a bank card: a second check of a print's scale, with what everyone carries.
#pragma once

#include "export/box.h"
#include "export/drawing.h"
#include "models/words.h"

namespace holeward {

/// Width and height of a card of size ID-1, mm. Source: ISO/IEC 7810.
inline const Vec2 kCardSize(85.60, 53.98);
/// Radius of its corners, mm. Source: ISO/IEC 7810 (3.18 within 0.30; from memory, unverified).
inline constexpr double kCardCorner = 3.18;

/// Draws the outline on the box, which is of kCardSize, and in it how to use it.
void DrawBankCard(const Box& box, const Words& words, Drawing* drawing);

}  // namespace holeward
