// From the names of a rule of placement to datums and measures on a part's skin.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/datum.h"
#include "geometry/marking.h"
#include "geometry/part.h"
#include "geometry/place.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// What names are looked up in: one part, the point's face and the points placed before it.
struct DatumScope {
  const Part* part = nullptr;
  const Face* face = nullptr;  ///< the point's face; none on a round part
  const std::vector<PlacedPoint>* earlier = nullptr;
  const PartRow* row = nullptr;  ///< of the part: what a solid shows to measure from; may be null
  double outboard_y = 1.0;       ///< of the scene: +1 when the described side is the left one
};

/// How one measure is read: as written, or with another method or reading of an edge.
struct ReadingWay {
  Method method = Method::tape;
  bool sharp = true;  ///< edges: from the sharp corner, else from the tangent line
};

/// The row of a part, or null.
[[nodiscard]] const PartRow* RowOf(const Job& job, const std::string& part);

/// The datum called `name`; a hole by its centre if `to_centre`.
/// Errors (job): the part, or the point's face, has no such datum.
[[nodiscard]] Result<Datum> DatumByName(const DatumScope& scope, const std::string& name,
                                        bool to_centre = false);

/// `toward` as seen from a datum: a direction of vehicle axes, or an end of the part. Outboard is
/// away from the centre plane where the datum lies (within 0.5 mm of it: as on the described side).
/// Errors (job): not a direction nor an end of the part.
[[nodiscard]] Result<Toward> TowardFrom(const DatumScope& scope, const std::string& word,
                                        const Datum& datum);

/// A rule's failure, with which of its measures caused it.
struct RuleFault {
  std::size_t measure = 0;
  std::string message;
};

/// The two measures of a point, read these ways, with their half-widths.
[[nodiscard]] tl::expected<Rule, RuleFault> RuleOf(const DatumScope& scope, const PointRow& point,
                                                   const Marking& marking,
                                                   const std::array<ReadingWay, 2>& ways);

/// The ways a measure can honestly be read, the one as written first: tape, rule and square stand
/// for each other; an edge whose reading is not stated is read from the sharp corner or the tangent
/// line.
[[nodiscard]] std::vector<ReadingWay> WaysToRead(const DatumScope& scope, const MeasureRow& row);

/// The job's word for a method.
[[nodiscard]] const char* Word(Method method);

}  // namespace holeward
