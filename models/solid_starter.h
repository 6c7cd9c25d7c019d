// A starter job for the solid bodies of a STEP file.
#pragma once

#include <string>

#include "geometry/result.h"

namespace holeward {

/// A commented job to edit: every body of the file with its size; those that are straight hollow
/// tubes as parts, with the ends, sections, wall and centre line found in them; of the others why
/// they are none, and which cylinders (mounts, tubes, bars) they have.
/// Errors: those of ReadSolidFile.
[[nodiscard]] Result<std::string> SolidStarterJob(const std::string& path);

}  // namespace holeward
