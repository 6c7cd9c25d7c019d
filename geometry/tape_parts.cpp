#include "geometry/tape_parts.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "geometry/tape_shoot.h"

namespace holeward {
namespace {

constexpr double kPart = 45.0;  // mm, about
constexpr int kMostParts = 16;
constexpr int kRounds = 25;
constexpr double kStraight = 1e-9;  // radians at a joint
constexpr double kMostMove = 0.3;   // of a part's length, a round

struct Part {
  TapeAim there;
  double back_slope = 0.0;  // slope of the Jacobi field of the way back, at its end
};

class Parts {
 public:
  Parts(const Surface& surface, const TapeStart& start, const TapeSeed& seed)
      : surface_(surface), start_(start) {
    const auto chords = static_cast<int>(seed.places.size()) - 1;
    const int parts = std::clamp(static_cast<int>(std::lround(seed.length / kPart)), 2,
                                 std::min(kMostParts, chords / 2));
    guesses_.resize(static_cast<std::size_t>(parts));
    for (int i = 0; i <= parts; ++i) {
      const auto at = static_cast<std::size_t>(std::lround(1.0 * i * chords / parts));
      joints_.push_back(seed.places[at]);
      if (i == parts) break;
      const auto next = static_cast<std::size_t>(std::lround((i + 1.0) * chords / parts));
      TapeGuess& guess = guesses_[static_cast<std::size_t>(i)];
      guess.foot = seed.places[at];
      guess.direction = At(seed.places[at + 1]).position - At(seed.places[at]).position;
      guess.length = 0.0;
      for (std::size_t k = at; k < next; ++k) {
        guess.length += (At(seed.places[k + 1]).position - At(seed.places[k]).position).norm();
      }
    }
  }

  std::optional<TapeAim> Run() {
    for (int round = 0; round < kRounds; ++round) {
      if (!AimAll()) return std::nullopt;
      if (MostTurn() < kStraight) return Whole();
      Move();
    }
    return std::nullopt;
  }

 private:
  [[nodiscard]] SkinPoint At(const SkinPlace& p) const {
    return PointIn(surface_, p, CellOf(surface_, p));
  }

  bool AimAll() {
    parts_.clear();
    for (std::size_t i = 0; i < guesses_.size(); ++i) {
      TapeStart from;
      if (i == 0) from = start_;
      if (i > 0 || start_.kind == TapeStart::Kind::point) from.place = joints_[i];
      auto aim = AimAt(surface_, from, joints_[i + 1], guesses_[i]);
      if (!aim || aim->conjugate) return false;
      const TapePath& path = aim->path;
      guesses_[i] = {path.foot, path.leave, path.length, true};
      TapeStart end;
      end.place = joints_[i + 1];
      const auto back =
          AimAt(surface_, end, joints_[i], {joints_[i + 1], -path.arrive, path.length, true});
      if (i > 0 && !back) return false;
      parts_.push_back({std::move(*aim), i > 0 ? back->end_slope : 0.0});
    }
    turn_.assign(parts_.size(), 0.0);
    for (std::size_t i = 1; i < parts_.size(); ++i) {
      turn_[i] = (parts_[i - 1].there.path.arrive - parts_[i].there.path.leave).dot(Left(i));
    }
    return true;
  }

  /// Unit, sideways at a joint.
  [[nodiscard]] Vec3 Left(std::size_t i) const {
    const Vec3 way = parts_[i - 1].there.path.arrive + parts_[i].there.path.leave;
    return At(joints_[i]).normal.cross(way).normalized();
  }
  [[nodiscard]] double MostTurn() const {
    double most = 0.0;
    for (const double turn : turn_) most = std::max(most, std::abs(turn));
    return most;
  }

  /// The Newton step: the second derivative of a part's length by its ends' sideways moves is the
  /// slope over the value of the Jacobi field that vanishes at the other end, and less one over it
  /// by both (second variation of arc length, do Carmo, 5-4).
  void Move() {
    const std::size_t n = parts_.size();
    std::vector<double> diagonal(n, 1.0), upper(n, 0.0), move(n, 0.0);
    for (std::size_t i = 1; i < n; ++i) {
      const TapeAim& before = parts_[i - 1].there;
      const TapeAim& after = parts_[i].there;
      diagonal[i] =
          before.end_slope / before.path.spread + parts_[i].back_slope / after.path.spread;
      upper[i] = i + 1 < n ? -1.0 / after.path.spread : 0.0;
      move[i] = -turn_[i];
      if (i > 1) {
        const double lower = -1.0 / before.path.spread;
        const double factor = lower / diagonal[i - 1];
        diagonal[i] -= factor * upper[i - 1];
        move[i] -= factor * move[i - 1];
      }
      // Not a least there: go downhill as on a plane.
      if (diagonal[i] < 0.1 / after.path.length) diagonal[i] = 2.0 / after.path.length;
    }
    for (std::size_t i = n; i-- > 1;) {
      const double next = i + 1 < n ? upper[i] * move[i + 1] : 0.0;
      move[i] = (move[i] - next) / diagonal[i];
    }
    double scale = 1.0;
    for (std::size_t i = 1; i < n; ++i) {
      const double most = kMostMove * parts_[i].there.path.length;
      if (std::abs(move[i]) > most) scale = std::min(scale, most / std::abs(move[i]));
    }
    for (std::size_t i = 1; i < n; ++i) MoveJoint(i, scale * move[i]);
    for (TapeGuess& guess : guesses_) guess.close = scale == 1.0 && MostTurn() < 0.01;
  }

  void MoveJoint(std::size_t i, double aside) {
    SkinPlace& p = joints_[i];
    const SkinPoint x = At(p);
    const Vec3 way = aside * Left(i);
    Eigen::Matrix2d m;
    m << x.du.squaredNorm(), x.du.dot(x.dv), x.du.dot(x.dv), x.dv.squaredNorm();
    const Vec2 step = m.inverse() * Vec2(x.du.dot(way), x.dv.dot(way));
    p.u = std::clamp(p.u + step.x(), surface_.u_breaks().front(), surface_.u_breaks().back());
    p.v += step.y();
    if (!surface_.v_closed()) {
      p.v = std::clamp(p.v, surface_.v_breaks().front(), surface_.v_breaks().back());
    }
    guesses_[i].foot = p;
  }

  /// One flight along all parts: their joints are straight.
  [[nodiscard]] std::optional<TapeAim> Whole() const {
    double length = 0.0;
    for (const Part& part : parts_) length += part.there.path.length;
    const TapePath& first = parts_.front().there.path;
    auto aim = AimAt(surface_, start_, joints_.back(), {first.foot, first.leave, length, true});
    if (aim && std::abs(aim->path.length - length) > 1e-3) aim.reset();
    return aim;
  }

  const Surface& surface_;
  const TapeStart& start_;
  std::vector<SkinPlace> joints_;  // first and last are the path's ends
  std::vector<TapeGuess> guesses_;
  std::vector<Part> parts_;
  std::vector<double> turn_;  // at the joint before each part
};

}  // namespace

std::optional<TapeAim> AimInParts(const Surface& surface, const TapeStart& start,
                                  const TapeSeed& seed) {
  if (seed.places.size() < 5) return std::nullopt;
  return Parts(surface, start, seed).Run();
}

}  // namespace holeward
