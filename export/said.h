// Words of the results in the language of a sheet.
#pragma once

#include <string>

#include "geometry/checked.h"
#include "geometry/development.h"
#include "models/job.h"
#include "models/words.h"

namespace holeward {

/// "clear", "tight", "contact" or "unproven".
[[nodiscard]] std::string Said(Verdict verdict, const Words& words);
/// "clear", and in capitals what is not.
[[nodiscard]] std::string SaidLoud(Verdict verdict, const Words& words);
/// "left" or "right".
[[nodiscard]] std::string Said(Side side, const Words& words);
/// "reference", "test" or "drill".
[[nodiscard]] std::string Said(PointUse use, const Words& words);
/// Who set a stop: "job", "proposed" or "none".
[[nodiscard]] std::string Said(StopFrom from, const Words& words);

/// The name of a piece as its sheet prints it.
[[nodiscard]] std::string PieceName(const DevelopedPiece& piece, const Words& words);

}  // namespace holeward
