#include "geometry/tape_fan.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "geometry/tape_grid.h"
#include "geometry/tape_shoot.h"

namespace holeward {
namespace {

constexpr int kRays = 64;  // of the first fan
constexpr int kMostRays = 3000;
constexpr std::size_t kMostWays = 40;
constexpr double kWidest = 0.12;   // of the longest way
constexpr double kWide = 0.03;     // the same, for rays that run apart
constexpr double kCreased = 0.25;  // of both, over creases
constexpr double kFaster = 1.5;    // than on a plane
constexpr int kDepth = 14;         // halvings of the first fan's angle
constexpr int kSamples = 32;       // a ray
constexpr double kRough = 1e-3;    // mm a step
constexpr double kAimable =
    4.0;                        // mm: a strip this narrow (and a hundredth of its length) is aimed
constexpr double kSpare = 1.0;  // mm by which a strip's way may come out too long
constexpr double kNever = std::numeric_limits<double>::infinity();

struct Sample {
  SkinPlace place;
  Vec3 position;
};

struct Ray {
  double angle = 0.0;
  std::vector<Sample> at;  ///< at multiples of the step
  double cross = kNever;   ///< length to the curve
  SkinPlace foot;          ///< there
  Vec3 foot_position = Vec3::Zero();
};

class Fan {
 public:
  Fan(const Surface& surface, const SurfaceFacts& facts, const TapeStart& start,
      const SkinPlace& to, double longest, int chords)
      : surface_(surface),
        facts_(facts),
        start_(start),
        to_(to),
        longest_(longest),
        chords_(chords) {
    step_ = (longest_ + kSpare) / kSamples;
    origin_ = IsPoint() ? start_.place : to_;
    cell_ = CellOf(surface_, origin_);
    const SkinPoint x = PointIn(surface_, origin_, cell_);
    ahead_ = x.du.normalized();
    left_ = x.normal.cross(ahead_).normalized();
    if (IsPoint()) {
      Aim(to_);
    } else if (start_.limited) {
      Aim(start_.At(start_.range.from));
      Aim(start_.At(start_.range.to));
    }
  }

  std::vector<FanWay> Run() {
    const Ray first = Shot(0.0);
    Ray before = first;
    for (int i = 1; i <= kRays; ++i) {
      Ray ray = i < kRays ? Shot(2.0 * kPi * i / kRays) : first;
      ray.angle = 2.0 * kPi * i / kRays;
      Judge(before, ray, 0);
      before = std::move(ray);
    }
    AddCurves();
    std::stable_sort(ways_.begin(), ways_.end(),
                     [](const FanWay& a, const FanWay& b) { return a.length < b.length; });
    if (ways_.size() > kMostWays) ways_.resize(kMostWays);
    return std::move(ways_);
  }

 private:
  struct Target {
    SkinPlace place;
    Vec3 position;
  };

  [[nodiscard]] bool IsPoint() const { return start_.kind == TapeStart::Kind::point; }
  void Aim(const SkinPlace& p) {
    targets_.push_back({p, PointIn(surface_, p, CellOf(surface_, p)).position});
  }
  [[nodiscard]] Vec3 Direction(double angle) const {
    return std::cos(angle) * ahead_ + std::sin(angle) * left_;
  }

  /// What is left to go from here at the least.
  [[nodiscard]] double LeastLeft(double u, const Vec3& position) const {
    if (IsPoint()) {
      return std::max((position - targets_[0].position).norm(),
                      facts_.LeastAdvance(u, targets_[0].place.u));
    }
    return start_.kind == TapeStart::Kind::section ? facts_.LeastAdvance(u, start_.place.u) : 0.0;
  }

  [[nodiscard]] Ray Shot(double angle) {
    ++rays_;
    Ray ray;
    ray.angle = angle;
    const double apart = 2.0 * kPi / kRays;
    const auto go_on = [&](const TapeKnot& knot, double jacobi) {
      const SkinPlace p{knot.u, knot.v};
      const double spare = apart * std::max(std::abs(jacobi), knot.s) + kSpare;
      return knot.s + LeastLeft(p.u, facts_.table.At(p).position) <= longest_ + spare;
    };
    const TapeLaunch launch{origin_, cell_, Direction(angle), 0.0, 1.0};
    const TapeFlight flight = Shoot(surface_, launch, longest_ + kSpare, kRough, go_on);
    Follow(flight.knots, &ray);
    return ray;
  }

  void Follow(const std::vector<TapeKnot>& knots, Ray* ray) const {
    std::size_t i = 0;
    for (int k = 0; k <= kSamples; ++k) {
      const double s = k * step_;
      while (i + 1 < knots.size() && knots[i + 1].s < s) ++i;
      if (i + 1 >= knots.size()) return;
      const double h = knots[i + 1].s - knots[i].s;
      const SkinPlace p =
          PlaceBetween(knots[i], knots[i + 1], h > 0.0 ? (s - knots[i].s) / h : 1.0);
      const Vec3 x = PointIn(surface_, p, CellOf(surface_, p)).position;
      if (!x.allFinite()) return;
      ray->at.push_back({p, x});
      if (!IsPoint() && k > 0 && ray->cross == kNever) Meet(k, ray);
    }
  }

  /// How far a place lies beyond the start's curve, in its parameter; the turn of a line's place is
  /// the nearest.
  [[nodiscard]] double Beyond(const SkinPlace& p) const {
    if (start_.kind == TapeStart::Kind::section) return p.u - start_.place.u;
    const double w = std::clamp(p.u, start_.range.from, start_.range.to);
    const double beyond = p.v - start_.At(w).v;
    if (!surface_.v_closed()) return beyond;
    return std::remainder(beyond, surface_.v_period());
  }

  void Meet(int k, Ray* ray) const {
    const Sample& a = ray->at[static_cast<std::size_t>(k) - 1];
    const Sample& b = ray->at[static_cast<std::size_t>(k)];
    const double fa = Beyond(a.place), fb = Beyond(b.place);
    if (fa * fb > 0.0 || fa == fb) return;
    if (start_.kind == TapeStart::Kind::line && std::abs(fa - fb) > 0.5 * surface_.v_period()) {
      return;  // it passed the far side, where the nearest turn changes
    }
    const double t = fa / (fa - fb);
    const SkinPlace foot{a.place.u + t * (b.place.u - a.place.u),
                         a.place.v + t * (b.place.v - a.place.v)};
    if (start_.limited && !InRange(foot)) return;
    ray->cross = (k - 1 + t) * step_;
    ray->foot = foot;
    ray->foot_position = a.position + t * (b.position - a.position);
  }

  [[nodiscard]] bool InRange(const SkinPlace& foot) const {
    const TapeRange& range = start_.range;
    if (start_.kind == TapeStart::Kind::line) return foot.u >= range.from && foot.u <= range.to;
    const double v = NearestTurn(surface_, foot.v, 0.5 * (range.from + range.to));
    return v >= range.from && v <= range.to;
  }

  /// A target beside a strip between two rays: its quadrangle, how wide it is and where in it.
  struct Near {
    double wide = 0.0;
    double off = kNever;
    double across = 0.0;  ///< 0 at the first ray, 1 at the second
    double length = 0.0;
    double v = 0.0;
  };

  [[nodiscard]] Near NearAt(const Ray& a, const Ray& b, std::size_t k, const Vec3& x) const {
    Near near;
    const Vec3 &a0 = a.at[k].position, &a1 = a.at[k + 1].position;
    const Vec3 &b0 = b.at[k].position, &b1 = b.at[k + 1].position;
    near.wide = std::max((b0 - a0).norm(), (b1 - a1).norm());
    const Vec3 middle = 0.25 * (a0 + a1 + b0 + b1);
    if ((x - middle).norm() > 0.75 * (near.wide + step_) + kSpare) return near;
    const Vec3 along = 0.5 * (a1 + b1 - a0 - b0), aside = 0.5 * (b0 + b1 - a0 - a1);
    Eigen::Matrix2d m;
    m << along.squaredNorm(), along.dot(aside), along.dot(aside),
        std::max(aside.squaredNorm(), 1e-12);
    const Vec2 t = m.inverse() * Vec2(along.dot(x - middle), aside.dot(x - middle));
    const double l = std::clamp(t.x(), -0.6, 0.6), c = std::clamp(t.y(), -0.6, 0.6);
    near.off = (x - middle - l * along - c * aside).norm();
    near.across = 0.5 + c;
    near.length = (static_cast<double>(k) + 0.5 + l) * step_;
    near.v = 0.25 * (a.at[k].place.v + a.at[k + 1].place.v + b.at[k].place.v + b.at[k + 1].place.v);
    return near;
  }

  [[nodiscard]] double Aimable() const { return std::max(kAimable, 0.01 * longest_); }

  /// Rays that run apart faster than on a plane leave more between them than they tell.
  [[nodiscard]] bool RunsApart(const Ray& a, const Ray& b, std::size_t count) const {
    // Creases split a fan where they end and bend it where they curve.
    const double fine = facts_.creased ? kCreased : 1.0;
    for (std::size_t k = 1; k < count; ++k) {
      const double apart = (a.at[k].position - b.at[k].position).norm();
      const double plane = static_cast<double>(k) * step_ * (b.angle - a.angle);
      if (apart > kWidest * fine * longest_) return true;
      if (apart > kWide * fine * longest_ && apart > kFaster * plane) return true;
    }
    return false;
  }

  void Judge(const Ray& a, const Ray& b, int depth) {
    std::vector<std::pair<std::size_t, Near>> found;  // target and where
    const std::size_t count = std::min(a.at.size(), b.at.size());
    bool divide = CurveNeedsMore(a, b) || RunsApart(a, b, count);
    for (std::size_t n = 0; n < targets_.size(); ++n) {
      Near best;
      for (std::size_t k = 0; k + 1 < count; ++k) {
        const Near near = NearAt(a, b, k, targets_[n].position);
        const bool counts = near.off < kNever && near.length < longest_ + kSpare + 0.5 * near.wide;
        if (counts && near.wide > Aimable()) divide = true;
        if (counts && near.off < best.off) best = near;
        if (!counts && best.off < kNever) {
          found.emplace_back(n, best);
          best = Near{};
        }
      }
      if (best.off < kNever) found.emplace_back(n, best);
    }
    if (divide && depth < kDepth && rays_ < kMostRays) {
      const Ray middle = Shot(0.5 * (a.angle + b.angle));
      Judge(a, middle, depth + 1);
      Judge(middle, b, depth + 1);
      return;
    }
    for (const auto& [n, near] : found) AddPoint(a, b, n, near);
    if (!IsPoint()) met_.push_back(a);
  }

  [[nodiscard]] double FeetApart(const Ray& a, const Ray& b) const {
    return (a.foot_position - b.foot_position).norm();
  }

  [[nodiscard]] static double LastApart(const Ray& a, const Ray& b) {
    const std::size_t last = std::min(a.at.size(), b.at.size());
    return last == 0 ? 0.0 : (a.at[last - 1].position - b.at[last - 1].position).norm();
  }

  [[nodiscard]] bool CurveNeedsMore(const Ray& a, const Ray& b) const {
    if (IsPoint()) return false;
    if (a.cross == kNever && b.cross == kNever) return false;
    const bool both = a.cross < kNever && b.cross < kNever;
    const double apart = both ? FeetApart(a, b) : LastApart(a, b);
    const double beyond = longest_ + kSpare;  // a ray that did not get there is longer
    const double sum = std::min(a.cross, beyond) + std::min(b.cross, beyond);
    return apart > (both ? Aimable() : kSpare) && 0.5 * (sum - apart) < longest_;
  }

  /// Where the length to the curve is least among neighbouring rays, those that do not get there
  /// being longer. The fan is closed: its first ray is its last too.
  void AddCurves() {
    for (std::size_t i = 0; i < met_.size(); ++i) {
      const double here = met_[i].cross;
      if (here > longest_ + kSpare) continue;
      const double before = met_[(i + met_.size() - 1) % met_.size()].cross;
      if (here < before && here <= met_[(i + 1) % met_.size()].cross) AddCurve(met_[i]);
    }
  }

  void AddCurve(const Ray& ray) {
    FanWay way;
    way.length = ray.cross;
    for (std::size_t k = 0; k < ray.at.size() && static_cast<double>(k) * step_ < ray.cross; ++k) {
      way.places.push_back(ray.at[k].place);
    }
    way.places.push_back(ray.foot);
    std::reverse(way.places.begin(), way.places.end());
    if (start_.limited) {
      const double v = start_.kind == TapeStart::Kind::line
                           ? start_.At(ray.foot.u).v
                           : 0.5 * (start_.range.from + start_.range.to);
      Shift(NearestTurn(surface_, ray.foot.v, v) - ray.foot.v, &way);
    }
    Add(std::move(way));
  }

  void AddPoint(const Ray& a, const Ray& b, std::size_t n, const Near& near) {
    if (near.length > longest_ + kSpare) return;
    const SkinPlace& target = targets_[n].place;
    FanWay way;
    way.length = near.length;
    const std::size_t count =
        std::min({static_cast<std::size_t>(near.length / step_) + 1, a.at.size(), b.at.size()});
    for (std::size_t k = 0; k < count; ++k) {
      const SkinPlace &p = a.at[k].place, &q = b.at[k].place;
      way.places.push_back({p.u + near.across * (q.u - p.u), p.v + near.across * (q.v - p.v)});
    }
    way.places.push_back({target.u, NearestTurn(surface_, target.v, near.v)});
    if (!IsPoint()) {  // met at the end of a range: the way back from there
      std::reverse(way.places.begin(), way.places.end());
      Shift(target.v - way.places.front().v, &way);
      way.from_end = true;
    }
    Add(std::move(way));
  }

  static void Shift(double by, FanWay* way) {
    for (SkinPlace& p : way->places) p.v += by;
  }
  void Add(FanWay way) {
    way.places = Evenly(way.places);
    ways_.push_back(std::move(way));
  }

  /// The same way in parts of like length.
  [[nodiscard]] std::vector<SkinPlace> Evenly(const std::vector<SkinPlace>& path) const {
    return EvenPlaces(facts_.table, path, chords_);
  }

  const Surface& surface_;
  const SurfaceFacts& facts_;
  const TapeStart& start_;
  SkinPlace to_;
  double longest_;
  int chords_;
  double step_ = 0.0;
  SkinPlace origin_;
  TapeCell cell_;
  Vec3 ahead_, left_;
  std::vector<Target> targets_;
  std::vector<Ray> met_;  // by angle, for a curve
  std::vector<FanWay> ways_;
  int rays_ = 0;
};

}  // namespace

std::vector<FanWay> FanWays(const Surface& surface, const SurfaceFacts& facts,
                            const TapeStart& start, const SkinPlace& to, double longest,
                            int chords) {
  return Fan(surface, facts, start, to, longest, chords).Run();
}

}  // namespace holeward
