// Where a drill guide sits on a part: how far its saddle reaches, and what it is lined up by.
#pragma once

#include <string>
#include <vector>

#include "geometry/drill_guide.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"

namespace holeward {

/// The farthest a saddle reaches from the hole to be lined up by something, mm along the skin.
inline constexpr double kGuideReach = 60.0;

struct GuidePlan {
  SkinRectangle saddle;
  std::vector<GuideLip> lips;
  std::vector<std::string> lined_up;      ///< "its lip hooks over the front end"
  std::vector<std::string> not_lined_up;  ///< "the rear end is 192 mm away, out of reach"
};

/// What is asked of a plan.
struct GuideAsk {
  std::string point;
  SkinPlace at;
  double bush = 0.0;                ///< mm
  double gap = 0.0;                 ///< mm
  std::vector<std::string> datums;  ///< to be lined up by where in reach: ends, edges, fittings
};

/// Plans a guide: a saddle that stands out round the block on all sides, stops one gap short of
/// every fitting, wraps over the edges and hooks over the ends that are asked for and in reach.
/// Errors (job): an end, a fitting or a lip that leaves no room for the block; it is named.
[[nodiscard]] Result<GuidePlan> PlanGuide(const Part& part, const GuideAsk& ask);

}  // namespace holeward
