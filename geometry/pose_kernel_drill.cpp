// A drill as convex parts, and what bounds on its free depth prove.
#include <algorithm>
#include <cmath>

#include "geometry/pose_kernel.h"

namespace holeward {

const char* Word(PoseOutcome outcome) {
  switch (outcome) {
    case PoseOutcome::met: return "met";
    case PoseOutcome::nothing: return "nothing met";
    case PoseOutcome::undecided: return "undecided";
    case PoseOutcome::not_finite: return "not finite";
    case PoseOutcome::beyond_region: return "beyond the region";
    case PoseOutcome::no_near_wall: return "no near wall";
    case PoseOutcome::not_settled: return "not settled";
  }
  return "undecided";
}

PoseProof Judge(const PoseBounds& bounds, double depth) {
  if (!bounds.ok() || !std::isfinite(depth)) return PoseProof::unproven;
  if (bounds.free_lower > depth) return PoseProof::clear;
  if (bounds.free_upper <= depth) return PoseProof::contact;
  return PoseProof::unproven;
}

PoseDrill PoseDrill::Of(const Drill& drill, double side) {
  PoseDrill ready;
  ready.drill_ = drill;
  ready.radius_ = drill.radius();
  ready.side_ = side;
  ready.full_behind_ = drill.FullBehind();
  ready.cot_ = drill.cot();
  const auto parts_of = [](const Drill& of) {
    std::vector<Part> parts;
    for (const Drill::Rise& rise : of.rises()) {
      // Where a shoulder lies inside the cone before it, the drill is only as wide as the cone.
      const double before = parts.empty() ? 0.0 : parts.back().back;
      const double front = std::max(rise.behind, before);
      const double back = std::max(front, rise.behind + (rise.to - rise.from) * rise.cot);
      parts.push_back({rise.cot > 0.0 ? rise.from : rise.to, front, rise.to, back});
    }
    return parts;
  };
  ready.parts_ = parts_of(drill);
  ready.wide_parts_ = parts_of(drill.Widened(side));
  ready.least_cot_ = drill.cot();
  for (const Part& part : ready.wide_parts_) {
    if (part.radius > 0.0)
      ready.least_cot_ =
          std::min(ready.least_cot_, part.front > 0.0 ? part.front / part.radius : drill.cot());
    ready.least_cot_ = std::min(ready.least_cot_, part.back / part.radius);
  }
  return ready;
}

}  // namespace holeward
