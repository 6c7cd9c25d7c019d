#include "geometry/seat.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace holeward {
namespace {

constexpr int kRings = 6;
constexpr int kRound = 72;

/// The skin as heights over the tangent plane of a place.
class TangentHeights {
 public:
  TangentHeights(const Skin& skin, const SkinPlace& place)
      : skin_(skin),
        centre_(skin.At(place)),
        place_(place),
        girth_(skin.GirthOf(place.u, place.v)) {
    x_ = centre_.du.normalized();
    y_ = centre_.normal.cross(x_);
    if (y_.dot(centre_.dv) < 0.0) y_ = -y_;
    per_u_ = centre_.du.norm();
  }

  struct Height {
    double value = 0.0;
    bool beyond = false;  ///< past an end or a lip
  };

  /// Height over the plane's place (x, y) by Newton's method in distance along and girth.
  [[nodiscard]] std::optional<Height> At(const Vec2& target) const {
    Vec2 guess = target;
    for (int i = 0; i < 60; ++i) {
      const SkinPoint point = Point(guess);
      const Vec3 apart = point.position - centre_.position;
      const Vec2 missing = target - Vec2(apart.dot(x_), apart.dot(y_));
      if (!std::isfinite(missing.norm())) return std::nullopt;
      if (missing.norm() < 1e-9) return Height{apart.dot(centre_.normal), IsBeyond(guess)};
      const Vec3 along = point.du / per_u_;
      const Vec3 round = point.dv.normalized();
      Eigen::Matrix2d jacobian;
      jacobian << along.dot(x_), round.dot(x_), along.dot(y_), round.dot(y_);
      if (std::abs(jacobian.determinant()) < 0.05) return std::nullopt;
      guess += jacobian.inverse() * missing;
    }
    return std::nullopt;
  }

 private:
  [[nodiscard]] SkinPlace PlaceOf(const Vec2& at) const {
    const double u = place_.u + at.x() / per_u_;
    return {u, skin_.VOfGirth(u, girth_ + at.y())};
  }
  [[nodiscard]] SkinPoint Point(const Vec2& at) const { return skin_.At(PlaceOf(at)); }
  [[nodiscard]] bool IsBeyond(const Vec2& at) const {
    constexpr double kRounding = 1e-9;
    const SkinPlace place = PlaceOf(at);
    const bool past_end = place.u < -kRounding || place.u > skin_.u_end() + kRounding;
    return past_end ||
           (!skin_.closed() && (place.v < -kRounding || place.v > skin_.piece_count() + kRounding));
  }

  const Skin& skin_;
  SkinPoint centre_;
  SkinPlace place_;
  double girth_;
  double per_u_ = 1.0;
  Vec3 x_, y_;
};

/// What the peak of the parabola through three equally spaced values adds to the middle one.
double PeakAbove(double before, double at, double after) {
  const double bend = before - 2.0 * at + after;
  if (bend >= -1e-15 || at < before || at < after) return 0.0;
  return -(after - before) * (after - before) / (8.0 * bend);
}

}  // namespace

Result<Seat> SeatOf(const Skin& skin, const SkinPlace& place, double diameter) {
  if (!std::isfinite(place.u) || !std::isfinite(place.v) || !std::isfinite(diameter) ||
      diameter < 0.0) {
    return Fail(ErrorKind::computed, "the foot's place is not a finite number");
  }
  const TangentHeights heights(skin, place);
  double highest = 0.0;
  double lowest = 0.0;
  bool beyond = false;
  std::array<double, kRound> ring{};
  for (int r = 1; r <= kRings; ++r) {
    const double radius = 0.5 * diameter * r / kRings;
    for (std::size_t k = 0; k < kRound; ++k) {
      const double angle = 2.0 * kPi * static_cast<double>(k) / kRound;
      const auto height = heights.At(radius * Vec2(std::cos(angle), std::sin(angle)));
      if (!height) return Fail(ErrorKind::computed, "the skin does not reach under the whole foot");
      ring[k] = height->value;
      beyond = beyond || height->beyond;
      highest = std::max(highest, height->value);
      lowest = std::min(lowest, height->value);
    }
  }
  for (std::size_t k = 0; k < kRound; ++k) {
    const double before = ring[(k + kRound - 1) % kRound];
    const double after = ring[(k + 1) % kRound];
    highest = std::max(highest, ring[k] + PeakAbove(before, ring[k], after));
    lowest = std::min(lowest, ring[k] - PeakAbove(-before, -ring[k], -after));
  }
  return Seat{highest - lowest, highest, beyond};
}

}  // namespace holeward
