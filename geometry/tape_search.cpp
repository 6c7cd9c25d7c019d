#include "geometry/tape_search.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/tape_edge.h"
#include "geometry/tape_fan.h"
#include "geometry/tape_foot.h"
#include "geometry/tape_grid.h"
#include "geometry/tape_parts.h"

namespace holeward {
namespace {

constexpr int kSeedChords = 14;
constexpr int kGridChords = 42;
constexpr int kFineChords = 112;
constexpr int kSeedRounds = 8;
constexpr int kFineRounds = 40;
// A chord path's length is this far off at most where it matters: beyond it a way is longer.
constexpr double kSeedError = 0.15;
constexpr double kShapeError = 0.03;  // the same between two shapes of one way

constexpr double kFineError = 0.003;  // of a fine chord path's length
constexpr double kSameChain = 0.5;    // mm
constexpr double kSameShape = 0.08;   // of the length: chord paths this near become one geodesic

}  // namespace

bool FootInRange(const TapeStart& start, const SkinPlace& foot) {
  if (start.kind == TapeStart::Kind::point || !start.limited) return true;
  const double w = start.kind == TapeStart::Kind::line ? foot.u : foot.v;
  const double slack = 1e-9 * (start.range.to - start.range.from);
  return w >= start.range.from - slack && w <= start.range.to + slack;
}

double NearestInRange(const Surface& surface, double v, const TapeRange& range) {
  const double middle = 0.5 * (range.from + range.to);
  return std::clamp(NearestTurn(surface, v, middle), range.from, range.to);
}

double TapeSearch::Girth(double v) const {
  const auto& vs = surface_.v_breaks();
  const auto& g = facts_.girth;
  double base = 0.0;
  if (surface_.v_closed()) {
    const double turn = std::floor((v - vs.front()) / surface_.v_period());
    v -= turn * surface_.v_period();
    base = turn * g.back();
  }
  const auto it = std::upper_bound(vs.begin() + 1, vs.end() - 1, v);
  const std::size_t i = static_cast<std::size_t>(it - vs.begin()) - 1;
  return base + g[i] + (g[i + 1] - g[i]) * (v - vs[i]) / (vs[i + 1] - vs[i]);
}

double TapeSearch::VOfGirth(double girth) const {
  const auto& vs = surface_.v_breaks();
  const auto& g = facts_.girth;
  double base = 0.0;
  if (surface_.v_closed()) {
    const double turn = std::floor(girth / g.back());
    girth -= turn * g.back();
    base = turn * surface_.v_period();
  }
  const auto it = std::upper_bound(g.begin() + 1, g.end() - 1, girth);
  const std::size_t i = static_cast<std::size_t>(it - g.begin()) - 1;
  return base + vs[i] + (vs[i + 1] - vs[i]) * (girth - g[i]) / (g[i + 1] - g[i]);
}

std::vector<TapeSearch::Way> TapeSearch::Ways() const {
  const double period = surface_.v_period();
  std::vector<Way> ways;
  if (start_.kind == TapeStart::Kind::section) {
    if (!start_.limited) return {{{start_.place.u, to_.v}, to_, 0}};
    const double foot = NearestInRange(surface_, to_.v, start_.range);
    ways.push_back({{start_.place.u, foot}, to_, 0});
  } else {
    const double u = std::clamp(to_.u, start_.range.from, start_.range.to);
    ways.push_back({start_.kind == TapeStart::Kind::point ? start_.place : start_.At(u), to_, 0});
  }
  if (!surface_.v_closed()) return ways;
  const Way base = ways.front();
  ways.clear();
  const double around = facts_.girth.back();
  for (int turn = -2; turn <= 2; ++turn) {
    Way way = base;
    way.to.v = to_.v + turn * period + period * std::round((base.foot.v - to_.v) / period);
    if (start_.kind == TapeStart::Kind::section) {
      way.foot.v = std::clamp(way.to.v, start_.range.from, start_.range.to);
    }
    ways.push_back(way);
  }
  std::sort(ways.begin(), ways.end(), [&](const Way& a, const Way& b) {
    return std::abs(Girth(a.to.v) - Girth(a.foot.v)) < std::abs(Girth(b.to.v) - Girth(b.foot.v));
  });
  for (Way& way : ways) {
    way.turns = static_cast<int>(std::lround(std::abs(way.to.v - ways.front().to.v) / period));
  }
  // Of two ways that wind on by two turns or more none is ever shortest while loops have length.
  ways.resize(around > 0 ? 3 : 1);
  return ways;
}

TapeSeed TapeSearch::SeedOf(const Way& way, double bulge, int rounds) const {
  std::vector<SkinPlace> places;
  const double g0 = Girth(way.foot.v);
  const double g1 = Girth(way.to.v);
  const bool slides = start_.kind == TapeStart::Kind::section;
  for (int i = 0; i <= kSeedChords; ++i) {
    const double t = static_cast<double>(i) / kSeedChords;
    const double shape = slides ? 1.0 - t : std::sin(kPi * t);
    const double g = g0 + t * (g1 - g0) + bulge * facts_.girth.back() * shape;
    double v = VOfGirth(g);
    if (!surface_.v_closed()) {
      v = std::clamp(v, surface_.v_breaks().front(), surface_.v_breaks().back());
    }
    places.push_back({way.foot.u + t * (way.to.u - way.foot.u), v});
  }
  if (bulge == 0.0 || !slides) places.front() = way.foot;
  places.back() = way.to;
  return PullStraight(surface_, &facts_.table, start_, std::move(places), rounds);
}

void TapeSearch::Keep(TapePath path, bool conjugate) {
  if (best_ && path.length >= best_->length) return;
  best_ = std::move(path);
  best_conjugate_ = conjugate;
}

void TapeSearch::ShootFromRangeEnd(const SkinPlace& foot, const SkinPlace& to) {
  const double w = start_.kind == TapeStart::Kind::line ? foot.u : foot.v;
  TapeStart end;
  end.place = start_.At(std::clamp(w, start_.range.from, start_.range.to));
  TapeSearch search(surface_, facts_, end, to);
  auto path = search.Run();
  if (path) {
    path->proven_shortest = false;
    Keep(std::move(*path));
  } else {
    last_error_ = path.error();
    all_found_ = false;
  }
}

void TapeSearch::Shoot(const TapeSeed& seed, const SkinPlace& to) {
  const TapeGuess guess{seed.places.front(), seed.leave, seed.length, false};
  auto aim = AimAt(surface_, start_, to, guess);
  if (aim && aim->path.length > (1.0 + kShapeError) * seed.length) aim.reset();  // went astray
  if (aim) {
    Accept(*aim, to);
    return;
  }
  std::vector<SkinPlace> fine = EvenPlaces(facts_.table, seed.places, kFineChords);
  AimFine(start_, PullStraight(surface_, nullptr, start_, std::move(fine), kFineRounds));
}

void TapeSearch::Accept(TapeAim& aim, const SkinPlace& to) {
  if (!FootInRange(start_, aim.path.foot)) {
    ShootFromRangeEnd(aim.path.foot, to);
    return;
  }
  if (aim.off_end > kTapeOffEnd) {
    auto held = PathAlongEdge(surface_, start_, to, aim);
    if (held) {
      Keep(std::move(*held));
    } else {
      last_error_ = held.error();
      all_found_ = false;
    }
    return;
  }
  if (aim.conjugate) all_found_ = false;
  aim.path.places = PlacesAlong(aim.knots);
  Keep(std::move(aim.path), aim.conjugate);
}

void TapeSearch::Try(const Way& way) {
  const TapeSeed seed = SeedOf(way, 0.0, kSeedRounds);
  if (best_ && seed.length > (1.0 + kSeedError) * best_->length) {
    if (Unique(way, 0.5 * (seed.length + best_->length), seed.length)) return;
    if (seed.length > (1.0 + 3 * kSeedError) * best_->length) {
      all_found_ = false;
      return;
    }
  }
  Shoot(seed, way.to);
  if (!Unique(way, seed.length, seed.length)) TryShapes(way, seed);
}

/// Other shapes of a way, where there may be several geodesics: bulged to either side.
void TapeSearch::TryShapes(const Way& way, const TapeSeed& plain) {
  for (double bulge : {-0.25, 0.25}) {
    const TapeSeed seed = SeedOf(way, bulge, 2 * kSeedRounds);
    if (best_ && seed.length > (1.0 + kShapeError) * best_->length) continue;
    if (Apart(seed, plain) < kSameShape * plain.length) continue;
    Shoot(seed, way.to);
  }
}

void TapeSearch::TryGrid() {
  for (std::vector<SkinPlace>& places : GridPaths(facts_.table, start_, to_, kGridChords)) {
    TryChain(start_, std::move(places));
  }
}

/// True when a chain runs along the best path all the way: it would become the same.
bool TapeSearch::RunsAlongBest(const TapeSeed& seed) const {
  if (!best_ || best_conjugate_ || best_->touches_end) return false;
  std::vector<Vec3> best;
  for (const SkinPlace& p : best_->places) best.push_back(facts_.table.At(p).position);
  std::size_t near = 0;  // both run the same way: the nearest chord only moves on
  for (const SkinPlace& p : seed.places) {
    const Vec3 x = facts_.table.At(p).position;
    double least = 1e300;
    for (std::size_t i = near; i + 1 < best.size(); ++i) {
      const Vec3 chord = best[i + 1] - best[i];
      const double t = std::clamp((x - best[i]).dot(chord) / chord.squaredNorm(), 0.0, 1.0);
      const double off = (x - best[i] - t * chord).norm();
      if (off < least) {
        least = off;
        near = i;
      } else if (off > least + 3.0 * kSameChain) {
        break;
      }
    }
    if (least > kSameChain) return false;
  }
  return true;
}

/// Every way that could still be shorter, where nothing shows that there is none.
void TapeSearch::TryFan(double longest) {
  std::vector<TapeSeed> aimed;
  for (FanWay& way : FanWays(surface_, facts_, start_, to_, longest, kGridChords)) {
    if (best_ && way.length > best_->length + 1.0) continue;
    TapeStart end;
    end.place = way.places.front();
    const TapeStart& start = way.from_end ? end : start_;
    // As it is, for the rough copy may not tell two near ways apart.
    const TapeSeed seed = PullStraight(surface_, nullptr, start, way.places, 0);
    const bool known = std::any_of(aimed.begin(), aimed.end(), [&](const TapeSeed& other) {
      return Apart(seed, other) < kSameChain;
    });
    if (known || RunsAlongBest(seed)) continue;
    aimed.push_back(seed);
    auto aim = AimInParts(surface_, start, seed);
    if (aim && (!best_ || aim->path.length < best_->length)) Accept(*aim, way.places.back());
    TryChain(start, std::move(way.places));
  }
}

/// A chain that may lead to a way not looked at yet: pulled straight on the rough copy, and if it
/// is short enough and new on the surface itself.
void TapeSearch::TryChain(const TapeStart& start, std::vector<SkinPlace> places) {
  // The foot stays where the chain has it: a sliding one may run off to another way.
  TapeStart foot;
  foot.place = places.front();
  TapeSeed seed = PullStraight(surface_, &facts_.table, foot, std::move(places), kFineRounds);
  if (best_ && seed.length > (1.0 + kShapeError) * best_->length) return;
  for (const TapeSeed& other : tried_) {
    if (Apart(seed, other) < kSameChain) return;
  }
  tried_.push_back(seed);
  places = EvenPlaces(facts_.table, seed.places, kFineChords);
  seed = PullStraight(surface_, nullptr, start, std::move(places), kFineRounds);
  if (best_ && seed.length > (1.0 + kFineError) * best_->length) return;
  AimFine(start, seed);
}

/// Aims along a chord path that was pulled straight on the surface itself.
void TapeSearch::AimFine(const TapeStart& start, const TapeSeed& seed) {
  const SkinPlace& to = seed.places.back();
  const TapeGuess guess{seed.places.front(), seed.leave, seed.length, false};
  auto aim = AimAt(surface_, start, to, guess);
  if (aim && aim->path.length > (1.0 + kFineError) * seed.length) aim.reset();  // went astray
  if (!aim) aim = AimInParts(surface_, start, seed);
  if (!aim && start.kind != TapeStart::Kind::point) {
    aim = AimFromNearestFoot(surface_, start, to, guess);
  }
  if (aim) {
    Accept(*aim, to);
    return;
  }
  auto along = facts_.creased ? PathAlongCrease(surface_, start, seed.places) : std::nullopt;
  if (along) {
    Keep(std::move(*along));
    return;
  }
  all_found_ = false;
  least_missed_ = std::min(least_missed_, seed.length);
}

double TapeSearch::Apart(const TapeSeed& a, const TapeSeed& b) const {
  double most = 0.0;
  for (std::size_t i = 0; i < a.places.size(); ++i) {
    const Vec3 x = facts_.table.At(a.places[i]).position;
    most = std::max(most, (x - facts_.table.At(b.places[i]).position).norm());
  }
  return most;
}

/// Sum and greatest of how the start curve bends toward the target: its geodesic curvature.
double TapeSearch::TotalFocus(double* greatest) const {
  *greatest = 0.0;
  if (start_.kind == TapeStart::Kind::point) return 0.0;
  const bool section = start_.kind == TapeStart::Kind::section;
  const auto& breaks = section ? surface_.v_breaks() : surface_.u_breaks();
  double total = 0.0;
  double unused = 0.0;
  constexpr int kSamples = 4;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    for (int n = 0; n < kSamples; ++n) {
      const double w = breaks[i] + (breaks[i + 1] - breaks[i]) * (n + 0.5) / kSamples;
      const SkinPlace p = start_.At(w);
      const SkinPoint x = PointIn(surface_, p, CellOf(surface_, p));
      const Vec3 way =
          section ? (start_.toward_less ? Vec3(-x.du) : x.du) : (to_.v < p.v ? Vec3(-x.dv) : x.dv);
      const TapeLaunch launch = LaunchFrom(surface_, start_, w, way, &unused);
      const double bend = -launch.jacobi_slope;
      *greatest = std::max({*greatest, bend, section ? 0.0 : -bend});
      total += std::max(section ? bend : std::abs(bend), 0.0) * (section ? x.dv : x.du).norm() *
               (breaks[i + 1] - breaks[i]) / kSamples;
    }
  }
  return total;
}

bool TapeSearch::Unique(const Way& way, double length, double longest) {
  const TapeReach reach{way.foot.u, way.to.u, length, longest,
                        start_.kind == TapeStart::Kind::line};
  if (!facts_.PathIsUnique(reach)) return false;
  if (start_.kind == TapeStart::Kind::point) return true;
  if (!focus_) {
    Focus focus;
    focus.total = 1.2 * TotalFocus(&focus.greatest);
    focus.greatest *= 1.25;
    focus_ = focus;
  }
  return facts_.FootIsUnique(reach, focus_->greatest, focus_->total);
}

Result<TapePath> TapeSearch::Run(bool rivals) {
  for (const Way& way : Ways()) {
    if (best_ && way.turns > 0 && facts_.OtherWayRoundIsLonger(best_->length, way.turns)) {
      continue;
    }
    const bool once_round = std::abs(Girth(way.to.v) - Girth(way.foot.v)) >= facts_.girth.back();
    if (best_ && once_round && start_.kind == TapeStart::Kind::point &&
        facts_.LeastHelix(way.foot.u, way.to.u) > best_->length) {
      continue;
    }
    Try(way);
    if (start_.kind == TapeStart::Kind::section && !start_.limited) break;
  }
  const auto shown = [&] {
    return best_ && all_found_ &&
           Unique({best_->foot, best_->end, 0}, best_->length, best_->length);
  };
  const bool look = rivals || !best_;
  if (look && !shown()) TryGrid();
  if (look && !shown()) TryFan(best_ ? best_->length : (1.0 + kShapeError) * least_missed_);
  if (!best_) {
    if (last_error_) return tl::unexpected<Error>(*last_error_);
    return Fail(ErrorKind::computed,
                fmt::format("tape: no path settled to place u = {}, v = {}", to_.u, to_.v));
  }
  if (least_missed_ < (1.0 - kShapeError) * best_->length) {
    return Fail(
        ErrorKind::computed,
        fmt::format("tape: a path of some {:.1f} mm to place u = {}, v = {} did not settle, "
                    "and every other way is longer",
                    least_missed_, to_.u, to_.v));
  }
  best_->proven_shortest = !best_->touches_end && shown();
  return *best_;
}

}  // namespace holeward
