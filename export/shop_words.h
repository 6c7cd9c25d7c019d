// What the instruction sheet says: cautions, tools, and the steps in their order. Words only.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/clearance_flow.h"
#include "export/shop_input.h"

namespace holeward {

/// "DANGER", "WARNING", "CAUTION" or "NOTICE".
[[nodiscard]] std::string Said(Signal signal, const Words& words);

/// One hazard: what it is and what it does, and how it is avoided.
struct Hazard {
  Signal signal = Signal::notice;
  std::string hazard;
  std::string avoid;
};

/// The hazards of a side's work, the worst first: those of every job, those that the job's inner
/// bodies, neighbours and uses of holes bring, and those of the trainer's own steps.
[[nodiscard]] std::vector<Hazard> HazardsOf(const ShopInput& input, const ShopSide& side);

/// A tool or material, and what it is for.
struct ToolLine {
  std::string item;
  std::string use;
};

/// What a side's work needs, drawn from the job: what the points are measured with, test tip,
/// drills with their stops, plugs, sealant, and the material of the trainer's own steps.
[[nodiscard]] std::vector<ToolLine> ToolsOf(const ShopInput& input, const ShopSide& side);

/// One step of the work.
struct ShopStep {
  std::string title;
  std::vector<std::string> sentences;
  FlowTable table;                                      ///< without rows: none
  std::optional<StandardStep> standard = std::nullopt;  ///< none: the trainer's own
  std::optional<Hazard> hazard = std::nullopt;          ///< of this step alone
};

/// The steps of a side's work, first to last, the trainer's own among them; standard ones that the
/// job has nothing for are left out. A hole or
/// point that is not clear is named as one not to be drilled or tested.
[[nodiscard]] std::vector<ShopStep> StepsOf(const ShopInput& input, const ShopSide& side);

}  // namespace holeward
