// Places the points of a job, in the order of the file, on the parts of a scene.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/place.h"
#include "geometry/placed_point.h"
#include "models/job.h"
#include "models/job_reader.h"
#include "models/words.h"

namespace holeward {

/// Placed points in the frame of the job's described side, in the order of the file; what could not
/// be placed is told in `errors`, each at its rule in the job file. Points read from a point that
/// could not be placed are left out silently: their cause is told already.
struct Placing {
  std::vector<PlacedPoint> points;
  std::vector<JobError> errors;
  std::vector<JobError> warnings;  ///< ill-conditioned rules, zones without a bound
};

/// What an earlier placing of nearly the same job found, so that only what changed is placed anew.
/// Holds for one scene, one job's marking errors and templates; copies share what they hold.
struct PlacingMemo {
  struct Kept {
    PointRow row;
    PlacedPoint point;
  };
  std::map<std::string, std::shared_ptr<const Placer>> placers;  ///< by part
  std::map<std::string, Kept> points;                            ///< by name
};

/// Places every point that `side` has (`only` filters). `scene` is the one built for that side.
/// @param memo of the scene; points whose row, and whose datums' rows, are those it knows are taken
/// from it, the same as if they were placed anew; afterwards it holds this placing. May be null
[[nodiscard]] Placing PlacePoints(const Job& job, const Scene& scene, Side side,
                                  PlacingMemo* memo = nullptr);

/// The rule of a point in plain words, for instructions; lengths in mm, with inches beside them if
/// `inches`.
[[nodiscard]] std::string RuleInWords(const PointRow& point, bool inches = false,
                                      const Words& words = {});

/// The rule as it reads on the mirrored side of a shared part: its two ends have changed places.
[[nodiscard]] PointRow WithEndsExchanged(PointRow row, const Part& part);

}  // namespace holeward
