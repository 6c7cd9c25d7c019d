#include "geometry/section_loop.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

// Places nearer than this are one, mm.
constexpr double kSame = 1e-9;
// Two directions nearer than this sine give no plane.
constexpr double kParallel = 1e-6;

double Cross(const Vec2& p, const Vec2& q) { return p.x() * q.y() - p.y() * q.x(); }

/// The loop without points that repeat the one before.
CutLoop WithoutRepeats(const CutLoop& loop) {
  CutLoop out;
  const std::size_t n = loop.points.size();
  for (std::size_t i = 0; i < n; ++i) {
    if ((loop.points[(i + 1) % n] - loop.points[i]).norm() <= kSame) continue;
    out.points.push_back(loop.points[i]);
    out.drawn.push_back(loop.drawn[i]);
  }
  if (out.points.size() < 3) return {};
  return out;
}

double OffLine(const Vec2& p, const Vec2& from, const Vec2& to) {
  const Vec2 run = to - from;
  const double length2 = run.squaredNorm();
  const double t = length2 > 0.0 ? std::clamp((p - from).dot(run) / length2, 0.0, 1.0) : 0.0;
  return (p - from - t * run).norm();
}

}  // namespace

Result<CutPlane> CutPlane::Through(const Vec3& origin, const Vec3& along, const Vec3& across) {
  const bool sound = origin.allFinite() && along.allFinite() && across.allFinite() &&
                     along.norm() > 0.0 && across.norm() > 0.0;
  if (!sound) return Fail(ErrorKind::job, "the section's plane is not defined");
  CutPlane plane;
  plane.origin = origin;
  plane.y = along.normalized();
  const Vec3 side = across.normalized() - across.normalized().dot(plane.y) * plane.y;
  if (!(side.norm() > kParallel)) {
    return Fail(ErrorKind::job, "the section's two directions are the same");
  }
  plane.x = side.normalized();
  return plane;
}

double CutLoop::Area() const {
  double twice = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    twice += Cross(points[i], points[(i + 1) % points.size()]);
  }
  return 0.5 * twice;
}

// Sutherland and Hodgman, Comm. ACM 17 (1974) 32: what is cut off is closed along the line, which
// on a hollow loop may leave edges that run there and back; none of them is drawn unless asked for.
CutLoop Clipped(const CutLoop& loop, const HalfPlane& half, bool drawn) {
  CutLoop out;
  const std::size_t n = loop.points.size();
  auto depth = [&](const Vec2& p) { return (p - half.through).dot(half.inward); };
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2& p = loop.points[i];
    const Vec2& q = loop.points[(i + 1) % n];
    const double at_p = depth(p);
    const double at_q = depth(q);
    const bool in_p = at_p >= 0.0;
    const bool in_q = at_q >= 0.0;
    if (in_p) {
      out.points.push_back(p);
      out.drawn.push_back(loop.drawn[i]);
    }
    if (in_p != in_q) {
      out.points.push_back(p + at_p / (at_p - at_q) * (q - p));
      out.drawn.push_back(in_p ? drawn : loop.drawn[i]);
    }
  }
  return WithoutRepeats(out);
}

CutLoop Clipped(const CutLoop& loop, const Eigen::AlignedBox2d& window) {
  CutLoop out = loop;
  for (const HalfPlane& side :
       {HalfPlane{window.min(), Vec2::UnitX()}, HalfPlane{window.min(), Vec2::UnitY()},
        HalfPlane{window.max(), -Vec2::UnitX()}, HalfPlane{window.max(), -Vec2::UnitY()}}) {
    out = Clipped(out, side, false);
  }
  return out;
}

CutLoop HiddenInside(const CutLoop& loop, const CutLoop& convex) {
  const std::size_t sides = convex.points.size();
  const double turn = convex.Area() < 0.0 ? -1.0 : 1.0;
  CutLoop out;
  const std::size_t n = loop.points.size();
  auto push = [&](const Vec2& p, bool drawn) {
    out.points.push_back(p);
    out.drawn.push_back(drawn);
  };
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2& p = loop.points[i];
    const Vec2 run = loop.points[(i + 1) % n] - p;
    double from = 0.0;
    double to = 1.0;
    for (std::size_t k = 0; k < sides; ++k) {  // Cyrus and Beck, Computers & Graphics 3 (1978) 23
      const Vec2 edge = (convex.points[(k + 1) % sides] - convex.points[k]).normalized();
      const Vec2 inward = turn * Vec2(-edge.y(), edge.x());
      const double at = (p - convex.points[k]).dot(inward) + kSame;
      const double speed = run.dot(inward);
      if (std::abs(speed) < 1e-15) {
        if (at < 0.0) to = -1.0;
      } else if (speed > 0.0) {
        from = std::max(from, -at / speed);
      } else {
        to = std::min(to, -at / speed);
      }
    }
    if (!(to - from > 1e-7)) {
      push(p, loop.drawn[i]);
      continue;
    }
    if (from > 1e-7) push(p, loop.drawn[i]);
    push(p + from * run, false);
    if (to < 1.0 - 1e-7) push(p + to * run, loop.drawn[i]);
  }
  return out;
}

std::vector<CutLoop> Joined(const std::vector<CutLoop>& convex) {
  std::vector<CutLoop> joined;
  for (std::size_t i = 0; i < convex.size(); ++i) {
    CutLoop loop = convex[i];
    for (std::size_t j = 0; j < convex.size(); ++j) {
      if (j != i && !convex[j].points.empty()) loop = HiddenInside(loop, convex[j]);
    }
    joined.push_back(loop);
  }
  return joined;
}

// Andrew's monotone chain, Inf. Proc. Lett. 9 (1979) 216.
CutLoop HullOf(std::vector<Vec2> points) {
  std::sort(points.begin(), points.end(), [](const Vec2& p, const Vec2& q) {
    return p.x() != q.x() ? p.x() < q.x() : p.y() < q.y();
  });
  std::vector<Vec2> hull;
  auto walk = [&](auto begin, auto end) {
    const std::size_t start = hull.size();
    for (auto it = begin; it != end; ++it) {
      while (hull.size() >= start + 2 &&
             Cross(hull.back() - hull[hull.size() - 2], *it - hull.back()) <= 1e-12) {
        hull.pop_back();
      }
      hull.push_back(*it);
    }
    hull.pop_back();
  };
  if (points.size() < 3) return {};
  walk(points.begin(), points.end());
  walk(points.rbegin(), points.rend());
  CutLoop loop{hull, std::vector<bool>(hull.size(), true)};
  return WithoutRepeats(loop);
}

CutLoop Thinned(const CutLoop& loop, double tolerance) {
  const std::size_t n = loop.points.size();
  CutLoop out;
  for (std::size_t i = 0; i < n;) {
    out.points.push_back(loop.points[i]);
    out.drawn.push_back(loop.drawn[i]);
    std::size_t to = i + 1;
    for (bool further = true; further && to < n;) {
      further = loop.drawn[to] == loop.drawn[i];
      const Vec2& end = loop.points[(to + 1) % n];
      for (std::size_t k = i + 1; k <= to && further; ++k) {
        further = OffLine(loop.points[k], loop.points[i], end) <= tolerance;
      }
      if (further) ++to;
    }
    i = to;
  }
  return WithoutRepeats(out);
}

}  // namespace holeward
