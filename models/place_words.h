// Places of a part's skin as a person says them: "A3", "pivot eye", "120 35", "120 rear".
#pragma once

#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"

namespace holeward {

/// The place of a part's skin that is called so, or measured so:
///   a point of the part, or a fitting by its centre,  by name
///   STATION GIRTH         from the start; round the section as a reading of the place shows it
///   STATION FACE [ASIDE]  on the middle of a face or a named line, or so far beside it by tape,
///                         positive with the girth
/// Numbers are in `unit`s of so many mm. @param points placed, of the same scene
/// Errors (job): there is no such place, with what may be said.
[[nodiscard]] Result<SkinPlace> PlaceInWords(const Part& part,
                                             const std::vector<PlacedPoint>& points,
                                             const std::string& words, double unit);

/// A place as PlaceInWords takes it: "120.0 35.2", to a tenth of a mm or a thousandth of an inch.
[[nodiscard]] std::string WordsOfPlace(const Part& part, const SkinPlace& place, double unit);

/// The names PlaceInWords knows: fittings, then points.
[[nodiscard]] std::vector<std::string> NamedPlaces(const Part& part,
                                                   const std::vector<PlacedPoint>& points);

}  // namespace holeward
