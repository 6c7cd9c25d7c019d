#include "geometry/tape_seed.h"

#include <algorithm>
#include <cmath>

#include "geometry/tape_shoot.h"

namespace holeward {
namespace {

using Block = Eigen::Matrix2d;
using Columns = Eigen::Matrix<double, 3, 2>;

constexpr double kSettled = 2e-3;  // of the path's length: shooting takes over from there

constexpr int kHalvings = 5;  // of a step that would lengthen the path

/// Positions and derivatives by the free parameters of every place.
struct ChordPath {
  std::vector<Vec3> x;
  std::vector<Columns> j;
};

ChordPath Evaluate(const Surface& surface, const SurfaceTable* table, const TapeStart& start,
                   const std::vector<SkinPlace>& places) {
  ChordPath path;
  path.x.reserve(places.size());
  path.j.reserve(places.size());
  for (const SkinPlace& p : places) {
    Columns j;
    if (table != nullptr) {
      const SurfaceTable::Place s = table->At(p);
      j << s.du, s.dv;
      path.x.push_back(s.position);
    } else {
      const SkinPoint s = PointIn(surface, p, CellOf(surface, p));
      j << s.du, s.dv;
      path.x.push_back(s.position);
    }
    path.j.push_back(j);
  }
  Columns& first = path.j.front();
  if (start.kind == TapeStart::Kind::section) first.col(0).setZero();
  if (start.kind == TapeStart::Kind::line) {
    first.col(0) += start.line.At(places.front().u).v_u * first.col(1);
    first.col(1).setZero();
  }
  return path;
}

double ChordLength(const ChordPath& path) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < path.x.size(); ++i) sum += (path.x[i + 1] - path.x[i]).norm();
  return sum;
}

/// The Gauss-Newton step of all places but the last, by the block tridiagonal elimination.
std::vector<Vec2> NewtonStep(const ChordPath& path, bool first_fixed) {
  const std::size_t n = path.x.size() - 1;
  std::vector<Block> c(n);
  std::vector<Vec2> d(n);
  Block upper_before = Block::Zero();
  for (std::size_t i = 0; i < n; ++i) {
    const Columns& j = path.j[i];
    Vec3 pull = path.x[i] - path.x[i + 1];
    Block h = j.transpose() * j;
    if (i > 0) {
      pull += path.x[i] - path.x[i - 1];
      h *= 2.0;
    } else if (first_fixed) {
      h.setIdentity();
    } else {  // one of the two columns is zero: that parameter stays
      if (j.col(0).isZero()) h(0, 0) = 1.0;
      if (j.col(1).isZero()) h(1, 1) = 1.0;
    }
    Vec2 g = -(j.transpose() * pull);
    Block upper = -(j.transpose() * path.j[i + 1]);
    if (i == 0 && first_fixed) {
      g.setZero();
      upper.setZero();
    }
    if (i > 0) {
      h -= upper_before.transpose() * c[i - 1];
      g -= upper_before.transpose() * d[i - 1];
    }
    const Block inverse = h.inverse();
    c[i] = inverse * upper;
    d[i] = inverse * g;
    upper_before = upper;
  }
  for (std::size_t i = n - 1; i-- > 0;) d[i] -= c[i] * d[i + 1];
  return d;
}

double Energy(const ChordPath& path) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < path.x.size(); ++i)
    sum += (path.x[i + 1] - path.x[i]).squaredNorm();
  return sum;
}

/// Moves the places by a part of the step; returns the greatest move, mm.
double Apply(const Surface& surface, const TapeStart& start, const ChordPath& path,
             const std::vector<Vec2>& step, double part, std::vector<SkinPlace>* places) {
  double most = 0.0;
  for (std::size_t i = 0; i < step.size(); ++i) {
    most = std::max(most, (path.j[i] * step[i]).norm());
  }
  const double limit = 0.4 * ChordLength(path);
  const double scale = part * (most > limit ? limit / most : 1.0);
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  for (std::size_t i = 0; i < step.size(); ++i) {
    SkinPlace& p = (*places)[i];
    p.u = std::clamp(p.u + scale * step[i].x(), us.front(), us.back());
    p.v += scale * step[i].y();
    if (!surface.v_closed()) p.v = std::clamp(p.v, vs.front(), vs.back());
  }
  SkinPlace& first = places->front();
  if (start.kind == TapeStart::Kind::section && start.limited) {
    first.v = std::clamp(first.v, start.range.from, start.range.to);
  }
  if (start.kind == TapeStart::Kind::line) {
    first = start.At(std::clamp(first.u, start.range.from, start.range.to));
  }
  return scale * most;
}

/// Chord length with each chord lengthened to an arc that turns as the chords at its ends do.
double ArcLength(const ChordPath& path) {
  const std::size_t n = path.x.size() - 1;
  auto turn = [&](std::size_t i) {  // at place i
    if (i == 0 || i == n) return -1.0;
    const Vec3 a = path.x[i] - path.x[i - 1];
    const Vec3 b = path.x[i + 1] - path.x[i];
    return std::atan2(a.cross(b).norm(), a.dot(b));
  };
  double sum = 0.0;
  for (std::size_t i = 0; i < n; ++i) {
    double a = turn(i);
    double b = turn(i + 1);
    if (a < 0) a = std::max(b, 0.0);
    if (b < 0) b = a;
    const double mean = 0.5 * (a + b);
    sum += (path.x[i + 1] - path.x[i]).norm() * (1.0 + mean * mean / 24.0);
  }
  return sum;
}

}  // namespace

SkinPlace TapeStart::At(double w) const {
  switch (kind) {
    case Kind::point: return place;
    case Kind::section: return {place.u, w};
    case Kind::line: return {w, line.At(w).v};
  }
  return place;
}

TapeSeed PullStraight(const Surface& surface, const SurfaceTable* table, const TapeStart& start,
                      std::vector<SkinPlace> places, int rounds) {
  const bool fixed = start.kind == TapeStart::Kind::point;
  ChordPath path = Evaluate(surface, table, start, places);
  for (int n = 0; n < rounds; ++n) {
    const std::vector<Vec2> step = NewtonStep(path, fixed);
    const double before = Energy(path);
    double part = 1.0;
    double most = 0.0;
    ChordPath next;
    std::vector<SkinPlace> moved;
    for (int tries = 0; tries < kHalvings; ++tries, part *= 0.4) {
      moved = places;
      most = Apply(surface, start, path, step, part, &moved);
      next = Evaluate(surface, table, start, moved);
      if (Energy(next) <= before) break;
    }
    places = std::move(moved);
    path = std::move(next);
    if (most < kSettled * ChordLength(path)) break;
  }
  TapeSeed seed;
  seed.leave = (path.x[1] - path.x[0]).normalized();
  seed.length = ArcLength(path);
  seed.places = std::move(places);
  return seed;
}

}  // namespace holeward
