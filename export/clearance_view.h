// Which part of a section is shown at which scale, and where on the page.
#pragma once

#include <string>

#include "export/clearance_input.h"
#include "export/label_placer.h"

namespace holeward {

/// How a view lies on its page.
struct SectionView {
  double scale = 1.0;         ///< drawn over true
  Vec2 entry = Vec2::Zero();  ///< where the axis meets the skin, mm on the page
  Box window;                 ///< what is drawn of the section, mm on the page
  std::string scale_words;    ///< "2:1"

  [[nodiscard]] Vec2 At(const Vec2& section) const { return entry + scale * section; }
};

inline constexpr double kWholeWindow = 91.5;  ///< widest view of the whole, mm
inline constexpr double kWholeWords = 31.0;   ///< its dimensions
inline constexpr double kCompassStrip = 26.0;

/// The largest scale of ISO 5455, 5:1 at most, at which walls, inner bodies and the drill at its
/// setting fit the left of `views` (mm on the page); cut off where even 1:10 is too large.
/// @pre hole.section is set
[[nodiscard]] SectionView WholeView(const ClearanceHole& hole, const Box& views);

/// The near wall and the drill at its setting, at the upper right of `views`.
/// @pre hole.section is set
[[nodiscard]] SectionView DetailView(const ClearanceHole& hole, const Box& views);

}  // namespace holeward
