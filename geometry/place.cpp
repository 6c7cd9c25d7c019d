#include "geometry/place.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

// Newton stops here; the tape itself is good to some 1e-7 mm.
constexpr double kSettled = 1e-10;
constexpr int kMostSteps = 20;
constexpr int kMostHalvings = 5;
// Newton halves what is left at least this often in so many steps, or there is nothing to find.
constexpr int kPatience = 5;
// Two solutions nearer than this are one, mm.
constexpr double kSame = 1e-4;
// Below this two gradients count as parallel in a Newton step.
constexpr double kParallel = 1e-9;

struct Basis2 {
  Vec3 e1 = Vec3::UnitX();
  Vec3 e2 = Vec3::UnitY();
};

Basis2 BasisAt(const SkinPoint& at) {
  Basis2 b;
  b.e1 = at.du.normalized();
  b.e2 = at.normal.cross(b.e1);
  return b;
}

// Angles count times the radius so that both residuals are lengths.
double Scale(const Measure& m, const Sample& s) {
  if (!m.is_angle()) return 1.0;
  return 1.0 / std::max(s.gradient.norm(), 1e-6);
}

Vec2 Residuals(const Rule& rule, const std::array<Sample, 2>& s) {
  return {s[0].residual * Scale(rule.measures[0], s[0]),
          s[1].residual * Scale(rule.measures[1], s[1])};
}

// The Newton step in the skin: J d = -r, by least squares where the gradients are nearly parallel.
Vec3 NewtonStep(const Rule& rule, const SkinPoint& at, const std::array<Sample, 2>& s) {
  const Basis2 basis = BasisAt(at);
  Eigen::Matrix2d jacobian;
  for (int i = 0; i < 2; ++i) {
    const Vec3 g =
        s[static_cast<std::size_t>(i)].gradient *
        Scale(rule.measures[static_cast<std::size_t>(i)], s[static_cast<std::size_t>(i)]);
    jacobian.row(i) << g.dot(basis.e1), g.dot(basis.e2);
  }
  const Vec2 r = Residuals(rule, s);
  Vec2 d;
  if (std::abs(jacobian.determinant()) > kParallel) {
    d = -jacobian.inverse() * r;
  } else {
    d = -jacobian.transpose() * r;
  }
  return d.x() * basis.e1 + d.y() * basis.e2;
}

// The place reached from `place` by a short tangent step, kept on the part.
SkinPlace Moved(const Skin& skin, const SkinPlace& place, const SkinPoint& at, const Vec3& step) {
  const double e = at.du.dot(at.du);
  const double f = at.du.dot(at.dv);
  const double g = at.dv.dot(at.dv);
  const double det = e * g - f * f;
  SkinPlace next = place;
  if (!(det > 1e-12 * e * e)) {
    next.u += step.dot(at.du) / e;
    next.v += step.dot(at.normal.cross(at.du)) < 0.0 ? -0.5 : 0.5;  // out of a sharp corner
  } else {
    const double du = (g * step.dot(at.du) - f * step.dot(at.dv)) / det;
    const double dv = (e * step.dot(at.dv) - f * step.dot(at.du)) / det;
    next.u = std::clamp(place.u + du, 0.0, skin.u_end());
    const bool inside = skin.PieceOf(place.v + dv) == skin.PieceOf(place.v) && std::abs(dv) < 1.0;
    next.v = inside ? place.v + dv : WalkAround(skin, next.u, place.v, dv * std::sqrt(g));
  }
  next.u = std::clamp(next.u, 0.0, skin.u_end());
  if (!skin.closed()) next.v = std::clamp(next.v, 0.0, static_cast<double>(skin.piece_count()));
  next.v = skin.Wrapped(next.v);
  return next;
}

double OffFace(const Skin& skin, const SkinPlace& p, int flat) {
  if (flat < 0 || skin.PieceOf(p.v) == flat) return 0.0;
  const double here = skin.OutlineLength(p.u, skin.Wrapped(p.v));
  const double low = skin.OutlineLength(p.u, flat);
  const double high = skin.OutlineLength(p.u, flat + 1.0);
  auto apart = [&](double to) {
    const double gap = std::abs(here - to);
    return skin.closed() ? std::min(gap, skin.Perimeter(p.u) - gap) : gap;
  };
  return std::min(apart(low), apart(high));
}

/// The direction in the skin along which the other measure does not change.
Vec3 AlongOther(const Solution& s, std::size_t which) {
  return s.normal.cross(s.samples[1 - which].gradient).normalized();
}

}  // namespace

double SineBetween(const Vec3& a, const Vec3& b, const Vec3& normal) {
  const double lengths = a.norm() * b.norm();
  if (!(lengths > 0.0)) return 0.0;
  return std::min(1.0, std::abs(a.cross(b).dot(normal)) / lengths);
}

Solution Placer::Describe(const Rule& rule, const SkinPlace& place,
                          std::array<Sample, 2> samples) const {
  Solution s;
  s.place = {place.u, skin().Wrapped(place.v)};
  // A place within rounding of its flat's border is on the flat.
  s.off_face = OffFace(skin(), s.place, rule.flat);
  if (s.off_face < kPlacingResidual) s.off_face = 0.0;
  const SkinPoint at = skin().At(s.place);
  s.position = at.position;
  s.normal = at.normal;
  s.conditioning = SineBetween(samples[0].gradient, samples[1].gradient, at.normal);
  for (std::size_t i = 0; i < 2; ++i) {
    s.right_side = s.right_side && reader_.OnRightSide(rule.measures[i], samples[i], s.place);
  }
  s.samples = std::move(samples);
  return s;
}

std::optional<std::array<Sample, 2>> Placer::ReadBoth(const Rule& rule, const SkinPlace& place,
                                                      const std::array<Sample, 2>* near) const {
  auto a = reader_.Read(rule.measures[0], place, near ? &(*near)[0] : nullptr);
  if (!a) return std::nullopt;
  auto b = reader_.Read(rule.measures[1], place, near ? &(*near)[1] : nullptr);
  if (!b) return std::nullopt;
  return std::array<Sample, 2>{std::move(*a), std::move(*b)};
}

void Placer::Approach(const Rule& rule, SkinPlace* place, std::array<Sample, 2>* samples) const {
  double merit = Residuals(rule, *samples).norm();
  double hoped = 0.25 * merit;
  for (int step = 0; step < kMostSteps && merit > kSettled; ++step) {
    const SkinPoint at = skin().At(*place);
    Vec3 move = NewtonStep(rule, at, *samples);
    const double longest = std::max(10.0, 0.3 * skin().u_end());
    if (move.norm() > longest) move *= longest / move.norm();
    bool better = false;
    for (int half = 0; half < kMostHalvings && !better; ++half, move *= 0.5) {
      const SkinPlace next = Moved(skin(), *place, at, move);
      auto there = ReadBoth(rule, next, samples);
      if (!there) continue;
      const double new_merit = Residuals(rule, *there).norm();
      if (!(new_merit < merit)) continue;
      better = true;
      *place = next;
      *samples = std::move(*there);
      merit = new_merit;
    }
    if (!better) return;
    if ((step + 1) % kPatience == 0) {
      if (merit > hoped) return;
      hoped = 0.25 * merit;
    }
  }
}

std::optional<Solution> Placer::Agreeing(const Rule& rule, const SkinPlace& place,
                                         std::optional<std::array<Sample, 2>> samples) const {
  if (!samples) return std::nullopt;
  const Vec2 r = Residuals(rule, *samples);
  if (!(r.cwiseAbs().maxCoeff() <= kPlacingResidual)) return std::nullopt;
  return Describe(rule, place, std::move(*samples));
}

std::optional<Solution> Placer::Follow(const Rule& rule, const SkinPlace& start,
                                       const std::array<Sample, 2>* near) const {
  SkinPlace place{std::clamp(start.u, 0.0, skin().u_end()), skin().Wrapped(start.v)};
  auto samples = ReadBoth(rule, place, near);
  if (samples) Approach(rule, &place, &*samples);
  return Agreeing(rule, place, std::move(samples));
}

std::optional<SkinPlace> Placer::SlideOnto(const Measure& measure, const SkinPlace& start,
                                           int flat) const {
  SkinPlace place{start.u, skin().Wrapped(start.v)};
  for (int step = 0; step < 12; ++step) {
    const auto sample = reader_.Read(measure, place);
    if (!sample) return std::nullopt;
    const double steep = sample->gradient.squaredNorm();
    if (!(steep > 1e-12)) return std::nullopt;
    if (std::abs(sample->residual) < kPlacingResidual * std::sqrt(steep)) {
      const bool on = OffFace(skin(), place, flat) < kPlacingResidual &&
                      reader_.OnRightSide(measure, *sample, place);
      return on ? std::optional<SkinPlace>(place) : std::nullopt;
    }
    const Vec3 move = -sample->residual / steep * sample->gradient;
    place = Moved(skin(), place, skin().At(place), move);
  }
  return std::nullopt;
}

std::optional<SkinPlace> Placer::TwinOf(const Rule& rule, const Solution& s, std::size_t which,
                                        double within) const {
  const Sample& sample = s.samples[which];
  const Measure& measure = rule.measures[which];
  const Vec3 way = AlongOther(s, which);
  const Vec3 step = s.position - sample.start;
  const double along = step.dot(way);
  if (std::abs(along) < 1e-6 || 2.0 * std::abs(along) > within) return std::nullopt;
  // Where that does not settle: the solution's own place, a start that finds nothing new.
  const SkinPlace twin =
      skin().Project(s.position - 2.0 * along * way, s.place).value_or(SkinHit{s.place}).place;
  // The datum's start moves little: the side can be told before the twin is solved.
  if (!reader_.OnRightSide(measure, sample, twin)) return std::nullopt;
  if (rule.flat >= 0 && skin().PieceOf(twin.v) != rule.flat) return std::nullopt;
  return twin;
}

std::optional<SkinPlace> Placer::TwinRound(const Rule& rule, const Solution& s, std::size_t which,
                                           double within) const {
  const Sample& sample = s.samples[which];
  if (!skin().closed() || rule.measures[which].form != Measure::Form::tape) return std::nullopt;
  // Its sample has its path. The tape's legs round the part and along it, and the leg the other way
  // round.
  const double length = sample.path->length;
  const double apart =
      std::abs(skin().OutlineLength(s.place.u, s.place.v) -
               skin().OutlineLength(s.place.u, skin().Wrapped(sample.path->foot.v)));
  const double girth = skin().Perimeter(s.place.u);
  const double round = std::min(apart, girth - apart);
  const double along = std::sqrt(std::max(0.0, length * length - round * round));
  const double other = std::hypot(along, girth - round);
  // How that reading changes along the other measure's line.
  const SkinPoint at = skin().At(s.place);
  const Vec3 round_way = at.dv.normalized();
  const Vec3 along_way = s.normal.cross(round_way);
  const auto leg = [&](const Vec3& leg_way, double leg_length) {
    return std::copysign(leg_length / other, sample.gradient.dot(leg_way)) * leg_way;
  };
  const Vec3 way = AlongOther(s, which);
  const double slope = (leg(along_way, along) - leg(round_way, girth - round)).dot(way);
  const double step = (length - other) / slope;
  if (!(std::abs(step) <= within)) return std::nullopt;
  // Beyond it rather than short of it, whence Newton would come back.
  const double beyond = std::copysign(1.0 + 0.04 * length, step);
  return Moved(skin(), s.place, at, (step + beyond) * way);
}

std::optional<SkinPlace> Placer::TwinPastTouch(const Rule& rule, const Solution& s,
                                               std::size_t which) const {
  constexpr double kNearlyFlat = 0.3;
  const Vec3 way = AlongOther(s, which);
  const double slope = s.samples[which].gradient.dot(way);
  if (rule.measures[which].is_angle() || !(std::abs(slope) <= kNearlyFlat)) return std::nullopt;
  const double far = std::min(20.0, skin().Perimeter(s.place.u) / 6.0);
  return Moved(skin(), s.place, skin().At(s.place), std::copysign(far, slope) * way);
}

std::vector<Solution> Placer::Solve(const Rule& rule) const {
  constexpr std::size_t kMostStarts = 60;
  constexpr double kTwoCells = 40.0;  // mm: farther round than that the grid tells two places apart
  std::vector<Solution> found;
  std::vector<SkinPlace> starts = Starts(rule);
  const double u_cell = skin().u_end() / (rows_ - 1);
  for (std::size_t i = 0; i < starts.size() && i < kMostStarts; ++i) {
    // Places off the flat only matter where there is none on it.
    const bool off = rule.flat >= 0 && skin().PieceOf(starts[i].v) != rule.flat;
    const bool placed = std::any_of(found.begin(), found.end(), [](const Solution& s) {
      return s.right_side && s.off_face == 0.0;
    });
    if (off && placed) continue;
    const auto warm = Follow(rule, starts[i]);
    if (!warm) continue;
    const bool known = std::any_of(found.begin(), found.end(), [&](const Solution& s) {
      return (s.position - warm->position).norm() < kSame;
    });
    if (known) continue;
    // Newton kept the tape's way round; the shortest way must agree as well.
    const auto cold = Agreeing(rule, warm->place, ReadBoth(rule, warm->place, nullptr));
    if (!cold) continue;
    found.push_back(*cold);
    // Its twin across the datum, across from it or past a touch may lie in the same cells of the
    // grid.
    for (std::size_t k = 0; k < 2; ++k) {
      for (const auto& twin :
           {TwinOf(rule, *cold, k, 4.0 * u_cell), TwinRound(rule, *cold, k, kTwoCells),
            TwinPastTouch(rule, *cold, k)}) {
        if (twin) starts.push_back(*twin);
      }
    }
  }
  return found;
}

}  // namespace holeward
