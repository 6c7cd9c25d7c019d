// A model as a STEP file. Only the exchange process links this: the kernel's exchange libraries
// bring many others with them.
#pragma once

#include <string>

#include "export/model_request.h"
#include "geometry/result.h"

namespace holeward {

/// A STEP file (ISO 10303-21) of application protocol 214: one assembly named for the model, in it
/// a product a part (named faces, colours), a point and a drill axis, in mm and vehicle axes. The
/// same model gives the same bytes.
/// Errors (computed): the kernel could not translate or write it, or wrote another schema.
[[nodiscard]] Result<std::string> ToStep(const ArrivedModel& model);

}  // namespace holeward
