#include "viewer/window/view_overlay.h"

#include <cmath>

namespace holeward {
namespace {

constexpr Ink3 kBlack = {20, 22, 26};
constexpr Ink3 kWhite = {255, 255, 255};
constexpr Ink3 kGround = {247, 249, 250};  // of the picture
constexpr double kLetters = 12.5;          // pixels
constexpr double kOutline = 1.5;           // of marks, pixels
constexpr double kPad = 3.0;               // pixels round words
constexpr std::size_t kMostLayouts = 500;  // kept of words that were laid out

std::vector<Vec2> Corners(const Vec2& at, double radius, int corners, double turn) {
  std::vector<Vec2> places;
  for (int i = 0; i <= corners; ++i) {
    const double angle = turn + 2.0 * kPi * i / corners;
    places.emplace_back(at + radius * Vec2(std::cos(angle), std::sin(angle)));
  }
  return places;
}

std::vector<Vec2> BoxOf(const Vec2& low, const Vec2& size) {
  return {low, low + Vec2(size.x(), 0.0), low + size, low + Vec2(0.0, size.y()), low};
}

}  // namespace

ViewOverlay::ViewOverlay()
    : lettering_(pango_font_map_create_context(pango_cairo_font_map_get_default())) {
  // Letters stand where their widths say, on every screen.
  pango_context_set_round_glyph_positions(lettering_.get(), FALSE);
}

void ViewOverlay::SetScale(double scale) {
  if (scale != scale_) layouts_.clear();
  scale_ = scale;
}

void ViewOverlay::Begin(Bitmap& picture) {
  height_ = picture.height;
  surface_.reset(cairo_image_surface_create_for_data(
      reinterpret_cast<unsigned char*>(picture.pixels.data()), CAIRO_FORMAT_RGB24, picture.width,
      picture.height, 4 * picture.width));
  pen_.reset(cairo_create(surface_.get()));
  cairo_set_line_join(pen_.get(), CAIRO_LINE_JOIN_ROUND);
  cairo_set_line_cap(pen_.get(), CAIRO_LINE_CAP_ROUND);
}

void ViewOverlay::End() {
  pen_.reset();
  cairo_surface_finish(surface_.get());
  surface_.reset();
}

void ViewOverlay::Trace(const std::vector<Vec2>& places) {
  for (const Vec2& p : places) cairo_line_to(pen_.get(), p.x(), height_ - p.y());
}

void ViewOverlay::Use(const Ink3& ink) {
  cairo_set_source_rgb(pen_.get(), ink[0] / 255.0, ink[1] / 255.0, ink[2] / 255.0);
}

void ViewOverlay::Line(const std::vector<Vec2>& places, const Ink3& ink, double width) {
  Use(ink);
  Trace(places);
  cairo_set_line_width(pen_.get(), width * scale_);
  cairo_stroke(pen_.get());
}

void ViewOverlay::Fill(const std::vector<Vec2>& places, const Ink3& ink) {
  Use(ink);
  Trace(places);
  cairo_fill(pen_.get());
}

void ViewOverlay::Ring(const Vec2& at, double radius, const Ink3& fill) {
  cairo_new_path(pen_.get());
  cairo_arc(pen_.get(), at.x(), height_ - at.y(), radius, 0.0, 2.0 * kPi);
  Use(fill);
  cairo_fill_preserve(pen_.get());
  Use(kBlack);
  cairo_set_line_width(pen_.get(), kOutline * scale_);
  cairo_stroke(pen_.get());
}

PangoLayout* ViewOverlay::LayoutOf(const std::string& words, bool strong) {
  const auto key = std::pair(words, strong);
  if (const auto known = layouts_.find(key); known != layouts_.end()) return known->second.get();
  if (layouts_.size() > kMostLayouts) layouts_.clear();
  LayoutPtr layout(pango_layout_new(lettering_.get()));
  PangoFontDescription* font = pango_font_description_from_string("DejaVu Sans");
  pango_font_description_set_absolute_size(font, std::round(kLetters * scale_) * PANGO_SCALE);
  if (strong) pango_font_description_set_weight(font, PANGO_WEIGHT_BOLD);
  pango_layout_set_font_description(layout.get(), font);
  pango_font_description_free(font);
  pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
  pango_layout_set_text(layout.get(), words.data(), static_cast<int>(words.size()));
  return (layouts_[key] = std::move(layout)).get();
}

Vec2 ViewOverlay::SizeOf(const std::string& words, bool strong) {
  int width = 0;
  int height = 0;
  pango_layout_get_pixel_size(LayoutOf(words, strong), &width, &height);
  return {width + 2.0 * kPad * scale_, height + 2.0 * scale_};
}

void ViewOverlay::Letters(const std::string& words, const Vec2& at, bool strong) {
  const Vec2 size = SizeOf(words, strong);
  Use(kBlack);
  cairo_move_to(pen_.get(), std::round(at.x() + kPad * scale_),
                std::round(height_ - at.y() - size.y() + scale_));
  pango_cairo_show_layout(pen_.get(), LayoutOf(words, strong));
  cairo_new_path(pen_.get());
}

void ViewOverlay::Words(const std::string& words, const Vec2& at, bool strong) {
  const std::vector<Vec2> box = BoxOf(at, SizeOf(words, strong));
  Fill(box, strong ? Ink3{255, 247, 214} : kWhite);
  if (strong) Line(box, kBlack);
  Letters(words, at, strong);
}

void ViewOverlay::WordsAbout(const std::string& words, const Vec2& middle) {
  const Vec2 size = SizeOf(words, true);
  Fill(BoxOf(middle - 0.5 * size, size), kGround);
  Letters(words, middle - 0.5 * size, true);
}

void ViewOverlay::Mark(const Vec2& at, bool has_verdict, Verdict verdict, bool chosen) {
  const double r = (chosen ? 8.0 : 6.0) * scale_;
  const Vec2 across(0.62 * r, 0.62 * r);
  const Vec2 other(0.62 * r, -0.62 * r);
  if (chosen) Ring(at, 1.7 * r, {255, 221, 87});
  if (!has_verdict) {
    Line({at - Vec2(r, 0), at + Vec2(r, 0)}, kBlack, kOutline);
    Line({at - Vec2(0, r), at + Vec2(0, r)}, kBlack, kOutline);
    return;
  }
  switch (verdict) {
    case Verdict::clear: Ring(at, r, {203, 232, 209}); break;
    case Verdict::tight: {
      const auto triangle = Corners(at, 1.25 * r, 3, 0.5 * kPi);
      Fill(triangle, {255, 214, 153});
      Line(triangle, kBlack, kOutline);
      break;
    }
    case Verdict::unproven: {
      const auto square = Corners(at, 1.2 * r, 4, 0.25 * kPi);
      Fill(square, kWhite);
      Line(square, kBlack, kOutline);
      break;
    }
    case Verdict::contact: {
      Ring(at, r, {240, 150, 140});
      Line({at - across, at + across}, kBlack, kOutline);
      Line({at - other, at + other}, kBlack, kOutline);
      return;
    }
  }
  Fill(Corners(at, 0.22 * r, 12, 0.0), kBlack);
}

void ViewOverlay::MarkBehind(const Vec2& at) {
  const double dash = 4.0 * scale_;
  cairo_set_dash(pen_.get(), &dash, 1, 0.0);
  Line(Corners(at, 13.6 * scale_, 36, 0.0), {90, 96, 108}, kOutline);
  cairo_set_dash(pen_.get(), nullptr, 0, 0.0);
}

}  // namespace holeward
