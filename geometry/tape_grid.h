// A rough shortest path over all ways at once, on the grid of the surface's rough copy.
#pragma once

#include <vector>

#include "geometry/tape_seed.h"

namespace holeward {

/// The shortest chain of grid chords (Dijkstra; neighbours up to a knight's move) from a start to a
/// place, cut into `chords` parts of like length. Some per cent longer than the true path: it tells
/// the ways round and shapes apart that the straight guesses leave out. v is not wrapped; a point
/// start keeps its own v. Empty if the place is not reached.
[[nodiscard]] std::vector<SkinPlace> GridPath(const SurfaceTable& table, const TapeStart& start,
                                              const SkinPlace& to, int chords);

}  // namespace holeward
