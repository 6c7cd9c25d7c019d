#include "viewer/label_layout.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr int kWays = 16;     // directions tried in each round
constexpr int kRounds = 12;   // each further off
constexpr double kGap = 3.0;  // pixels between two labels

using Box = Eigen::AlignedBox2d;

/// The box whose nearest edge lies `reach` from the place, that way.
Box BoxAt(const LabelWish& label, double angle, double reach) {
  const Vec2 way(std::cos(angle), std::sin(angle));
  const Vec2 middle = label.at + reach * way + 0.5 * way.cwiseProduct(label.size);
  return {Vec2(middle - 0.5 * label.size), Vec2(middle + 0.5 * label.size)};
}

bool Overlaps(const Box& a, const Box& b) {
  return a.min().x() < b.max().x() && b.min().x() < a.max().x() && a.min().y() < b.max().y() &&
         b.min().y() < a.max().y();
}

bool Free(const Box& box, const std::vector<Box>& taken) {
  return std::none_of(taken.begin(), taken.end(),
                      [&](const Box& other) { return Overlaps(box, other); });
}

}  // namespace

std::vector<Vec2> PlaceLabels(const std::vector<LabelWish>& labels, const Vec2& window,
                              double keep_off) {
  std::vector<Box> taken;
  for (const LabelWish& label : labels) {
    const Vec2 off = Vec2::Constant(keep_off);
    taken.emplace_back(Vec2(label.at - off), Vec2(label.at + off));
  }
  const Box inside(Vec2(2, 2), Vec2(window.x() - 2, window.y() - 2));
  std::vector<Vec2> corners;
  for (const LabelWish& label : labels) {
    Box chosen = BoxAt(label, kPi / 4, 2.0 * keep_off);
    bool found = false;
    for (int i = 0; i < kWays * kRounds && !found; ++i) {
      const double reach = keep_off * (1.5 + 1.5 * (i / kWays));
      const int way = i % kWays;
      const double angle = kPi / 4 + (way % 2 == 0 ? 1 : -1) * ((way + 1) / 2) * 2.0 * kPi / kWays;
      const Box box = BoxAt(label, angle, reach);
      const Box padded(Vec2(box.min() - Vec2::Constant(kGap)),
                       Vec2(box.max() + Vec2::Constant(kGap)));
      found = inside.contains(box) && Free(padded, taken);
      if (found) chosen = box;
    }
    taken.push_back(chosen);
    corners.push_back(chosen.min());
  }
  return corners;
}

}  // namespace holeward
