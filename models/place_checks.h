// What keeps a rule from placing a point, in words: no place, several, or one that is taken.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/place.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// The line of a round part that lies nearest to v by girth; empty if the part has none.
[[nodiscard]] std::string NearestLine(const Part& part, double v);

/// Why no solution places the point: nearest to another line, off its face (by how much), on the
/// wrong side, or out of reach
/// (how far the part reaches in each reading).
[[nodiscard]] std::string WhyNone(const Placer& placer, const Part& part, const Rule& rule,
                                  const std::vector<Solution>& found);

/// The candidates between which a rule does not decide: station, girth, position.
[[nodiscard]] std::string WhySeveral(const Skin& skin, const std::vector<Solution>& candidates);

/// What a place may be taken by.
struct Occupied {
  const Part& part;
  const Placer& placer;
  const Job& job;
  const std::vector<PlacedPoint>& earlier;  ///< points of the job
};

/// Why a point cannot lie where it was placed: under a fitting, or a hole on top of another.
[[nodiscard]] std::optional<std::string> WhyOccupied(const Occupied& occupied, const PointRow& row,
                                                     const PlacedPoint& point);

}  // namespace holeward
