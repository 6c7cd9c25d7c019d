// Paper sizes a template can be printed on.
#pragma once

#include "geometry/result.h"
#include "models/job.h"

namespace holeward {

/// Width and height of a page, mm.
struct PageSize {
  double width = 0.0;
  double height = 0.0;  ///< of a roll: the longest page it gives
  bool roll = false;    ///< the height is cut to what is needed

  [[nodiscard]] PageSize Turned() const { return {height, width, roll}; }
};

/// Nothing is drawn nearer to an edge of the paper than this, mm.
inline constexpr double kPaperMargin = 10.0;
/// The longest page of a roll, mm (200 in, the largest page of a PDF 1.6 without user units).
inline constexpr double kLongestPage = 5080.0;
/// The narrowest roll that holds the 150 mm check bar and its margins, mm.
inline constexpr double kNarrowestRoll = 200.0;

/// The page of a paper, portrait. "A4 or Letter" gives the area common to both (210 x 279.4), which
/// prints on either without scaling.
/// Errors: an unknown name; a roll narrower than kNarrowestRoll or wider than kLongestPage.
/// Source: A4, A3: ISO 216. Letter, Tabloid: ASME Y14.1, sizes A and B (8.5 x 11 in, 11 x 17 in).
[[nodiscard]] Result<PageSize> SizeOf(const Paper& paper);

}  // namespace holeward
