#include "export/clearance_view.h"

#include <algorithm>
#include <array>

namespace holeward {
namespace {

constexpr double kDetailWindow = 26.0;
constexpr double kAbove = 14.0;     ///< of the drill is shown above the skin, mm on the page
constexpr double kAround = 1.0;     ///< about the section, mm on the page
constexpr double kFittings = 12.0;  ///< of fittings beside the part is shown, mm on the page

struct Scale {
  double value;
  const char* words;
};
/// ISO 5455, largest first.
constexpr std::array<Scale, 8> kScales = {{{20, "20:1"},
                                           {10, "10:1"},
                                           {5, "5:1"},
                                           {2, "2:1"},
                                           {1, "1:1"},
                                           {0.5, "1:2"},
                                           {0.2, "1:5"},
                                           {0.1, "1:10"}}};

void Widen(Box* box, const Vec2& p) {
  box->low = box->low.cwiseMin(p);
  box->high = box->high.cwiseMax(p);
}

/// What the whole view must show at a scale, in the section's plane.
Box Needed(const SectionPicture& picture, double scale) {
  Box box{{-1.0, -picture.set_depth - 2.0 / scale}, {1.0, 0.0}};
  for (const SheetRegion& region : picture.regions) {
    if (region.kind != SheetRegionKind::wall && region.kind != SheetRegionKind::inner) continue;
    for (const SheetLoop& loop : region.loops) {
      for (const Vec2& p : loop.points) Widen(&box, p);
    }
  }
  box = box.Grown(kAround / scale);
  box.high.y() = std::max(box.high.y(), kAbove / scale);
  return box;
}

/// Widened toward fittings and other bodies, by `by` at most and no larger than `most`.
Box WithFittings(const SectionPicture& picture, Box box, const Vec2& most, double by) {
  const Box limit = box.Grown(by);
  Box wish = box;
  for (const SheetRegion& region : picture.regions) {
    for (const SheetLoop& loop : region.loops) {
      for (const Vec2& p : loop.points) {
        Widen(&wish, p.cwiseMax(limit.low).cwiseMin(limit.high));
      }
    }
  }
  for (const int axis : {0, 1}) {
    const double low = box.low[axis] - wish.low[axis];
    const double high = wish.high[axis] - box.high[axis];
    const double spare = std::max(0.0, most[axis] - box.Size()[axis]);
    const double share = low + high > spare ? spare / (low + high) : 1.0;
    box.low[axis] -= share * low;
    box.high[axis] += share * high;
  }
  return box;
}

SectionView Placed(const Scale& scale, const Box& needed, const Box& room) {
  SectionView view;
  view.scale = scale.value;
  view.scale_words = scale.words;
  const Vec2 size = (scale.value * needed.Size()).cwiseMin(room.Size());
  view.entry = room.Centre() - scale.value * needed.Centre();
  view.window = {room.Centre() - size / 2.0, room.Centre() + size / 2.0};
  return view;
}

}  // namespace

SectionView WholeView(const ClearanceHole& hole, const Box& views) {
  const SectionPicture& picture = *hole.section;
  const Box room{views.low, {views.low.x() + kWholeWindow, views.high.y()}};
  const Scale* best = &kScales.back();
  for (const Scale& scale : kScales) {
    const Vec2 size = scale.value * Needed(picture, scale.value).Size();
    if (scale.value <= 5.0 && size.x() <= room.Size().x() && size.y() <= room.Size().y()) {
      best = &scale;
      break;
    }
  }
  const Vec2 most = room.Size() / best->value;
  Box needed = WithFittings(picture, Needed(picture, best->value), most, kFittings / best->value);
  if (needed.Size().x() > most.x()) {  // cut off, the axis in the middle
    needed.low.x() = -most.x() / 2.0;
    needed.high.x() = most.x() / 2.0;
  }
  if (needed.Size().y() > most.y()) needed.low.y() = needed.high.y() - most.y();
  return Placed(*best, needed, room);
}

SectionView DetailView(const ClearanceHole& hole, const Box& views) {
  const SectionPicture& picture = *hole.section;
  const double left = views.low.x() + kWholeWindow + kWholeWords;
  const Box room{{left, views.low.y() + kCompassStrip},
                 {left + kDetailWindow, views.high.y() - 5.0}};
  const double deep = std::max({picture.set_depth, hole.check.breakthrough, hole.check.near_wall});
  const double radius = hole.check.diameter / 2.0;
  for (const Scale& scale : kScales) {
    const double half = kDetailWindow / 2.0 / scale.value;
    const bool last = &scale == &kScales.back();
    const Box needed{{-half, -deep - 3.0 / scale.value}, {half, 6.0 / scale.value}};
    const bool fits =
        radius + 2.0 / scale.value <= half && scale.value * needed.Size().y() <= room.Size().y();
    if (!fits && !last) continue;
    SectionView view = Placed(scale, needed, room);
    const double up = room.high.y() - view.window.high.y();  // to the top of its room
    view.entry.y() += up;
    view.window.low.y() += up;
    view.window.high.y() += up;
    return view;
  }
  return {};
}

}  // namespace holeward
