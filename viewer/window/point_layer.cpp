#include "viewer/window/point_layer.h"

#include <algorithm>

#include "viewer/label_layout.h"

namespace holeward {
namespace {

constexpr Ink3 kInk = {20, 22, 26};
constexpr Ink3 kTape = {20, 60, 150};
constexpr Ink3 kPale = {128, 140, 168};
constexpr double kTapeWidth = 2.0;   // pixels
constexpr double kPaleWidth = 1.0;   // where it lies behind a part
constexpr double kEdgeOn = 0.02;     // cosine of the angle from which on a face is turned away
constexpr double kLift = 0.5;        // mm off the skin, clear of the facets it is drawn with
constexpr double kAway = 11.0;       // pixels from a mark to its words
constexpr double kNoticeGap = 10.0;  // pixels from the corner

/// Words wanted at places, the most important first.
struct Labels {
  ViewOverlay& overlay;
  std::vector<LabelWish> wishes;
  std::vector<std::string> words;
  std::vector<bool> strong;

  void Add(const std::string& said, const Vec2& at, bool is_strong = false) {
    wishes.push_back({at, overlay.SizeOf(said, is_strong)});
    words.push_back(said);
    strong.push_back(is_strong);
  }

  void Paint(const Vec2& window) {
    const auto boxes = PlaceLabels(wishes, window, kAway * overlay.scale());
    for (std::size_t i = 0; i < words.size(); ++i) {
      const Vec2 low = boxes[i];
      const Vec2 high = low + wishes[i].size;
      const Vec2 end(std::clamp(wishes[i].at.x(), low.x(), high.x()),
                     std::clamp(wishes[i].at.y(), low.y(), high.y()));
      overlay.Line({wishes[i].at, end}, kInk);
      overlay.Words(words[i], low, strong[i]);
    }
  }
};

SightLine SightOf(const Vec3& place, const Projection& seen) {
  return {place, seen.ToEye(place), seen.DistanceTo(place)};
}

/// Thin and pale where it lies behind something.
void PaintPath(const std::vector<Vec3>& places, const PointLayer& layer, const Projection& seen,
               ViewOverlay& overlay) {
  std::vector<Vec2> flat;
  bool was_hidden = false;
  const auto paint = [&] {
    if (flat.size() < 2) return;
    overlay.Line(flat, was_hidden ? kPale : kTape, was_hidden ? kPaleWidth : kTapeWidth);
  };
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (i > 0) {
      const Vec3 middle = 0.5 * (places[i - 1] + places[i]);
      const bool hidden = layer.sight.Hidden(SightOf(middle, seen), layer.inside);
      if (hidden != was_hidden && i > 1) {
        paint();
        flat = {flat.back()};
      }
      was_hidden = hidden;
    }
    flat.push_back(seen.OnScreen(places[i]));
  }
  paint();
}

std::string NameOf(const ShapePoint& point) { return point.name + "  " + point.word; }

}  // namespace

bool PointLayer::IsSeen(const ShapePoint& point, const Projection& seen) const {
  const SightLine line = SightOf(point.position + kLift * point.normal, seen);
  if (!inside && point.normal.dot(line.to_eye) <= kEdgeOn) return false;
  return !sight.Hidden(line, inside);
}

void PointLayer::Paint(ViewOverlay& overlay, const Projection& seen) const {
  Labels labels{overlay, {}, {}, {}};
  const auto read = [&](const std::vector<Vec3>& path, const std::string& said) {
    PaintPath(path, *this, seen, overlay);
    if (!said.empty() && !path.empty()) labels.Add(said, seen.OnScreen(path[path.size() / 2]));
  };
  std::vector<bool> is_seen;
  for (const ShapePoint& point : points) is_seen.push_back(IsSeen(point, seen));
  for (std::size_t i = 0; i < points.size(); ++i) {
    const ShapePoint& point = points[i];
    if (!IsChosen(point)) continue;
    const std::string behind = is_seen[i] ? "" : "  (behind)";
    labels.Add(NameOf(point) + behind, seen.OnScreen(point.position), true);
    for (const ReadingPath& path : point.paths) read(path.places, WordsOf(path, inches));
  }
  if (reading) read(reading->path, reading->words);
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (IsChosen(points[i]) || !is_seen[i]) continue;
    labels.Add(NameOf(points[i]), seen.OnScreen(points[i].position));
  }
  labels.Paint(Vec2(seen.width, seen.height));
  if (!notice.empty()) {
    const double gap = kNoticeGap * overlay.scale();
    overlay.Words(notice, Vec2(gap, seen.height - gap - overlay.SizeOf(notice, true).y()), true);
  }
  for (std::size_t i = 0; i < points.size(); ++i) {
    const ShapePoint& point = points[i];
    const Vec2 at = seen.OnScreen(point.position);
    if (is_seen[i]) {
      overlay.Mark(at, point.verdict.has_value(), point.verdict.value_or(Verdict::unproven),
                   IsChosen(point));
    } else if (IsChosen(point)) {
      overlay.MarkBehind(at);
    }
  }
}

}  // namespace holeward
