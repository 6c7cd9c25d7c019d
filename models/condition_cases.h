// Whether a flow of conditions decides every case, and uses every one of its decisions.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "models/condition.h"

namespace holeward {

/// More distinct questions than this make a flow that no person follows; it is then refused.
inline constexpr std::size_t kMostCaseNodes = 200000;

/// What is wrong with a flow, if anything.
struct FlowFaults {
  std::vector<std::size_t> unreachable;  ///< decisions that no case comes to, by index
  std::optional<TestEntries> undecided;  ///< a case that none of the decisions covers
  bool too_entangled = false;            ///< more than kMostCaseNodes: nothing was decided
};

/// Decides it exactly, over every case: at each test point pass, fail or not tested and, where it
/// was tested, every thickness from 0 up. Thicknesses matter by the limits they are compared with
/// alone: below the first, at it, between it and the next, and so on. The conditions are kept as
/// reduced ordered decision diagrams over those cases (R. E. Bryant, IEEE Transactions on Computers
/// C-35 (1986) 677, here with as many branches as a test point has cases).
[[nodiscard]] FlowFaults CheckFlow(const std::vector<const Condition*>& flow);

/// A case in words: "left A1 fails with 2.4 mm remaining, right A1 is not tested".
[[nodiscard]] std::string CaseWords(const TestEntries& entries);

}  // namespace holeward
