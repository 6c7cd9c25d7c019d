// Facets painted with a depth for each pixel, finer than the picture so that edges come out smooth.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <utility>
#include <vector>

#include <cairo.h>

#include "geometry/vec.h"

namespace holeward {

inline constexpr double kPixelsPerMm = 8.0;  ///< of a picture

using Surface = std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)>;

/// An image of what is nearest to the eye, white where nothing was painted. Places are in mm on the
/// page, x to the right and y down; depths in mm toward the eye.
class DepthImage {
 public:
  /// @param fineness pixels a mm
  DepthImage(double width_mm, double height_mm, double fineness = 2.0 * kPixelsPerMm);

  /// Paints a triangle; `p` are x, y on the page and the depth.
  /// @param tone 0 black, 255 white
  void Paint(const std::array<Vec3, 3>& p, unsigned char tone);

  /// True when a place at this depth is not behind anything painted, unless nearly as deep.
  /// @param slack mm that the nearest thing may lie in front of it
  [[nodiscard]] bool Sees(const Vec2& page, double depth, double slack = 1.5) const;

  /// Puts the image onto a page whose unit is one mm.
  void Draw(cairo_t* cr);

 private:
  /// The columns, first and last, in which a triangle's pixels of a row lie; one to spare.
  [[nodiscard]] std::pair<int, int> ColumnsAt(const std::array<Vec3, 3>& p, double y) const;

  [[nodiscard]] int RowAt(double mm, int count) const;

  double fine_;
  int width_, height_;
  std::vector<std::uint32_t> pixels_;  ///< as CAIRO_FORMAT_RGB24 has them
  std::vector<double> depth_;
};

}  // namespace holeward
