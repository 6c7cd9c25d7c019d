#include "geometry/tape_foot.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kSquare = 1e-10;     // cosine of the angle to the curve
constexpr double kSamePlace = 1e-10;  // mm between the two sides of a bracket
constexpr int kWiden = 24;
constexpr int kHalve = 60;

class Foot {
 public:
  Foot(const Surface& surface, const TapeStart& start, const SkinPlace& to, const TapeGuess& guess)
      : surface_(surface), start_(start), to_(to), guess_(guess) {}

  /// The path from the curve's place w, kept in last(); the slope of its length by w's place, per
  /// mm. Nothing if it does not settle, or has jumped to another way: two places of the curve
  /// cannot differ in length by more than they lie apart.
  std::optional<double> SlopeAt(double w) {
    TapeStart point;
    point.place = start_.At(w);
    auto aim = AimAt(surface_, point, to_, guess_);
    if (!aim) return std::nullopt;
    if (last_) {
      const double apart = 1.2 * std::abs(w - w_) * std::max(MmPer(w), MmPer(w_)) + 1e-6;
      if (std::abs(aim->path.length - last_->path.length) > apart) return std::nullopt;
    }
    last_ = std::move(aim);
    w_ = w;
    guess_ = {point.place, last_->path.leave, last_->path.length, false};
    return -last_->path.leave.dot(Along(w));
  }
  [[nodiscard]] double MmPer(double w) const { return Rate(w).norm(); }
  [[nodiscard]] const TapeAim& last() const { return *last_; }

 private:
  [[nodiscard]] Vec3 Rate(double w) const {
    const SkinPlace p = start_.At(w);
    const SkinPoint x = PointIn(surface_, p, CellOf(surface_, p));
    if (start_.kind == TapeStart::Kind::section) return x.dv;
    return x.du + start_.line.At(w).v_u * x.dv;
  }
  [[nodiscard]] Vec3 Along(double w) const { return Rate(w).normalized(); }

  const Surface& surface_;
  const TapeStart& start_;
  SkinPlace to_;
  TapeGuess guess_;
  double w_ = 0.0;  // of last_
  std::optional<TapeAim> last_;
};

}  // namespace

std::optional<TapeAim> AimFromNearestFoot(const Surface& surface, const TapeStart& start,
                                          const SkinPlace& to, const TapeGuess& guess) {
  Foot foot(surface, start, to, guess);
  const bool bounded = start.limited;
  auto inside = [&](double w) {
    return bounded ? std::clamp(w, start.range.from, start.range.to) : w;
  };
  double a = inside(start.kind == TapeStart::Kind::line ? guess.foot.u : guess.foot.v);
  auto fa = foot.SlopeAt(a);
  if (!fa) return std::nullopt;
  // Downhill until the slope turns; shorter steps where the next path is not found from the last.
  double step = std::max(0.05 * guess.length, 1e-3) / foot.MmPer(a);
  double b = a;
  auto fb = fa;
  for (int n = 0; n<kWiden&& * fa* * fb> 0; ++n) {
    const double next = inside(b - (*fb > 0 ? step : -step));
    if (next == b) return foot.last();  // at the end of the range, and downhill beyond
    const auto f = foot.SlopeAt(next);
    if (!f) {
      step *= 0.25;
      continue;
    }
    a = b;
    fa = fb;
    b = next;
    fb = f;
    step *= 1.5;
  }
  if (*fa * *fb > 0) return std::nullopt;
  for (int n = 0; n < kHalve; ++n) {
    const double even = 0.5 * (a + b);
    double w = n % 3 == 2 || *fa == *fb ? even : (a * *fb - b * *fa) / (*fb - *fa);
    const auto f = foot.SlopeAt(w);
    if (!f) return std::nullopt;
    if (std::abs(*f) < kSquare || std::abs(b - a) * foot.MmPer(w) < kSamePlace) return foot.last();
    if ((*f > 0) == (*fa > 0)) {
      a = w;
      fa = f;
    } else {
      b = w;
      fb = f;
    }
  }
  return foot.last();
}

}  // namespace holeward
