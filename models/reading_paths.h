// The readings of a placed point as they lie on the part: where a tape runs, what a rule spans.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "models/job.h"

namespace holeward {

/// One line of a reading, in the frame of the described side.
struct ReadingPath {
  Method method = Method::tape;
  std::string from;          ///< the datum it starts at; "face" across a face
  double value = 0.0;        ///< mm along the line, or radians where `is_angle`
  bool is_angle = false;     ///< a protractor's arc
  bool measured = true;      ///< false: a line the point lies on, nothing is read along it
  bool on_skin = true;       ///< false: straight through the air, by rule or square
  std::vector<Vec3> places;  ///< from the datum to the point, vehicle axes; at least two
};

/// The lines of every reading of every point, one list a point in the order of `points`: a middle
/// between two datums has two, one from each. A reading that has no line (the point lies on its
/// datum) is left out.
/// @param points those of `scene`, placed by the job's rules
/// @param known the lines of the point of that index where they are known already, else null
[[nodiscard]] std::vector<std::vector<ReadingPath>> ReadingPathsOf(
    const Job& job, const Scene& scene, const std::vector<PlacedPoint>& points,
    const std::function<const std::vector<ReadingPath>*(std::size_t)>& known = {});

}  // namespace holeward
