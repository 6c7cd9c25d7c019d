// What eats the margin of a stage: each stated error's share (geometry/margin_shares.h).
//
// The stop stays where it is set; only the error is taken away. `margin_without` is the certified
// worst margin with the error at zero and all others as they are; the variance share is that of the
// error drawn alone, the others as intended.
#pragma once

#include <cstdint>
#include <vector>

#include "geometry/margin_shares.h"
#include "models/hole_variant.h"
#include "models/posed_hole.h"
#include "models/surroundings.h"

namespace holeward {

/// Surroundings with less of one error each.
struct SteadySurroundings {
  Surroundings wall;
  Surroundings outline;
  Surroundings inner_body;
  /// @param left what is left of each error, 0 to 1: 0.5 halves them
  /// Errors (computed): those of Surroundings::Make.
  [[nodiscard]] static Result<SteadySurroundings> Make(const Scene& scene, const Marking& marking,
                                                       double left);
};

/// What the shares are of.
struct SharesOfWhat {
  const HoleVariant& as_is;
  const HoleSite& ready;  ///< its site made ready, with every error
  const HoleCheck& check;
  const PosedHole* posed = nullptr;  ///< nothing: no variance shares
};

/// Every error that the job states as more than zero and that can play a part here, greatest gain
/// first.
[[nodiscard]] std::vector<MarginShare> SharesOf(const SharesOfWhat& what, std::uint64_t seed);

}  // namespace holeward
