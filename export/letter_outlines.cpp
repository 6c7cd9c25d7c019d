#include "export/letter_outlines.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include <cairo.h>

#include "export/lettering.h"

namespace holeward {
namespace {

constexpr double kFlat = 0.03;  // chords of an outline miss its curve by at most this, mm
// Places nearer than this are one: the kernel would make an edge of no length of them, mm.
constexpr double kSame = 1e-3;

struct Canvas {
  std::unique_ptr<cairo_surface_t, decltype(&cairo_surface_destroy)> surface{
      cairo_recording_surface_create(CAIRO_CONTENT_COLOR, nullptr), cairo_surface_destroy};
  std::unique_ptr<cairo_t, decltype(&cairo_destroy)> context{cairo_create(surface.get()),
                                                             cairo_destroy};
};

using Loop = std::vector<Vec2>;

double AreaOf(const Loop& loop) {
  double twice = 0.0;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2& p = loop[i];
    const Vec2& q = loop[(i + 1) % loop.size()];
    twice += p.x() * q.y() - p.y() * q.x();
  }
  return 0.5 * twice;
}

bool Holds(const Loop& loop, const Vec2& p) {
  bool inside = false;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2& a = loop[i];
    const Vec2& b = loop[(i + 1) % loop.size()];
    if ((a.y() > p.y()) == (b.y() > p.y())) continue;
    if (p.x() < a.x() + (p.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x())) inside = !inside;
  }
  return inside;
}

void Close(Loop* loop, std::vector<Loop>* loops) {
  while (loop->size() > 1 && (loop->front() - loop->back()).norm() < kSame) loop->pop_back();
  if (loop->size() > 2) loops->push_back(*loop);
  loop->clear();
}

/// The loops of a line of text, its base line's left end at 0, 0, y up.
std::vector<Loop> LoopsOf(const std::string& words, double height) {
  const Canvas canvas;
  cairo_t* context = canvas.context.get();
  cairo_set_tolerance(context, kFlat);
  const Layout layout = MakeLayout(words, height, true);
  cairo_move_to(context, 0.0, -pango_layout_get_baseline(layout.get()) / double{PANGO_SCALE});
  pango_cairo_layout_path(context, layout.get());
  const std::unique_ptr<cairo_path_t, decltype(&cairo_path_destroy)> path(
      cairo_copy_path_flat(context), cairo_path_destroy);
  std::vector<Loop> loops;
  Loop loop;
  for (int i = 0; i < path->num_data; i += path->data[i].header.length) {
    const cairo_path_data_t* data = &path->data[i];
    if (data->header.type == CAIRO_PATH_MOVE_TO) Close(&loop, &loops);
    if (data->header.type == CAIRO_PATH_CLOSE_PATH) {
      Close(&loop, &loops);
      continue;
    }
    const Vec2 p(data[1].point.x, -data[1].point.y);
    if (loop.empty() || (loop.back() - p).norm() > kSame) loop.push_back(p);
  }
  Close(&loop, &loops);
  return loops;
}

/// Loops as outlines with their holes: a hole runs the other way round than what it lies in.
std::vector<LetterOutline> Nested(const std::vector<Loop>& loops) {
  std::vector<LetterOutline> outlines;
  const auto biggest = std::max_element(
      loops.begin(), loops.end(),
      [](const Loop& a, const Loop& b) { return std::abs(AreaOf(a)) < std::abs(AreaOf(b)); });
  if (biggest == loops.end()) return outlines;
  const bool positive = AreaOf(*biggest) > 0.0;
  for (const Loop& loop : loops) {
    if ((AreaOf(loop) > 0.0) == positive) outlines.push_back({loop});
  }
  for (const Loop& loop : loops) {
    if ((AreaOf(loop) > 0.0) == positive) continue;
    for (LetterOutline& outline : outlines) {
      if (Holds(outline.front(), loop.front())) outline.push_back(loop);
    }
  }
  return outlines;
}

}  // namespace

std::vector<LetterOutline> OutlinesOf(const std::vector<std::string>& lines, double width,
                                      double height, double least) {
  std::vector<double> heights;
  double total = 0.0;
  for (const std::string& line : lines) {
    const double fits = height * std::min(1.0, width / TextWidth(line, height, true));
    if (fits < least) return {};
    heights.push_back(fits);
    total += kLineSpacing * fits;
  }
  std::vector<LetterOutline> all;
  double top = 0.5 * total;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    top -= kLineSpacing * heights[i];
    const Vec2 move(-0.5 * TextWidth(lines[i], heights[i], true),
                    top + 0.5 * (kLineSpacing - 1.0) * heights[i]);
    std::vector<Loop> loops = LoopsOf(lines[i], heights[i]);
    for (Loop& loop : loops) {
      for (Vec2& p : loop) p += move;
    }
    for (LetterOutline& outline : Nested(loops)) all.push_back(std::move(outline));
  }
  return all;
}

}  // namespace holeward
