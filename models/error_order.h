// The order in which the errors of a file are told.
#pragma once

#include <vector>

#include "models/job_reader.h"

namespace holeward {

/// By their places in the file; those of one place stay as they came.
void SortByPlace(std::vector<JobError>* errors);

}  // namespace holeward
