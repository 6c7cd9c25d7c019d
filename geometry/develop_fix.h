// Whether a sheet that is laid by its alignment lines can still slide or turn.
//
// A small motion of the sheet moves it by t and turns it by w about the middle of its marks. Each
// place of an alignment line that a person lays on its own line resists the part of the motion that
// goes across the line:
//
//     (n, n x (p - c) / R) . (t, w R)        n the line's normal, p the place, c the marks' middle
//
// R is how far the marks reach from c. The least singular value of these rows (root mean square
// over the places of each line) is how far the lines come off for a motion that takes the marks
// 1 mm from their places. docs/methods/alignment.md has more.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// The least a sheet must be held: a line laid within a quarter of a millimetre, which is what an
/// eye sees, then keeps the marks within 1 mm, what a placed sheet is taken to be off.
inline constexpr double kLeastHold = 0.25;
/// A mark's own reach where there is but one, mm: the sheet round it must not turn freely.
inline constexpr double kLeastReach = 20.0;

/// What a sheet is laid by.
struct SheetHold {
  std::vector<std::vector<Vec2>> lines;  ///< places of each line as printed, mm
  std::vector<Vec2> marks;               ///< at least one
  Vec2 along = Vec2::UnitX();  ///< unit direction of the part's length on the sheet, at the marks
  /// Girth of a wrap that meets itself, mm: its edges come off each other by girth * w. 0: open.
  double girth = 0.0;
};

struct SheetFix {
  double hold = 0.0;    ///< mm the lines come off for 1 mm at the marks, at least
  std::string freedom;  ///< the motion held least: "slide along the part", "turn", ...
  [[nodiscard]] bool Fixed() const { return hold >= kLeastHold; }
};

/// How well a sheet is held. @pre at least one mark
[[nodiscard]] SheetFix FixOf(const SheetHold& sheet);

}  // namespace holeward
