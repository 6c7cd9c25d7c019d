// A body of a file with mounts in one piece with its tube: what a tube was taken from.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "geometry/fitting_body.h"
#include "geometry/solid.h"

namespace holeward {

/// The faces of one mount, by the name of the fitting it is.
struct MountBody {
  std::string fitting;
  std::shared_ptr<const FittingBody> body;
};

struct MountedBody {
  NamedSolid whole;  ///< tube and mounts, as the file has them
  std::vector<MountBody> mounts;
};

/// The faces of a fitting in one piece with the body that a solid was taken from; null if it is
/// none of its mounts. @param solid may be null
[[nodiscard]] const FittingBody* BodyOfFitting(const NamedSolid* solid, const std::string& fitting);

/// True if two solids have mounts of the same names and patches, to within 1e-9 mm, or none.
[[nodiscard]] bool SameMounts(const NamedSolid* a, const NamedSolid* b);

}  // namespace holeward
