// A picture in memory.
#pragma once

#include <cstdint>
#include <vector>

namespace holeward {

/// 0xffRRGGBB a pixel, row by row from the top.
struct Bitmap {
  int width = 0;
  int height = 0;
  std::vector<std::uint32_t> pixels;
};

}  // namespace holeward
