// Standard input, output and error exist from the first line of the program on.
#pragma once

namespace holeward {

/// Opens those of the three that the caller closed on something that takes no writes. A file of the
/// set could get their number otherwise, and messages would go into it. What is printed to a closed
/// output is then lost and told as lost.
void OpenMissingStandardFiles();

}  // namespace holeward
