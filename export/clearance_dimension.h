// Dimension lines along a drill's depth, with lettering that does not overlap.
#pragma once

#include <string>
#include <vector>

#include "export/drawing.h"
#include "export/label_placer.h"

namespace holeward {

/// A filled arrowhead with its tip at `tip`, pointing along `way` (unit). Size: ISO 129-1, narrow.
void DrawArrowhead(const Vec2& tip, const Vec2& way, Drawing* drawing);

/// A level along the depth, drawn as a line across with its words at the end.
struct Level {
  double y = 0.0;                  ///< mm on the page
  std::vector<std::string> words;  ///< one line each; the first stands at the level
};

/// Where a column of levels stands.
struct LevelColumn {
  double from = 0.0;   ///< lines begin here, x on the page
  double line = 0.0;   ///< x of the dimension line
  double words = 0.0;  ///< x at which the lettering begins
};

/// Words beside their levels, pushed down where they would overlap; tied to their level by a line.
/// @param levels from the top down
/// @return the boxes of the lettering
std::vector<Box> DrawLevels(const LevelColumn& column, const std::vector<Level>& levels,
                            Drawing* drawing);

/// A dimension line along y between two places, arrows inside where there is room, else outside.
void DrawUpright(double x, double from, double to, Drawing* drawing);

}  // namespace holeward
