// A stretch of a part where a second wall lies against the inside of the first.
#pragma once

#include <string>

#include "geometry/marking.h"

namespace holeward {

/// A lap or a seam of double wall. Round the section it may lie anywhere: what a drill meets within
/// the stretch is taken to be that much thicker, where it enters and where it would come out.
struct Lap {
  std::string name;
  double from = 0.0;  ///< stations, mm
  double to = 0.0;
  double wall = 0.0;  ///< of the second wall, mm
  Basis basis = Basis::measured;

  friend bool operator==(const Lap&, const Lap&) = default;
};

}  // namespace holeward
