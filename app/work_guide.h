// The drill guide of one hole of a run.
#pragma once

#include <memory>
#include <string>

#include "app/work.h"
#include "geometry/drill_guide.h"
#include "geometry/result.h"
#include "models/guide_plan.h"

namespace holeward {

struct DrillGuide {
  std::string point;
  Side side = Side::left;
  bool mirrored = false;
  double drill = 0.0;                   ///< mm
  double stop = 0.0;                    ///< depth of the tip when the top is met, mm
  double landing = 0.0;                 ///< from the drill's tip to what lands on the top, mm
  double bush_length = 0.0;             ///< from the saddle's underside to the top, mm
  double thinnest = 0.0;                ///< wall of the guide anywhere, mm
  Verdict verdict = Verdict::unproven;  ///< on the hole
  GuidePlan plan;
  GuideSpec spec;
  GuideFit fit;                             ///< as measured
  std::shared_ptr<const NamedSolid> solid;  ///< in the frame of the described side
};

/// Makes the guide that the options ask for, on the first side of a checked run, and checks its
/// fit. Errors: (job) no such drill point or stage, a hole drilled without a stop, a bush no wider
/// than the drill, no room on the part or beside a neighbour;
/// (computed) a guide that does not keep its gap within 0.1 mm or stands in a part or a fitting.
[[nodiscard]] Result<DrillGuide> GuideOf(const Work& work, const Options& options);

/// Writes a guide: STL as it is printed (z up, its top on the plate), else where it sits.
/// Prints `said` then and leaves with the verdict.
[[nodiscard]] ExitStatus WriteGuide(const Work& work, const DrillGuide& guide,
                                    const std::string& file, std::string_view said,
                                    Console& console);

}  // namespace holeward
