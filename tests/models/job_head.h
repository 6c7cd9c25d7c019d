// The head that a short job of a test begins with.
#pragma once

#include <string>

namespace holeward::testing_tools {

/// One side, the left, described from its left.
inline std::string JobHead(const std::string& title) {
  return "holeward = 1\ntitle = \"" + title + R"("
[set]
number = "T-1"
revision = "A"
[vehicle]
described_side = "left"
sides = ["left"]
posture = "level"
)";
}

}  // namespace holeward::testing_tools
