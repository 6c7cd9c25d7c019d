// What to set at a stage of a hole, in figures and in sentences: the stop, and where no stop would
// do, which change would.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "models/error_shares.h"
#include "models/hole_analysis.h"
#include "models/hole_variant.h"
#include "models/surroundings.h"

namespace holeward {

/// What the settings are looked for in.
struct SettingsOfWhat {
  const HoleVariant& as_is;
  const Job& job;  ///< the whole of it
  const Scene& scene;
  const Part& part;
  const Surroundings& surroundings;
  const std::function<const SteadySurroundings*()>& halved;  ///< with half of one error each
  const HoleCheck& check;
  Side side = Side::left;
};

/// The stops that go through with the allowance and keep the limit, each in every case: the least
/// rounded up, the greatest down to 0.1 mm. Nothing where the depths are not computed.
[[nodiscard]] std::optional<StopRange> StopsOf(const HoleCheck& check, const Job& job,
                                               double horizon);

/// Sentences on what to set. Where no stop would do, looks for what would: a smaller drill, another
/// point or axis, another place on the rule, a steadier hand; each alone, everything else as it is.
[[nodiscard]] std::vector<std::string> AdviceOn(const SettingsOfWhat& what,
                                                const std::optional<StopRange>& stops);

/// Angle between the intended axis and the skin's normal at the nominal place, radians; nothing if
/// the axis does not go into the part.
[[nodiscard]] std::optional<double> LeanOf(const SettingsOfWhat& what);

}  // namespace holeward
