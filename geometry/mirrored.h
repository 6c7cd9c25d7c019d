// Results seen from the other side of the vehicle: mirrored about its centre plane (y = 0).
#pragma once

#include <string>

#include "geometry/checked.h"
#include "geometry/development.h"
#include "geometry/part.h"
#include "geometry/placed_point.h"

namespace holeward {

/// A text about a part with the names of its two ends exchanged, as whole words: what is said of
/// one side of a shared part, said of the other.
[[nodiscard]] std::string EndsExchanged(const std::string& text, const Part& part);

/// A point's mirror image. Lengths, girths and zones keep their sizes; on a shared part, which the
/// mirror turns end for end, the station is counted from its start again and the readings name the
/// other end.
[[nodiscard]] PlacedPoint Mirrored(const PlacedPoint& point, const Part& part);

/// A developed piece's mirror image; on a shared part its words name the other end.
[[nodiscard]] DevelopedPiece Mirrored(const DevelopedPiece& piece, const Part& part);

/// A hole's mirror image: the contact's place moves, nothing else.
[[nodiscard]] HoleCheck Mirrored(const HoleCheck& hole);

/// A point's check on the other side; on a shared part its edges and reasons name the other end.
[[nodiscard]] PointCheck Mirrored(const PointCheck& check, const Part& part);

}  // namespace holeward
