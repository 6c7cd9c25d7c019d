// The flats of a part's skin in order, and what they are called: by the direction they face, or by
// the job.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "models/part_words.h"

namespace holeward {

/// The words of a part by directions alone, as if the job named none of its flats.
[[nodiscard]] PartWords WordsByDirection(const PartRow& part, Side described);

/// The sides of a box in the order of its flats: flat 0 is the underside, counter-clockwise.
[[nodiscard]] std::array<std::string, 4> SidesInOrder(const PartWords& words);

/// Which side of a channel is open: 0 underside, 1 the +a side, 2 top, 3 the -a side.
[[nodiscard]] int OpenSide(const PartRow& part, const PartWords& words);

/// The flats of a part's skin.
struct Flats {
  std::vector<std::string> names;  ///< in order; empty: none
  std::size_t first = 0;           ///< outline only: which of the job's flats is the skin's first
};

/// @param words of the part, by directions alone. @pre stations; not round
[[nodiscard]] Flats FlatsByDirection(const PartRow& part, const PartWords& words);

/// The names of the flats with those that the job gives.
[[nodiscard]] std::vector<std::string> FlatNamesOf(const PartRow& part, const PartWords& words);

/// Gives the flats that the job names their names, in faces and edges: a flat goes by that name
/// alone, an edge by the name of the flat beside it. @param words by directions alone
void GiveNames(const PartRow& part, PartWords& words);

/// What an edge is called after the face on its other side.
[[nodiscard]] std::string EdgeName(const std::string& neighbour);

}  // namespace holeward
