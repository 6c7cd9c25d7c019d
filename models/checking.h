// The check of a job: every hole's clearance, every point's edges, seat and access, and the
// verdicts.
#pragma once

#include <stop_token>
#include <vector>

#include "geometry/checked.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"
#include "models/check_memo.h"
#include "models/job.h"

namespace holeward {

struct Checking {
  std::vector<HoleCheck> holes;    ///< stage by stage, in the order of the points
  std::vector<PointCheck> points;  ///< test and drill points
  Verdict verdict = Verdict::unproven;
};

/// How a check runs; what it finds out does not depend on it.
struct CheckRun {
  /// What an earlier check of the scene found: points that are as it knows them are not checked
  /// anew, but for their spacing; afterwards it holds this check. May be null.
  CheckMemo* memo = nullptr;
  /// Once asked to stop, no further hole is begun and the one under way is given up: what is not
  /// found out by then is unproven, and the memo does not know it.
  std::stop_token stop;
};

/// Checks every test and drill point of one side, in the frame of the described side.
/// @param scene built for `side`; @param placed the points placed on it
/// @return one HoleCheck a stage of a drill point, one PointCheck a test or drill point; the
/// verdict
///         over all, unproven without any. Whatever could not be computed is unproven with its
///         reason; nothing is thrown.
/// Proposed stop: greatest break-through over all errors, `limits.through`, the depth setting and
/// what the collar lands early, rounded up to the next 0.5 mm.
/// Points are checked several at a time; what is returned does not depend on it.
[[nodiscard]] Checking CheckPoints(const Job& job, const Scene& scene,
                                   const std::vector<PlacedPoint>& placed, Side side,
                                   const CheckRun& run = {});

/// The worst of all holes and points; unproven without any.
[[nodiscard]] Verdict OverallVerdict(const std::vector<HoleCheck>& holes,
                                     const std::vector<PointCheck>& points);

}  // namespace holeward
