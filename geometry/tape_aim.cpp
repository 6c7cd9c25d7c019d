#include "geometry/tape_aim.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kFine = 3e-10;  // mm a step, last shots
constexpr double kRough = 1e-4;  // mm a step, first shots
constexpr double kNear = 0.3;    // mm: from a miss like this the next shot is worth its accuracy
constexpr double kLeft = 1e-10;  // mm: what correcting the last miss to first order may leave
constexpr int kShots = 24;
constexpr double kGreatestTurn = 0.6;  // radians a Newton step
constexpr int kDrawn = 32;             // places of a path

/// The state of aiming: what is shot from and how long.
struct Aimed {
  TapeLaunch launch;
  double w = 0.0;  // foot on the curve
  double w_per_mm = 0.0;
  double length = 0.0;
};

struct Miss {
  TapeFlight flight;
  double ahead = 0.0;  // along the path
  double aside = 0.0;  // to the left
  double size = 1e300;
};

class Aimer {
 public:
  Aimer(const Surface& surface, const TapeStart& start, const SkinPlace& to)
      : surface_(surface), start_(start), to_(to) {
    const SkinPoint target = PointIn(surface, to, CellOf(surface, to));
    target_ = target.position;
    target_normal_ = target.normal;
  }

  std::optional<TapeAim> Run(const TapeGuess& guess) {
    Aimed aimed = Begin(guess);
    double tolerance = guess.close ? kFine : kRough;
    Miss miss = Fly(aimed, tolerance);
    for (int shot = 0; shot < kShots; ++shot) {
      if (!miss.flight.ok) return std::nullopt;
      if (Met(miss, aimed) && tolerance <= kFine) return Finish(aimed, miss);
      // A rough flight's own error must not make the next, finer one look worse.
      const double slack = tolerance > kFine ? 50.0 * kRough : 0.0;
      tolerance = miss.size < kNear ? kFine : kRough;
      if (!Improve(&aimed, &miss, tolerance, slack)) return std::nullopt;
    }
    return std::nullopt;
  }

 private:
  Aimed Begin(const TapeGuess& guess) const {
    Aimed aimed;
    aimed.w = start_.kind == TapeStart::Kind::line ? guess.foot.u : guess.foot.v;
    aimed.launch = LaunchFrom(surface_, start_, aimed.w, guess.direction, &aimed.w_per_mm);
    aimed.length = guess.length;
    return aimed;
  }

  Miss Fly(const Aimed& aimed, double tolerance) const {
    Miss miss;
    miss.flight = Shoot(surface_, aimed.launch, aimed.length, tolerance);
    const Vec3 r = miss.flight.position - target_;
    miss.ahead = r.dot(miss.flight.tangent);
    miss.aside = r.dot(miss.flight.left);
    miss.size = miss.flight.ok ? r.norm() : 1e300;
    return miss;
  }

  /// Correcting a miss to first order leaves about its square over the length (times how much less
  /// than in a plane the path's sideways spread is).
  [[nodiscard]] bool Met(const Miss& miss, const Aimed& aimed) const {
    const double spread = std::abs(miss.flight.jacobi) / (IsPoint() ? aimed.length : 1.0);
    return miss.size * miss.size <= kLeft * aimed.length * std::min(1.0, spread * spread);
  }

  /// One Newton step, halved until the miss shrinks.
  bool Improve(Aimed* aimed, Miss* miss, double tolerance, double slack) const {
    const TapeFlight& f = miss->flight;
    const double j =
        std::abs(f.jacobi) > 1e-3 * aimed->length ? f.jacobi : aimed->length * SpreadOfPlane();
    double turn = -miss->aside / j;
    const double most = kGreatestTurn * (IsPoint() ? 1.0 : aimed->length);
    turn = std::clamp(turn, -most, most);
    const double stretch = std::clamp(-miss->ahead, -0.6 * aimed->length, aimed->length + 1.0);
    double part = 1.0;
    for (int n = 0; n < 12; ++n, part *= 0.5) {
      const Aimed next = Moved(*aimed, part * turn, part * stretch);
      Miss better = Fly(next, tolerance);
      if (better.size < 0.95 * miss->size + slack || Met(better, next)) {
        *aimed = next;
        *miss = std::move(better);
        return true;
      }
    }
    return false;
  }

  [[nodiscard]] bool IsPoint() const { return start_.kind == TapeStart::Kind::point; }
  [[nodiscard]] double SpreadOfPlane() const { return IsPoint() ? 1.0 : 1e-3; }

  /// Turned to the left by `turn` (or the foot moved so far), lengthened by `stretch`.
  [[nodiscard]] Aimed Moved(const Aimed& aimed, double turn, double stretch) const {
    Aimed next = aimed;
    next.length += stretch;
    if (IsPoint()) {
      const Vec3 n = JetIn(surface_, aimed.launch.place, aimed.launch.cell).normal;
      const Vec3& t = aimed.launch.direction;
      next.launch.direction = (std::cos(turn) * t + std::sin(turn) * n.cross(t)).normalized();
    } else {
      next.w += turn * aimed.w_per_mm;
      next.launch = LaunchFrom(surface_, start_, next.w, aimed.launch.direction, &next.w_per_mm);
    }
    return next;
  }

  /// Takes up the last miss to first order.
  [[nodiscard]] TapeAim Finish(const Aimed& aimed, Miss& miss) const {
    const TapeFlight& f = miss.flight;
    const double turn = std::abs(f.jacobi) > 1e-9 ? -miss.aside / f.jacobi : 0.0;
    const Aimed exact = Moved(aimed, turn, -miss.ahead);
    TapeAim aim;
    TapePath& path = aim.path;
    path.length = exact.length;
    path.leave = exact.launch.direction;
    path.arrive = (f.tangent + turn * f.jacobi_slope * f.left).normalized();
    const double off = path.arrive.dot(target_normal_);
    if (std::abs(off) <
        0.01) {  // the miss turns the tangent plane a little; a crease turns it more
      path.arrive = (path.arrive - off * target_normal_).normalized();
    }
    path.foot = exact.launch.place;
    path.end = to_;
    path.spread = f.jacobi;
    path.error_bound =
        f.error + miss.size * miss.size / std::max(exact.length, 1e-3) + 1e-14 * exact.length;
    aim.conjugate = f.conjugate;
    aim.off_end = f.off_end;
    aim.end_slope = f.jacobi_slope;
    aim.knots = std::move(miss.flight.knots);
    return aim;
  }

  const Surface& surface_;
  const TapeStart& start_;
  SkinPlace to_;
  Vec3 target_;
  Vec3 target_normal_;
};

TapeCell LaunchCell(const Surface& surface, const TapeStart& start, const SkinPlace& place) {
  TapeCell cell = CellOf(surface, place);
  if (start.kind == TapeStart::Kind::section && start.toward_less && cell.span > 0 &&
      place.u <= surface.u_breaks()[cell.span]) {
    --cell.span;
  }
  return cell;
}

}  // namespace

TapeLaunch LaunchFrom(const Surface& surface, const TapeStart& start, double w,
                      const Vec3& direction, double* w_per_mm) {
  TapeLaunch launch;
  launch.place = start.At(w);
  launch.cell = LaunchCell(surface, start, launch.place);
  const SkinJet x = JetIn(surface, launch.place, launch.cell);
  if (start.kind == TapeStart::Kind::point) {
    Vec3 t = direction - direction.dot(x.normal) * x.normal;
    if (t.squaredNorm() < 1e-12) t = x.du;
    launch.direction = t.normalized();
    *w_per_mm = 0.0;
    return launch;
  }
  Vec3 d1 = x.dv;
  Vec3 d2 = x.dvv;
  if (start.kind == TapeStart::Kind::line) {
    const TapeLine::Value f = start.line.At(w);
    d1 = x.du + f.v_u * x.dv;
    d2 = x.duu + 2.0 * f.v_u * x.duv + f.v_u * f.v_u * x.dvv + f.v_uu * x.dv;
  }
  Vec3 t = x.normal.cross(d1).normalized();
  if (t.dot(direction) < 0) t = -t;
  launch.direction = t;
  launch.jacobi = 1.0;
  launch.jacobi_slope = -d2.dot(t) / d1.squaredNorm();
  *w_per_mm = d1.dot(x.normal.cross(t)) / d1.squaredNorm();
  return launch;
}

std::optional<TapeAim> AimAt(const Surface& surface, const TapeStart& start, const SkinPlace& to,
                             const TapeGuess& guess) {
  return Aimer(surface, start, to).Run(guess);
}

std::vector<SkinPlace> PlacesAlong(const std::vector<TapeKnot>& knots) {
  std::vector<SkinPlace> places;
  places.push_back({knots.front().u, knots.front().v});
  if (knots.size() < 2) return places;
  const double total = knots.back().s - knots.front().s;
  for (std::size_t i = 0; i + 1 < knots.size(); ++i) {
    const TapeKnot& a = knots[i];
    const TapeKnot& b = knots[i + 1];
    const double h = b.s - a.s;
    if (h <= 0) continue;
    const int parts = std::max(1, static_cast<int>(std::ceil(kDrawn * h / total)));
    for (int n = 1; n <= parts; ++n) {
      places.push_back(PlaceBetween(a, b, static_cast<double>(n) / parts));
    }
  }
  return places;
}

}  // namespace holeward
