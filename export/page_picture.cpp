#include "export/page_picture.h"

#include <cmath>
#include <cstring>
#include <memory>

#include "export/paint.h"

namespace holeward {
namespace {

constexpr double kMostPixels = 30000.0;  // one way; what Cairo's images can hold

}  // namespace

Result<PagePicture> PictureOfPage(const Drawing& page, double dots_per_mm) {
  const double width = std::ceil(page.width * dots_per_mm - 1e-6);
  const double height = std::ceil(page.height * dots_per_mm - 1e-6);
  if (!IsFinite(page) || !(width >= 1.0 && width <= kMostPixels) ||
      !(height >= 1.0 && height <= kMostPixels)) {
    return Fail(ErrorKind::computed, "the page cannot be drawn as a picture of that size");
  }
  PagePicture picture;
  picture.width = static_cast<int>(width);
  picture.height = static_cast<int>(height);
  const std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture.width, picture.height),
      &cairo_surface_destroy);
  const std::unique_ptr<cairo_t, decltype(&cairo_destroy)> context(cairo_create(surface.get()),
                                                                   &cairo_destroy);
  cairo_set_source_rgb(context.get(), 1.0, 1.0, 1.0);
  cairo_paint(context.get());
  cairo_scale(context.get(), dots_per_mm, dots_per_mm);
  Paint(context.get(), page);
  cairo_surface_flush(surface.get());
  if (cairo_status(context.get()) != CAIRO_STATUS_SUCCESS) {
    return Fail(ErrorKind::computed, cairo_status_to_string(cairo_status(context.get())));
  }
  const auto row = static_cast<std::size_t>(picture.width);
  picture.pixels.resize(row * static_cast<std::size_t>(picture.height));
  const unsigned char* from = cairo_image_surface_get_data(surface.get());
  const int stride = cairo_image_surface_get_stride(surface.get());
  for (int y = 0; y < picture.height; ++y) {
    std::memcpy(&picture.pixels[row * static_cast<std::size_t>(y)], from + y * stride, 4 * row);
  }
  for (std::uint32_t& pixel : picture.pixels) pixel |= 0xff000000U;
  return picture;
}

}  // namespace holeward
