// Builds the parts of a job, ready to work on, for one side of the vehicle.
#pragma once

#include <vector>

#include "geometry/part.h"
#include "models/job_reader.h"

namespace holeward {

/// A scene, or the errors (each with its place in the job) that kept it from being built.
struct SceneBuild {
  Scene scene;
  std::vector<JobError> errors;
  std::vector<JobError> failures;  ///< the kernel could not build what the job rightly asks: exit 4
  [[nodiscard]] bool ok() const { return errors.empty() && failures.empty(); }
};

/// Builds every part and neighbour that `side` has, in the frame of the job's described side: for
/// the other side, shared parts keep their inner bodies where they are (seen mirrored from here)
/// and `only` filters apply. Results for the other side are then mirrored about y = 0.
[[nodiscard]] SceneBuild BuildScene(const Job& job, Side side);

}  // namespace holeward
