#include "geometry/skin_nearest.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace holeward {
namespace {

constexpr int kMostAlong = 6;    // guesses a span
constexpr double kAlong = 24.0;  // about, on the whole part
constexpr int kAround = 3;       // a piece
// Newton's method starts from so many of the nearest guesses.
constexpr std::size_t kTried = 4;

}  // namespace

SkinNearest::SkinNearest(const Skin& skin) : skin_(&skin) {
  const auto add = [&](double u) {
    for (int j = 0; j < kAround * skin.piece_count(); ++j) {
      const double v = (j + 0.5) / kAround;
      guesses_.push_back({{u, v}, skin.ToWorld(u, skin.OutlineAt(u, v))});
    }
  };
  for (int span = 0; span < skin.span_count(); ++span) {
    const double start = skin.span_start(span);
    const double length = skin.span_start(span + 1) - start;
    const int along =
        std::clamp(static_cast<int>(std::ceil(kAlong * length / skin.u_end())), 1, kMostAlong);
    for (int i = 0; i < along; ++i) add(start + length * i / along);
  }
  add(skin.u_end());
}

std::optional<SkinHit> SkinNearest::Project(const Vec3& p_world) const {
  std::array<std::pair<double, std::size_t>, kTried> nearest;
  nearest.fill({1e300, 0});
  for (std::size_t i = 0; i < guesses_.size(); ++i) {
    std::pair<double, std::size_t> one{(guesses_[i].position - p_world).squaredNorm(), i};
    for (auto& kept : nearest) {
      if (one < kept) std::swap(one, kept);
    }
  }
  std::optional<SkinHit> best;
  for (const auto& [square, i] : nearest) {
    if (square == 1e300) continue;
    const auto hit = skin_->Project(p_world, guesses_[i].place);
    if (hit && (!best || hit->distance < best->distance)) best = hit;
  }
  return best;
}

}  // namespace holeward
