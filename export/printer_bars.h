// What a printer makes of the check bars, and the drawing stretched so that its prints come out
// true.
#pragma once

#include <string_view>

#include "export/paper.h"
#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

struct TemplateSheet;

/// The two check bars of an uncorrected print as a person measured them. The axes are the paper's,
/// as it runs through the printer: on a page that lies on its side x is the bar that stands.
struct PrinterBars {
  double x = 0.0;  ///< mm, along the short edge of the paper (across a roll)
  double y = 0.0;  ///< mm, along the long edge (along a roll)

  /// The same bars by the axes of a page that lies on its side.
  [[nodiscard]] PrinterBars Turned() const { return {y, x}; }
  /// Drawn length by true length, along the page's axes: 150 / measured.
  [[nodiscard]] Vec2 Scale() const;
};

/// A bar that measures more than this share off 150 mm is no matter of correction.
inline constexpr double kMostBarError = 0.02;

/// Reads "149.2x149.6": x by y, mm. Errors: not two plain numbers with an x between them; a bar
/// more than kMostBarError off. The sentence says what is allowed.
[[nodiscard]] Result<PrinterBars> ParsePrinterBars(std::string_view text);

/// The page to lay out, in true mm, so that what is drawn on `paper` keeps kPaperMargin from its
/// edges before and after printing (a printer's fault taken about the middle of the page).
[[nodiscard]] PageSize LayoutSize(const PageSize& paper, const Vec2& scale);

/// Stretches pages laid out by LayoutSize to the drawn page. Marks, bars, labels and match marks
/// are then in the drawn page's mm; `bars` are by the axes of an upright page.
void StretchPages(const PrinterBars& bars, TemplateSheet* sheet);

}  // namespace holeward
