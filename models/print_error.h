// What a paper template's own print adds to where a mark lands: docs/methods/print-error.md.
#pragma once

#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// A print is accepted when its 150 mm bars measure 149.5 to 150.5 mm, and a mark lies off by this
/// share of its distance from what the sheet is laid by.
inline constexpr double kAcceptedScale = 0.5 / 149.5;
/// What the join of two tiles adds, mm: common practice, no source.
inline constexpr double kJoinError = 0.3;

/// Greatest error of a print at a place, mm.
struct PrintError {
  double scale = 0.0;
  double joins = 0.0;
  [[nodiscard]] double Total() const { return scale + joins; }
};

/// What a print's error is told from, before templates are developed.
struct PrintedSheet {
  const TemplateRow& row;
  const Job& job;
  const Part& part;
  const std::vector<PlacedPoint>& points;  ///< those placed; the template's own are picked out
};

/// A bound on the print's error of one template at a place of its part, known before the template
/// is developed: the distances are the greatest there can be on the sheet from the place to what
/// the template is aligned to (or would be, where it names nothing that can be shown), the joins as
/// many as can lie between on a sheet that reaches round all its points and alignments.
/// @param place  of the template's point on the part's skin
[[nodiscard]] PrintError PrintErrorAt(const PrintedSheet& sheet, const SkinPlace& place);

/// Likewise of the straight distance between two marks of one template: joins as above, scale over
/// the longest way there can be on the skin between them.
/// @param straight mm
[[nodiscard]] PrintError PrintErrorBetween(const PrintedSheet& sheet, const SkinPlace& place,
                                           double straight);

/// Widens the zones of all points on templates by their prints' errors, and those of points read
/// from them by what that moves them.
/// @param points in the order of the file, their zones without prints
void AddPrintErrors(const Job& job, const Scene& scene, std::vector<PlacedPoint>& points);

}  // namespace holeward
