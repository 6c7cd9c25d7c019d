// A rough shortest path over all ways at once, on the grid of the surface's rough copy.
#pragma once

#include <vector>

#include "geometry/tape_seed.h"

namespace holeward {

/// Chains of grid chords (Dijkstra; neighbours up to a knight's move) from a start to a place, each
/// cut into `chords` parts of like length. With the distances from both ends known, the length of
/// the shortest way through each node is; its valleys across the middle and the quarters are the
/// ways that differ there, the shortest among them. Lengths err by some per cent: the chains tell
/// the ways round and shapes apart that the straight guesses leave out. v is not wrapped; a point
/// start keeps its own v. Empty if the place is not reached.
[[nodiscard]] std::vector<std::vector<SkinPlace>> GridPaths(const SurfaceTable& table,
                                                            const TapeStart& start,
                                                            const SkinPlace& to, int chords);

/// A chain of places in `chords` parts of like length, by the surface's rough copy.
[[nodiscard]] std::vector<SkinPlace> EvenPlaces(const SurfaceTable& table,
                                                const std::vector<SkinPlace>& path, int chords);

}  // namespace holeward
