// Opens the window and stays until it is closed.
#pragma once

#include <string>

#include "viewer/window_services.h"

namespace holeward {

/// Why no window can be opened here, in a sentence; empty if one can. Call before RunWindow.
[[nodiscard]] std::string WhyNoWindow();

/// What has to be said to the toolkit before an application is made.
void PrepareToolkit();

/// Shows the window with a job, or without one. @param job may be empty
/// @return 0 when it was closed, 4 when the display gave no picture (told on standard error)
[[nodiscard]] int RunWindow(const std::string& job, const WindowServices& services);

}  // namespace holeward
