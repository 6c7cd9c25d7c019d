// The section through the drill's axis, drawn to a standard scale, and a detail of its near wall.
#pragma once

#include <string>
#include <vector>

#include "export/clearance_input.h"
#include "export/clearance_view.h"
#include "export/drawing.h"
#include "export/label_placer.h"

namespace holeward {

/// A dimension as it was drawn: the ends of its line, mm on the page, and what it stands for.
struct DrawnDimension {
  std::string what;  ///< "near wall", "margin", …
  Vec2 from = Vec2::Zero();
  Vec2 to = Vec2::Zero();
  double value = 0.0;  ///< true length, mm
  double scale = 1.0;  ///< of its view
};

struct DrawnSection {
  SectionView whole;
  SectionView detail;
  std::vector<DrawnDimension> dimensions;
  std::vector<Box> words;  ///< what its lettering covers, none over another
};

/// Draws the section of one stage into `room` (mm on the page): the whole at the left, the near
/// wall as detail A at the right, the key of its lines below.
/// Scales are those of ISO 5455, the largest at which the walls and inner bodies fit; what is still
/// too large at the smallest is cut off at the view's border. Walls are hatched at 45 degrees,
/// other bodies the other way (ISO 128-3).
/// @pre everything finite; hole.section is set
[[nodiscard]] DrawnSection DrawSection(const ClearanceHole& hole, const Box& room,
                                       Drawing* drawing);

}  // namespace holeward
