#include "export/paper.h"

#include <fmt/format.h>

namespace holeward {

Result<PageSize> SizeOf(const Paper& paper) {
  if (paper.roll_width > 0.0) {
    if (!(paper.roll_width >= kNarrowestRoll && paper.roll_width <= kLongestPage)) {
      return Fail(
          ErrorKind::job,
          fmt::format("a roll of {:.1f} mm cannot be used: from {:.0f} (room for the 150 mm "
                      "check bar and the margins) to {:.0f} mm is allowed",
                      paper.roll_width, kNarrowestRoll, kLongestPage));
    }
    return PageSize{paper.roll_width, kLongestPage, true};
  }
  if (paper.name == "A4") return PageSize{210.0, 297.0};
  if (paper.name == "A3") return PageSize{297.0, 420.0};
  if (paper.name == "Letter") return PageSize{215.9, 279.4};
  if (paper.name == "Tabloid") return PageSize{279.4, 431.8};
  if (paper.name == "A4 or Letter") return PageSize{210.0, 279.4};
  return Fail(
      ErrorKind::job,
      fmt::format("paper \"{}\" is not known: A4, A3, Letter, Tabloid, \"A4 or Letter\" or a "
                  "roll are allowed",
                  paper.name));
}

}  // namespace holeward
