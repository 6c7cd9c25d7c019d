// Limits and marking errors in words, for sheets and reports: a verdict is never shown without
// them.
#pragma once

#include <string>
#include <vector>

#include "geometry/distribution.h"
#include "geometry/marking.h"
#include "models/words.h"

namespace holeward {

/// One value as it is printed.
struct ValueWords {
  std::string name;     ///< in English as in the job file
  std::string value;    ///< with its unit
  std::string meaning;  ///< what it is
};

/// Names and values as `words` says them; what each means is for reports, in English.
[[nodiscard]] std::vector<ValueWords> WordsOf(const Limits& limits, const Words& words = {});

/// Half-widths; a lopsided one gives both sides ("-0.8 +0.2 mm").
[[nodiscard]] std::vector<ValueWords> WordsOf(const Marking& marking, const Words& words = {});

/// How each error is drawn for the probability of contact, without a full stop: "each error even
/// over what the job states (rectangular; a disc, a cone)", or which error has which distribution.
[[nodiscard]] std::string WordsOf(const ErrorDistributions& distributions);

/// Limits, marking errors and errors set to 0 in one line, for a title block.
[[nodiscard]] std::string LimitsLine(const Limits& limits, const Marking& marking,
                                     const std::vector<std::string>& zeroed,
                                     const Words& words = {});

}  // namespace holeward
