// The templates of a job: for each [[template]], the developed pieces to print.
#pragma once

#include <string>
#include <vector>

#include "geometry/development.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "models/job.h"

namespace holeward {

/// One [[template]], developed, in the frame of the described side (Mirrored() makes the other).
struct TemplatePieces {
  std::string name;
  std::string part;
  std::vector<DevelopedPiece> pieces;
  std::vector<std::string> notes;  ///< what the trainer should know: datums not shown, proposals
  Paper paper;
  double backing = 0.0;  ///< mm
};

/// Develops one template. Points on several faces come as one piece where that holds every marked
/// length within 0.2 mm, else as one piece a face; so does a round part, all round where it is
/// small. A piece that cannot be laid flat, or whose marks would land further from their places
/// than the job's limit when it is laid back (wrap_back.h), is cut in two between the marks that
/// lie farthest apart, and again, as far as it takes. A piece that shows none of the template's
/// alignment datums is given the two best ones of its own.
///
/// @param placed  the points of the scene's side; a point named but not among them (it belongs to
///                the other side only) is left out and noted
/// @return the pieces; none when no point of this side is left
/// Errors (job), the caller adds the template's place in the file: a mark's piece that cannot be
/// laid flat within 0.2 mm (states its stretch and the worst length) or lands further off than the
/// limit (names mark, error and limit), a point that lies on a rounded corner and cannot be joined,
/// an unknown part.
[[nodiscard]] Result<TemplatePieces> DevelopTemplate(const TemplateRow& row, const Job& job,
                                                     const Scene& scene,
                                                     const std::vector<PlacedPoint>& placed);

/// All templates of the job, in the order of the file. Stops at the first error.
[[nodiscard]] Result<std::vector<TemplatePieces>> DevelopTemplates(
    const Job& job, const Scene& scene, const std::vector<PlacedPoint>& placed);

}  // namespace holeward
