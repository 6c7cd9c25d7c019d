#include "geometry/tape.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/tape_aim.h"
#include "geometry/tape_edge.h"
#include "geometry/tape_facts.h"
#include "geometry/tape_search.h"
#include "geometry/tape_seed.h"
#include "geometry/tape_shoot.h"

namespace holeward {
namespace {

constexpr double kSamePlace = 1e-9;  // mm

bool OnSurface(const Surface& surface, const SkinPlace& p) {
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  const double su = 1e-9 * (us.back() - us.front());
  const double sv = 1e-9 * (vs.back() - vs.front());
  if (!std::isfinite(p.u) || !std::isfinite(p.v)) return false;
  if (p.u < us.front() - su || p.u > us.back() + su) return false;
  return surface.v_closed() || (p.v >= vs.front() - sv && p.v <= vs.back() + sv);
}

tl::unexpected<Error> OffSurface(const SkinPlace& p) {
  return Fail(ErrorKind::computed,
              fmt::format("tape: place u = {}, v = {} is not on the surface", p.u, p.v));
}

/// The path of a start that the place lies on: no length; it arrives square off the curve.
TapePath NoLength(const Surface& surface, const TapeStart& start, double w, const SkinPlace& to) {
  double unused = 0.0;
  const SkinPoint x = PointIn(surface, to, CellOf(surface, to));
  const Vec3 way = start.kind == TapeStart::Kind::line ? x.dv : x.du;
  TapePath path;
  path.leave = LaunchFrom(surface, start, w, way, &unused).direction;
  path.arrive = path.leave;
  path.foot = start.At(w);
  path.end = to;
  path.places = {path.foot, to};
  path.proven_shortest = true;
  return path;
}

Vec3 PositionAt(const Surface& surface, const SkinPlace& p) {
  return PointIn(surface, p, CellOf(surface, p)).position;
}

/// An earlier path carried over to a moved target by its derivatives.
TapeGuess Carried(const Surface& surface, const TapePath& seed, const SkinPlace& to,
                  bool from_point) {
  const SkinPoint old_end = PointIn(surface, seed.end, CellOf(surface, seed.end));
  const Vec3 move = PositionAt(surface, to) - old_end.position;
  const Vec3 left = old_end.normal.cross(seed.arrive);
  const double turn = std::abs(seed.spread) > 1e-9 ? move.dot(left) / seed.spread : 0.0;
  TapeGuess guess{seed.foot, seed.leave, std::max(seed.length + move.dot(seed.arrive), 1e-6), true};
  const SkinPoint x = PointIn(surface, seed.foot, CellOf(surface, seed.foot));
  const Vec3 left0 = x.normal.cross(seed.leave);
  if (from_point) {
    guess.direction += turn * left0;
  } else {  // the foot moves along its curve
    const double a = x.du.dot(left0), b = x.dv.dot(left0);
    guess.foot.u += turn * a / x.du.squaredNorm();
    guess.foot.v += turn * b / x.dv.squaredNorm();
  }
  return guess;
}

/// A warm path, if it settles near its seed and inside the surface.
std::optional<TapePath> Warm(const Surface& surface, const TapeStart& start, SkinPlace to,
                             const TapePath& seed) {
  if (seed.length <= 0 || seed.touches_end) return std::nullopt;
  to.v = NearestTurn(surface, to.v, seed.end.v);
  TapeGuess guess = Carried(surface, seed, to, start.kind == TapeStart::Kind::point);
  auto aim = AimAt(surface, start, to, guess);
  if (!aim || aim->conjugate || aim->off_end > kTapeOffEnd) return std::nullopt;
  if (!FootInRange(start, aim->path.foot)) return std::nullopt;
  aim->path.places = PlacesAlong(aim->knots);
  return aim->path;
}

}  // namespace

TapeSolver::TapeSolver(std::shared_ptr<const Surface> surface)
    : surface_(std::move(surface)),
      facts_(std::make_shared<const SurfaceFacts>(SurfaceFacts::Of(*surface_))) {}

Result<TapePath> TapeSolver::Path(const SkinPlace& from, const SkinPlace& to,
                                  const TapePath* seed) const {
  if (!OnSurface(*surface_, from)) return OffSurface(from);
  if (!OnSurface(*surface_, to)) return OffSurface(to);
  TapeStart start;
  start.place = from;
  if ((PositionAt(*surface_, from) - PositionAt(*surface_, to)).norm() < kSamePlace) {
    return NoLength(*surface_, start, 0.0, to);
  }
  if (seed != nullptr) {
    start.place.v = NearestTurn(*surface_, from.v, seed->foot.v);
    if (auto warm = Warm(*surface_, start, to, *seed)) return *warm;
  }
  return TapeSearch(*surface_, *facts_, start, to).Run(rivals_);
}

Result<TapePath> TapeSolver::FromSection(double u_section, const SkinPlace& to,
                                         std::optional<TapeRange> v_range,
                                         const TapePath* seed) const {
  if (!OnSurface(*surface_, to)) return OffSurface(to);
  TapeStart start;
  start.kind = TapeStart::Kind::section;
  start.limited = v_range.has_value() || !surface_->v_closed();
  start.range =
      v_range.value_or(TapeRange{surface_->v_breaks().front(), surface_->v_breaks().back()});
  const SkinPlace on_section{u_section, start.limited ? start.range.from : to.v};
  if (!OnSurface(*surface_, on_section)) return OffSurface(on_section);
  start.place = on_section;
  start.toward_less = to.u < u_section;
  const double v = start.limited ? NearestInRange(*surface_, to.v, start.range) : to.v;
  if ((PositionAt(*surface_, {u_section, v}) - PositionAt(*surface_, to)).norm() < kSamePlace) {
    return NoLength(*surface_, start, v, to);
  }
  if (seed != nullptr) {
    if (auto warm = Warm(*surface_, start, to, *seed)) return *warm;
  }
  return TapeSearch(*surface_, *facts_, start, to).Run(rivals_);
}

Result<TapePath> TapeSolver::FromLine(const TapeLine& line, const SkinPlace& to,
                                      std::optional<TapeRange> u_range,
                                      const TapePath* seed) const {
  if (!OnSurface(*surface_, to)) return OffSurface(to);
  TapeStart start;
  start.kind = TapeStart::Kind::line;
  start.line = line;
  start.limited = true;
  start.range =
      u_range.value_or(TapeRange{surface_->u_breaks().front(), surface_->u_breaks().back()});
  const double u = std::clamp(to.u, start.range.from, start.range.to);
  const SkinPlace beside = start.At(u);
  if (!OnSurface(*surface_, beside)) return OffSurface(beside);
  if ((PositionAt(*surface_, beside) - PositionAt(*surface_, to)).norm() < kSamePlace) {
    return NoLength(*surface_, start, u, to);
  }
  if (seed != nullptr) {
    if (auto warm = Warm(*surface_, start, to, *seed)) return *warm;
  }
  return TapeSearch(*surface_, *facts_, start, to).Run(rivals_);
}

TapeLine TapeLine::GirthOffset(std::shared_ptr<const Skin> skin, double v_line, double girth_mm) {
  const auto v_of = [skin, v_line, girth_mm](double u) {
    const double base = skin->GirthOf(u, v_line);
    const double v = skin->VOfGirth(u, base + girth_mm);
    if (!skin->closed()) return v;
    const double period = skin->piece_count();  // the turn that the sign of the girth says
    const double step = v - v_line - period * std::floor((v - v_line) / period);
    return v_line + (girth_mm >= 0 ? step : step - period);
  };
  TapeLine line;
  line.v = v_line;
  if (girth_mm == 0.0) return line;
  const double last = skin->u_end();
  line.curve = [v_of, last](double u) {
    const double h = std::min(0.05, 0.01 * last);
    const double before = v_of(u - h), here = v_of(u), after = v_of(u + h);
    return Value{here, (after - before) / (2 * h), (after - 2 * here + before) / (h * h)};
  };
  return line;
}

}  // namespace holeward
