// A path held by an end of the part: where the geodesic would leave the skin, the shortest path
// runs along the edge instead.
#pragma once

#include "geometry/tape_aim.h"

namespace holeward {

/// The constrained path of a geodesic that runs beyond one end (or lip) for one stretch: a geodesic
/// that meets the edge at a tangent, a stretch of the edge, and a geodesic that leaves it at a
/// tangent (the condition of a shortest path round an obstacle, calculus of variations).
/// Errors (computed): it leaves more than once, or no tangent was found.
[[nodiscard]] Result<TapePath> PathAlongEdge(const Surface& surface, const TapeStart& start,
                                             const SkinPlace& to, const TapeAim& beyond);

/// The path that runs along a crease for a stretch: where a mitre's crease curves into the skin on
/// both its sides (the inner corners of a bend) shortest paths follow it, as round an end.
/// `places`: a coarse path. Nothing if no crease near it is met at tangents from both ends.
[[nodiscard]] std::optional<TapePath> PathAlongCrease(const Surface& surface,
                                                      const TapeStart& start,
                                                      const std::vector<SkinPlace>& places);

}  // namespace holeward
