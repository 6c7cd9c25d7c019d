// Where a plane cuts a curved sheet: found on a grid of the sheet, then followed on the sheet
// itself.
#pragma once

#include <array>
#include <functional>
#include <vector>

#include "geometry/section_loop.h"
#include "geometry/solid_law.h"
#include "geometry/vec.h"

namespace holeward {

/// A sheet over a grid of cells: s from 0 to `rows` along a part, t from 0 to `columns` around it,
/// smooth inside each cell and whole across them.
struct Sheet {
  int rows = 0;
  int columns = 0;
  bool round = true;                           ///< t = columns is t = 0 again
  std::function<Vec3(double s, double t)> at;  ///< vehicle axes; t within [0, columns]
};

/// One stretch of the cut.
struct SheetTrace {
  std::vector<Vec2> points;  ///< plane coordinates, mm; closed: the last joins the first
  bool closed = false;
  std::array<int, 2> end_row{-1, -1};  ///< open: the row its first and its last point lie on
};

/// Every stretch in which a plane cuts a sheet.
///
/// The cut is found where it parts the places of the grid, so what comes and goes within one cell
/// is missed. Each point is then put on sheet and plane together, and the polyline refined.
/// @return polylines within 0.003 mm of the true cut; a sheet whose grid lies in the plane or on
/// one
///         side of it gives none
[[nodiscard]] std::vector<SheetTrace> CutSheet(const Sheet& sheet, const CutPlane& plane);

/// The sheet of one side of a hollow part with a closed section: its strips, in order.
/// @param strips the outer or the inner ones; kept
[[nodiscard]] Sheet SheetOf(const std::vector<Strip>& strips);

/// The sheet round the metal of an open section: outside, a lip, inside backward, the other lip.
[[nodiscard]] Sheet SheetRound(const HollowStrips& strips);

}  // namespace holeward
