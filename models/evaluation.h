// A job worked out: parts built, points placed and checked, side by side; and worked out again
// after an edit, doing anew only what the edit can have changed.
#pragma once

#include <memory>
#include <stop_token>
#include <vector>

#include "models/check_memo.h"
#include "models/checking.h"
#include "models/job.h"
#include "models/job_reader.h"
#include "models/placing.h"
#include "models/scene.h"

namespace holeward {

/// One side, in the frame of the described side.
struct SideEvaluation {
  Side side = Side::left;
  bool mirrored = false;  ///< what a person sees is the mirror image
  std::shared_ptr<const SceneBuild> build;
  Placing placing;
  Checking checking;  ///< of the points that could be placed
  PlacingMemo placing_memo;
  CheckMemo check_memo;
};

struct Evaluation {
  Job job;
  std::vector<SideEvaluation> sides;
  Verdict verdict = Verdict::unproven;  ///< over all sides; unproven where a point has no place
  bool stopped = false;                 ///< asked to stop while it was checked: nothing is judged
};

/// Works out a job. Nothing is thrown; what could not be built or placed is in `build->errors`,
/// `build->failures` and `placing.errors` of each side.
///
/// @param before an earlier evaluation of a job, or null. What this job has in common with it is
/// taken over; the result is the same as without, but for the time it takes
/// @param stop asked to stop, the check is given up where it is: there are no checks then, and the
/// verdict over all is unproven. What was found of whole points is kept for a check after it
[[nodiscard]] Evaluation Evaluate(const Job& job, const Evaluation* before = nullptr,
                                  const std::stop_token& stop = {});

/// The same without its checks: parts and places alone, to be shown while the checks are made.
/// Given to Evaluate as `before`, nothing of it is done twice.
[[nodiscard]] Evaluation EvaluatePlaces(const Job& job, const Evaluation* before = nullptr);

}  // namespace holeward
