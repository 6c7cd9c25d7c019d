// A page drawing as a picture, for a screen or a printer that takes pictures.
#pragma once

#include <cstdint>
#include <vector>

#include "export/drawing.h"
#include "geometry/result.h"

namespace holeward {

struct PagePicture {
  int width = 0;  ///< pixels
  int height = 0;
  std::vector<std::uint32_t> pixels;  ///< 0xffRRGGBB, row by row from the top
};

/// Paints a page by what paints the PDF.
/// @param dots_per_mm the picture is the page's size in mm times this, rounded up
/// Errors: (computed) a drawing with a number that is not finite, a picture too large to hold.
[[nodiscard]] Result<PagePicture> PictureOfPage(const Drawing& page, double dots_per_mm);

}  // namespace holeward
