// The help texts, written out: they are read more often than they change.
#pragma once

#include <string>

#include "app/command_line.h"

namespace holeward {

/// What `holeward --help` prints.
[[nodiscard]] std::string HelpText();

/// What `holeward COMMAND --help` prints.
[[nodiscard]] std::string HelpText(Command command);

}  // namespace holeward
