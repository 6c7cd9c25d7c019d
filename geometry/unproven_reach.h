// A stretch of a part whose sizes rest on a reading that nothing checks.
#pragma once

#include <string>

namespace holeward {

struct UnprovenReach {
  double from = 0.0;  ///< stations, mm
  double to = 0.0;
  std::string why;  ///< what a hole there rests on: "the reading "2 width", which nothing checks"

  friend bool operator==(const UnprovenReach&, const UnprovenReach&) = default;
};

}  // namespace holeward
