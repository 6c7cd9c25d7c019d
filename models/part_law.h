// From a part as the job gives it to the law of its skin, with the names of every piece of it.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/skin.h"
#include "models/job.h"
#include "models/part_words.h"

namespace holeward {

/// The law of a part's skin: sections at its stations, axes by how it lies. Pure rearrangement;
/// what is impossible about it Skin::Make tells.
/// @pre the row is as the reader leaves it: at least two stations, outlines counter-clockwise
[[nodiscard]] SkinLaw LawOf(const PartRow& part, Side described);

/// What the pieces of a part's skin are called.
struct PartNames {
  std::vector<Face> faces;          ///< the flats that have a name, in the order of the words
  std::vector<NamedLine> lines;     ///< round parts
  std::vector<std::string> pieces;  ///< one a piece: "rear", "corner rear-top", "flat 3"
  std::array<std::string, 2> lips;  ///< channel: at the lower v, at the higher v
};

[[nodiscard]] PartNames NamesOf(const PartRow& part, Side described);

/// The part and its sizes in words, for messages: `part "arm" (box 58 x 46 to 50 x 44, wall 2.6)`.
[[nodiscard]] std::string Described(const PartRow& part);

}  // namespace holeward
