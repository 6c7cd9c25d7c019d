// What the program gives its window: files written whole, sheets as pages, the set issued.
#pragma once

#include "viewer/window_services.h"

namespace holeward {

/// Each may be called from any thread, but sheets and issue not at the same time as each other.
[[nodiscard]] WindowServices ServicesOfProgram();

}  // namespace holeward
