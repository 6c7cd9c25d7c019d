// What an earlier check of nearly the same job found, so that only what changed is checked anew.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geometry/access.h"
#include "geometry/checked.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/seat.h"
#include "geometry/tape.h"
#include "models/edge_distance.h"
#include "models/job.h"
#include "models/surroundings.h"

namespace holeward {

/// Everything about one point that depends on itself and the metal alone, not on other points.
struct PointFindings {
  PointRow row;
  PlacedPoint placed;
  EdgeDistance edge;
  std::optional<Seat> seat;
  std::string no_seat;  ///< why there is none
  Access access;        ///< test points: their body's room
  Access tall;          ///< likewise, among blocks of unstated height
  std::vector<HoleCheck> stages;
};

/// Holds for one scene and one job's limits, marking errors and tools; copies share what they hold.
struct CheckMemo {
  std::shared_ptr<const Result<Surroundings>> surroundings;
  std::map<std::string, std::shared_ptr<const TapeSolver>> tapes;  ///< by part
  std::map<std::string, std::shared_ptr<const PointFindings>> points;
};

}  // namespace holeward
