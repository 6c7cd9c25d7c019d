// Pieces of jobs on a straight tube, to be put together.
#pragma once

#include <string>

namespace holeward::testing_tools {

inline const char* const kHead = R"(holeward = 1
title = "Tube to test with"
[set]
number = "T-1"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left", "right"]
posture = "level"
)";

// A straight tube of 60.3 x 3.
inline const char* const kTube = R"([part.tube]
section = "round"
diameter = 60.3
wall = 3
from = [0, 100, 300]
to = [0, 500, 300]
start = "inner end"
finish = "outer end"
)";

inline const char* const kHole = R"([[point]]
name = "D1"
use = "drill"
part = "tube"
rule = [ { tape = 200, from = "inner end", toward = "outboard" }, { line = "bottom" } ]
drill = [6]
)";

inline const char* const kTest = R"([[point]]
name = "P1"
use = "test"
part = "tube"
rule = [ { tape = 120, from = "inner end", toward = "outboard" },
         { protractor = 30, from = "bottom", toward = "front" } ]
)";

inline const char* const kBar = R"([[part.tube.inner]]
name = "bar"
diameter = 24
offset = [0, 0, 0]
reach = [0, 400]
)";

inline const char* const kTemplate = R"([[template]]
name = "tube wrap"
part = "tube"
align = ["inner end", "bottom"]
paper = "A4"
)";

/// A text with the first of some words in it changed. Throws std::out_of_range if there are none.
inline std::string With(std::string text, const std::string& from, const std::string& to) {
  return text.replace(text.find(from), from.size(), to);
}

}  // namespace holeward::testing_tools
