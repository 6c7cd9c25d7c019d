// Lines, filled shapes and words laid flat over a picture, in pixels of its window.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <pango/pangocairo.h>

#include "geometry/checked.h"
#include "geometry/vec.h"
#include "viewer/bitmap.h"

namespace holeward {

using Ink3 = std::array<unsigned char, 3>;

/// Places are pixels, x to the right and y up from the lower left. Lengths of marks, lines and
/// letters are those of a plain screen times the scale.
class ViewOverlay {
 public:
  ViewOverlay();

  void SetScale(double scale);
  [[nodiscard]] double scale() const { return scale_; }

  /// Draws on this picture from now on, until End.
  void Begin(Bitmap& picture);
  void End();

  void Line(const std::vector<Vec2>& places, const Ink3& ink, double width = 1.3);
  void Fill(const std::vector<Vec2>& places, const Ink3& ink);
  /// Words with their lower left corner there, on a light ground.
  void Words(const std::string& words, const Vec2& at, bool strong);
  /// Strong words about a place, on a ground that is nearly that of the picture.
  void WordsAbout(const std::string& words, const Vec2& middle);
  /// Width and height that words take up with their ground.
  [[nodiscard]] Vec2 SizeOf(const std::string& words, bool strong);
  /// The mark of a point: its shape says the verdict. clear: ring; tight: triangle; unproven:
  /// square; contact: cross in a ring; no verdict: plain cross.
  void Mark(const Vec2& at, bool has_verdict, Verdict verdict, bool chosen);
  /// The mark of a chosen point that something stands before: a broken outline alone.
  void MarkBehind(const Vec2& at);

 private:
  template <auto release>
  struct Release {
    template <class T>
    void operator()(T* what) const {
      release(what);
    }
  };
  using LayoutPtr = std::unique_ptr<PangoLayout, Release<&g_object_unref>>;

  void Trace(const std::vector<Vec2>& places);
  void Use(const Ink3& ink);
  void Ring(const Vec2& at, double radius, const Ink3& fill);
  void Letters(const std::string& words, const Vec2& at, bool strong);
  [[nodiscard]] PangoLayout* LayoutOf(const std::string& words, bool strong);

  std::unique_ptr<PangoContext, Release<&g_object_unref>> lettering_;
  std::map<std::pair<std::string, bool>, LayoutPtr> layouts_;  ///< of words, at this scale
  std::unique_ptr<cairo_surface_t, Release<&cairo_surface_destroy>> surface_;
  std::unique_ptr<cairo_t, Release<&cairo_destroy>> pen_;
  int height_ = 0;
  double scale_ = 1.0;
};

}  // namespace holeward
