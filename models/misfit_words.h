// Where a template piece fits and should not, in words.
#pragma once

#include <string>
#include <vector>

#include "geometry/development.h"

namespace holeward {

/// The wrong places, each in a few words: "on the RIGHT side", "end for end", "at top", "on the
/// RIGHT side at top, underside". Grouped so that no side is named twice; empty without misfits.
/// @param other_side  the word for the side of the vehicle the piece is not for
[[nodiscard]] std::vector<std::string> WrongPlaces(const std::vector<Misfit>& misfits,
                                                   const std::string& other_side);

/// One sentence on a piece with misfits, for who makes the job.
[[nodiscard]] std::string MisfitNote(const DevelopedPiece& piece);

}  // namespace holeward
