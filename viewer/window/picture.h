// The window's picture drawn into a file, without a display.
#pragma once

#include <string>

#include "geometry/result.h"
#include "viewer/job_state.h"
#include "viewer/window/view_scene.h"

namespace holeward {

struct PictureWish {
  int width = 1400;
  int height = 900;
  Look look = Look::three_quarter;
  bool inside = false;
  std::optional<ChosenPoint> chosen;
};

/// The bytes of a PNG of a state, as the window would show it.
/// Errors (computed): no graphics at all, not even in software; nothing to draw.
[[nodiscard]] Result<std::string> WindowPicture(const JobState& state, const PictureWish& wish);

}  // namespace holeward
