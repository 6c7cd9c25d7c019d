// What a rule would have to say for its point to lie somewhere else, and what is read between
// places.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// The numbers of a point's rule at a place of its part: mm, radians by protractor. Nothing for a
/// measure without a number (a line, in line, the middle), or that has no reading there.
/// @param points those of the same scene; the datums of the rule are looked up among them
[[nodiscard]] std::array<std::optional<double>, 2> RuleValuesAt(
    const Job& job, const Scene& scene, const std::vector<PlacedPoint>& points, const PointRow& row,
    const SkinPlace& place);

/// What is read between two places of a part's skin, mm.
struct PlaceReading {
  SkinPlace from, to;
  std::optional<double> tape;  ///< along the skin; nothing where no path settled
  std::string no_tape;         ///< why
  double rule = 0.0;           ///< straight
  double square_along = 0.0;   ///< from the section plane of the first to the second, unsigned
  double square_across = 0.0;  ///< across that direction, unsigned
  double station_from = 0.0, station_to = 0.0;
  double girth_from = 0.0, girth_to = 0.0;
  double girth = 0.0;  ///< round the section of the first, to the line along the part through the
                       ///< second, the shorter way
  std::vector<Vec3> path;  ///< of the tape on the skin, vehicle axes
};

/// Reads between two places, as the methods of a rule would.
[[nodiscard]] PlaceReading ReadBetween(const Part& part, const SkinPlace& from,
                                       const SkinPlace& to);

}  // namespace holeward
