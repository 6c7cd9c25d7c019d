// Paints a drawing with Cairo; the PDF uses it page by page, the SVG takes its letter outlines.
#pragma once

#include <cairo.h>

#include "export/drawing.h"

namespace holeward {

/// Paints the drawing on a context whose unit is one mm, origin upper left, y down (Cairo's way).
void Paint(cairo_t* context, const Drawing& drawing);

/// Adds the outlines of a text's letters to the context's path (same unit and origin as Paint).
/// @param page_height mm, to turn y up into y down
void AddTextPath(cairo_t* context, const Text& text, double page_height);

}  // namespace holeward
