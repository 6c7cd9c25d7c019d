// What lies near one place of a part, by tape, and how near it may come over a marking zone.
#pragma once

#include <string>
#include <vector>

#include "geometry/round_hole.h"

namespace holeward {

/// Where a mark may lie.
struct MarkReach {
  SkinPlace place;            ///< nominal
  double walk = 0.0;          ///< how far on the skin the mark may lie from it, mm
  double radius = 0.0;        ///< how far straight, mm
  bool nearest_only = false;  ///< of each kind only what may be the nearest is looked for
};

struct NearThings {
  std::vector<NearThing> things;    ///< `metal_least` without the hole's own radius
  std::vector<std::string> faults;  ///< tapes that could not be found, in sentences
};

/// Ends, lips, the edges of the flat the place lies on, fittings and other holes.
[[nodiscard]] NearThings NearThingsFrom(const Part& part, const TapeSolver& tape,
                                        const MarkReach& reach,
                                        const std::vector<OtherHole>& others);

}  // namespace holeward
