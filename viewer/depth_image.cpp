#include "viewer/depth_image.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace holeward {
namespace {

constexpr std::uint32_t kGrey = 0x010101;  // one tone in each of red, green, blue

}  // namespace

DepthImage::DepthImage(double width_mm, double height_mm, double fineness)
    : fine_(fineness),
      width_(static_cast<int>(width_mm * fineness)),
      height_(static_cast<int>(height_mm * fineness)),
      pixels_(static_cast<std::size_t>(width_ * height_), 255 * kGrey),
      depth_(pixels_.size(), -std::numeric_limits<double>::infinity()) {}

int DepthImage::RowAt(double mm, int count) const {
  return std::clamp(static_cast<int>(std::floor(mm * fine_)), 0, count - 1);
}

void DepthImage::Paint(const std::array<Vec3, 3>& p, unsigned char tone) {
  const double area =
      (p[1].x() - p[0].x()) * (p[2].y() - p[0].y()) - (p[2].x() - p[0].x()) * (p[1].y() - p[0].y());
  if (std::abs(area) < 1e-12) {
    return;
  }
  const auto [y_low, y_high] = std::minmax({p[0].y(), p[1].y(), p[2].y()});
  for (int j = RowAt(y_low, height_); j <= RowAt(y_high, height_); ++j) {
    const double y = (j + 0.5) / fine_;
    const auto [from, to] = ColumnsAt(p, y);
    for (int i = from; i <= to; ++i) {
      const double x = (i + 0.5) / fine_;
      const double b =
          ((x - p[0].x()) * (p[2].y() - p[0].y()) - (p[2].x() - p[0].x()) * (y - p[0].y())) / area;
      const double c =
          ((p[1].x() - p[0].x()) * (y - p[0].y()) - (x - p[0].x()) * (p[1].y() - p[0].y())) / area;
      if (b < -1e-9 || c < -1e-9 || b + c > 1.0 + 1e-9) {
        continue;
      }
      const double depth = p[0].z() + b * (p[1].z() - p[0].z()) + c * (p[2].z() - p[0].z());
      const auto at = static_cast<std::size_t>(j * width_ + i);
      if (depth > depth_[at]) {
        depth_[at] = depth;
        pixels_[at] = tone * kGrey;
      }
    }
  }
}

bool DepthImage::Sees(const Vec2& page, double depth, double slack) const {
  const auto at =
      static_cast<std::size_t>(RowAt(page.y(), height_) * width_ + RowAt(page.x(), width_));
  return depth > depth_[at] - slack;
}

void DepthImage::Draw(cairo_t* cr) {
  Surface image(cairo_image_surface_create_for_data(
                    reinterpret_cast<unsigned char*>(pixels_.data()), CAIRO_FORMAT_RGB24, width_,
                    height_, width_ * static_cast<int>(sizeof(pixels_[0]))),
                &cairo_surface_destroy);
  cairo_save(cr);
  cairo_scale(cr, 1.0 / fine_, 1.0 / fine_);
  cairo_set_source_surface(cr, image.get(), 0, 0);
  cairo_pattern_set_filter(cairo_get_source(cr), CAIRO_FILTER_GOOD);
  cairo_paint(cr);
  cairo_restore(cr);
  cairo_surface_finish(image.get());
}

std::pair<int, int> DepthImage::ColumnsAt(const std::array<Vec3, 3>& p, double y) const {
  constexpr double kTouch = 1e-6;  // mm: the places looked at may lie this far off the edges
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3& a = p[i];
    const Vec3& b = p[(i + 1) % 3];
    const auto [below, above] = std::minmax(a.y(), b.y());
    if (y < below - kTouch || y > above + kTouch) {
      continue;
    }
    for (const double at : {y - kTouch, y + kTouch}) {
      const double t = above > below ? std::clamp((at - a.y()) / (b.y() - a.y()), 0.0, 1.0)
                                     : (at < y ? 0.0 : 1.0);
      low = std::min(low, a.x() + t * (b.x() - a.x()));
      high = std::max(high, a.x() + t * (b.x() - a.x()));
    }
  }
  if (low > high) {
    return {0, -1};
  }
  return {RowAt(low - 1.0 / fine_, width_), RowAt(high + 1.0 / fine_, width_)};
}

}  // namespace holeward
