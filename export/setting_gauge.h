// The setting gauge: each drill with its depth stop drawn full size, to lay the drill on.
//
//      tip                stop face            jaws
//       |<----- stop ------>|
//       |                +--+-----+             |
//       <================|  collar|=============|
//       |                +--+-----+             |
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "export/clearance_flow.h"
#include "export/shop_input.h"
#include "geometry/result.h"

namespace holeward {

/// A drill at one setting, and the holes it is for.
struct GaugeSetting {
  double diameter = 0.0;
  std::optional<double> stop;  ///< depth, mm; nothing: drilled without
  double projection = 60.0;    ///< drill showing from the chuck
  std::string holes;           ///< "A3 pilot, A4 pilot"
  std::string proposed;        ///< of those, the holes whose stop is proposed, not the job's
  bool all_proposed = false;
};

/// Where a drill came to lie, mm on its page. The axis runs level, the tip at the left.
struct GaugePlace {
  double diameter = 0.0;
  std::optional<double> stop;
  int page = 1;  ///< of its document
  Vec2 tip = Vec2::Zero();
  std::optional<Vec2> stop_face;  ///< on the axis
  double end = 0.0;               ///< x at which the drill's drawing ends
};

/// Every drill and setting of a side once, the thinnest first, then the shortest stop.
[[nodiscard]] std::vector<GaugeSetting> SettingsOf(const ShopSide& side, const Words& words = {});

/// Room a setting needs, mm.
[[nodiscard]] double GaugeHeight(const GaugeSetting& setting, const ShopInput& input, double width);

/// Draws one drill, full size, in `area`. A collar that does not fit before the chuck is left out
/// and a spacer tube drawn in its place. What is longer than the area is broken off.
/// Errors (job): a drill that cannot be (geometry/drill.h).
[[nodiscard]] Result<GaugePlace> DrawGauge(const GaugeSetting& setting, const ShopInput& input,
                                           const FlowArea& area);

}  // namespace holeward
