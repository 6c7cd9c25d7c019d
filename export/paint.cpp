#include "export/paint.h"

#include "export/lettering.h"

namespace holeward {
namespace {

void SetInk(cairo_t* context, Ink ink) {
  const double level = ink == Ink::white ? 1.0 : 0.0;
  cairo_set_source_rgb(context, level, level, level);
}

void SetPen(cairo_t* context, double width, LineType type) {
  SetInk(context, Ink::black);
  cairo_set_line_width(context, width);
  const std::vector<double> dashes = DashesOf(type, width);
  cairo_set_dash(context, dashes.data(), static_cast<int>(dashes.size()), 0.0);
}

void AddPath(cairo_t* context, const std::vector<Vec2>& points, double page_height) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double y = page_height - points[i].y();
    if (i == 0) {
      cairo_move_to(context, points[i].x(), y);
    } else {
      cairo_line_to(context, points[i].x(), y);
    }
  }
}

/// Moves to where a layout's upper left corner belongs and turns; the caller saves and restores.
Layout Aim(cairo_t* context, const Text& text, double page_height) {
  Layout layout = KnownLayout(text.words, text.height, text.bold);
  PangoRectangle logical;
  pango_layout_get_extents(layout.get(), nullptr, &logical);
  const double width = static_cast<double>(logical.width) / PANGO_SCALE;
  const double base = static_cast<double>(pango_layout_get_baseline(layout.get())) / PANGO_SCALE;
  double shift = 0.0;
  if (text.align == AlignX::centre) shift = -width / 2.0;
  if (text.align == AlignX::right) shift = -width;
  cairo_translate(context, text.at.x(), page_height - text.at.y());
  cairo_rotate(context, -text.turn_rad);
  cairo_move_to(context, shift, -base);
  return layout;
}

struct Painter {
  cairo_t* context;
  double page_height;

  void operator()(const Stroke& stroke) const {
    AddPath(context, stroke.points, page_height);
    if (stroke.closed) cairo_close_path(context);
    SetPen(context, stroke.width, stroke.type);
    cairo_stroke(context);
  }
  void operator()(const Circle& circle) const {
    cairo_new_sub_path(context);
    cairo_arc(context, circle.centre.x(), page_height - circle.centre.y(), circle.radius, 0.0,
              2.0 * kPi);
    cairo_close_path(context);
    SetPen(context, circle.width, circle.type);
    cairo_stroke(context);
  }
  void operator()(const Fill& fill) const {
    AddPath(context, fill.points, page_height);
    cairo_close_path(context);
    SetInk(context, fill.ink);
    cairo_fill(context);
  }
  void operator()(const Text& text) const {
    cairo_save(context);
    if (text.outline > 0.0) {
      AddTextPath(context, text, page_height);
      SetPen(context, text.outline, LineType::continuous);
      cairo_stroke(context);
    } else {
      const Layout layout = Aim(context, text, page_height);
      SetInk(context, text.ink);
      pango_cairo_show_layout(context, layout.get());
      cairo_new_path(context);
    }
    cairo_restore(context);
  }
};

}  // namespace

void AddTextPath(cairo_t* context, const Text& text, double page_height) {
  cairo_save(context);
  const Layout layout = Aim(context, text, page_height);
  pango_cairo_layout_path(context, layout.get());
  cairo_restore(context);
}

void Paint(cairo_t* context, const Drawing& drawing) {
  cairo_set_line_join(context, CAIRO_LINE_JOIN_MITER);
  cairo_set_line_cap(context, CAIRO_LINE_CAP_BUTT);
  cairo_save(context);
  if (drawing.Stretched()) {
    cairo_translate(context, drawing.ShiftDown().x(), drawing.ShiftDown().y());
    cairo_scale(context, drawing.scale.x(), drawing.scale.y());
  }
  for (const Item& item : drawing.items) std::visit(Painter{context, drawing.height}, item.what);
  cairo_restore(context);
}

}  // namespace holeward
