// Which flat faces of a body may be the two ends of a tube: a mount on it may have flat rings too.
#pragma once

#include <vector>

#include <TopoDS_Shape.hxx>

#include "geometry/result.h"

namespace holeward {

/// Pairs of flat faces that may be the ends of a tube, each with all faces of the body that are not
/// flat: what TubeOfSolid, BentTubeOfSolid and ChannelOfSolid look at. The largest first.
/// @param joined the body, faces of one plane joined (WithFacesJoined)
/// Errors (computed): the kernel failed.
[[nodiscard]] Result<std::vector<TopoDS_Shape>> PairsOfEnds(const TopoDS_Shape& joined);

}  // namespace holeward
