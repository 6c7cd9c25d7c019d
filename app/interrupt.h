// Ctrl-C: the first asks the run to stop where nothing is half done, the second ends it at once.
#pragma once

namespace holeward {

/// Makes SIGINT ask for a stop. A second SIGINT ends the process with status 130.
void WatchForInterrupt();

/// True once a stop was asked for. Commands look between steps and leave with
/// ExitStatus::interrupted, before they write anything more.
[[nodiscard]] bool Interrupted();

}  // namespace holeward
