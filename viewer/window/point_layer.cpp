#include "viewer/window/point_layer.h"

#include <algorithm>

#include "viewer/label_layout.h"

namespace holeward {
namespace {

constexpr Ink3 kInk = {20, 22, 26};
constexpr Ink3 kTape = {20, 60, 150};
constexpr double kTapeWidth = 2.0;   // pixels
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

void PaintPath(const std::vector<Vec3>& places, const Projection& seen, ViewOverlay& overlay) {
  std::vector<Vec2> flat;
  for (const Vec3& p : places) flat.push_back(seen.OnScreen(p));
  if (flat.size() >= 2) overlay.Line(flat, kTape, kTapeWidth);
}

std::string NameOf(const ShapePoint& point) { return point.name + "  " + point.word; }

}  // namespace

void PointLayer::Paint(ViewOverlay& overlay, const Projection& seen) const {
  Labels labels{overlay, {}, {}, {}};
  const auto read = [&](const std::vector<Vec3>& path, const std::string& said) {
    PaintPath(path, seen, overlay);
    if (!said.empty() && !path.empty()) labels.Add(said, seen.OnScreen(path[path.size() / 2]));
  };
  for (const ShapePoint& point : points) {
    if (!IsChosen(point)) continue;
    labels.Add(NameOf(point), seen.OnScreen(point.position), true);
    for (const ReadingPath& path : point.paths) read(path.places, WordsOf(path, inches));
  }
  if (reading) read(reading->path, reading->words);
  for (const ShapePoint& point : points) {
    if (IsChosen(point) || !Faces(point, seen)) continue;
    labels.Add(NameOf(point), seen.OnScreen(point.position));
  }
  labels.Paint(Vec2(seen.width, seen.height));
  if (!notice.empty()) {
    const double gap = kNoticeGap * overlay.scale();
    overlay.Words(notice, Vec2(gap, seen.height - gap - overlay.SizeOf(notice, true).y()), true);
  }
  for (const ShapePoint& point : points) {
    const bool is_chosen = IsChosen(point);
    if (!is_chosen && !Faces(point, seen)) continue;
    overlay.Mark(seen.OnScreen(point.position), point.verdict.has_value(),
                 point.verdict.value_or(Verdict::unproven), is_chosen);
  }
}

}  // namespace holeward
