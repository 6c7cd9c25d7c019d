#include "geometry/tape_edge.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr double kBeyond = 1e-6;    // mm off the surface that count as leaving it
constexpr double kTangent = 1e-10;  // sine of the angle to the edge, at its end of search
constexpr int kSearch = 60;

/// An edge of the surface: u = value (an end) or v = value (a lip).
struct Edge {
  bool end = true;
  double value = 0.0;
  [[nodiscard]] SkinPlace At(double w) const {
    return end ? SkinPlace{value, w} : SkinPlace{w, value};
  }
  [[nodiscard]] double Along(const SkinPlace& p) const { return end ? p.v : p.u; }
  [[nodiscard]] double Across(const SkinPlace& p) const { return end ? p.u : p.v; }
};

/// Where a path first crosses an edge outward and last comes back, by the edge's parameter.
struct Excursion {
  Edge edge;
  double out = 0.0;
  double back = 0.0;
};

bool Off(const Edge& edge, bool upper, const SkinPlace& p) {
  return upper ? edge.Across(p) > edge.value : edge.Across(p) < edge.value;
}

std::optional<Excursion> FindExcursion(const Surface& surface, const std::vector<SkinPlace>& path) {
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  std::optional<Excursion> found;
  for (int side = 0; side < (surface.v_closed() ? 2 : 4); ++side) {
    const bool upper = side % 2 == 1;
    const auto& breaks = side < 2 ? us : vs;
    const Edge edge{side < 2, upper ? breaks.back() : breaks.front()};
    const double slack = 1e-9 * (breaks.back() - breaks.front());
    std::optional<Excursion> here;
    int leaves = 0;
    for (std::size_t i = 0; i + 1 < path.size(); ++i) {
      const bool a = Off(edge, upper, path[i]);
      const bool b = Off(edge, upper, path[i + 1]);
      if (a == b || std::abs(edge.Across(path[i]) - edge.Across(path[i + 1])) < slack) continue;
      const double t =
          (edge.value - edge.Across(path[i])) / (edge.Across(path[i + 1]) - edge.Across(path[i]));
      const double w = (1 - t) * edge.Along(path[i]) + t * edge.Along(path[i + 1]);
      if (b) {
        ++leaves;
        here = Excursion{edge, w, w};
      } else {
        if (!here) here = Excursion{edge, edge.Along(path.front()), w};
        here->back = w;
      }
    }
    if (here && Off(edge, upper, path.back())) here->back = edge.Along(path.back());
    if (leaves > 1 || (here && found)) return std::nullopt;
    if (here) found = here;
  }
  return found;
}

/// The path from a start to a place of the edge; a direct guess each time, warmed by the last.
class EdgeReach {
 public:
  EdgeReach(const Surface& surface, const TapeStart& start, const Edge& edge, TapeGuess guess)
      : surface_(surface), start_(start), edge_(edge), guess_(std::move(guess)) {}

  /// How much the path to edge place w comes from outside: its component along the inward normal.
  std::optional<double> Inward(double w) {
    const SkinPlace p = edge_.At(w);
    last_ = AimAt(surface_, start_, p, guess_);
    if (!last_) return std::nullopt;
    guess_ = {last_->path.foot, last_->path.leave, last_->path.length, false};
    const SkinPoint x = PointIn(surface_, p, CellOf(surface_, p));
    const Vec3 along = edge_.end ? x.dv : x.du;
    Vec3 inward = x.normal.cross(along).normalized();
    const auto& breaks = edge_.end ? surface_.u_breaks() : surface_.v_breaks();
    const Vec3 in = edge_.value == breaks.front() ? (edge_.end ? x.du : x.dv)
                                                  : Vec3(-(edge_.end ? x.du : x.dv));
    if (inward.dot(in) < 0) inward = -inward;
    return last_->path.arrive.dot(inward);
  }
  [[nodiscard]] const TapeAim& last() const { return *last_; }

 private:
  const Surface& surface_;
  const TapeStart& start_;
  Edge edge_;
  TapeGuess guess_;
  std::optional<TapeAim> last_;
};

/// The edge place between `from` (met from inside) and `to` (met from outside) that is met at a
/// tangent: regula falsi, Illinois variant.
std::optional<double> FindTangent(EdgeReach* reach, double from, double to) {
  auto fa = reach->Inward(from);
  if (!fa || *fa > 0) return std::nullopt;
  if (std::abs(*fa) < kTangent) return from;
  // Toward `to` in steps that the next path can be found from the last by, until the sign turns.
  double a = from, b = from;
  auto fb = fa;
  double step = 0.02 * (to - from);
  for (int n = 0; n < kSearch && *fb < 0; ++n) {
    if (b == to) return std::nullopt;
    const double next = std::abs(step) < std::abs(to - b) ? b + step : to;
    const auto f = reach->Inward(next);
    step *= f ? 1.6 : 0.3;
    if (!f) continue;
    a = b;
    fa = fb;
    b = next;
    fb = f;
  }
  if (*fb < 0) return std::nullopt;
  double va = *fa, vb = *fb;
  int side = 0;
  for (int n = 0; n < kSearch; ++n) {
    const double w = (a * vb - b * va) / (vb - va);
    const auto f = reach->Inward(w);
    if (!f) return std::nullopt;
    if (std::abs(*f) < kTangent || std::abs(b - a) < 1e-13 * (1 + std::abs(w))) return w;
    if (*f < 0) {
      a = w;
      va = *f;
      if (side == -1) vb *= 0.5;
      side = -1;
    } else {
      b = w;
      vb = *f;
      if (side == 1) va *= 0.5;
      side = 1;
    }
  }
  return std::nullopt;
}

/// Length of the edge between two parameters, by Gauss's rule of five on each part of a cell.
double EdgeLength(const Surface& surface, const Edge& edge, double from, double to) {
  static constexpr double kX[5] = {-0.906179845938664, -0.538469310105683, 0.0, 0.538469310105683,
                                   0.906179845938664};
  static constexpr double kW[5] = {0.236926885056189, 0.478628670499366, 0.568888888888889,
                                   0.478628670499366, 0.236926885056189};
  const auto& breaks = edge.end ? surface.v_breaks() : surface.u_breaks();
  const double lo = std::min(from, to);
  const double hi = std::max(from, to);
  std::vector<double> cuts = {lo};
  for (int turn = -2; turn <= 2; ++turn) {
    if (turn != 0 && !(edge.end && surface.v_closed())) continue;
    for (double b : breaks) {
      const double at = b + turn * surface.v_period();
      if (at > lo && at < hi) cuts.push_back(at);
    }
  }
  cuts.push_back(hi);
  std::sort(cuts.begin(), cuts.end());
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
    for (int part = 0; part < 8; ++part) {
      const double h = (cuts[i + 1] - cuts[i]) / 8;
      const double middle = cuts[i] + (part + 0.5) * h;
      for (int k = 0; k < 5; ++k) {
        const SkinPlace p = edge.At(middle + 0.5 * h * kX[k]);
        const SkinPoint x = PointIn(surface, p, CellOf(surface, p));
        sum += 0.5 * h * kW[k] * (edge.end ? x.dv : x.du).norm();
      }
    }
  }
  return sum;
}

TapeGuess Straight(const Surface& surface, const TapeStart& start, const SkinPlace& foot,
                   const SkinPlace& to) {
  std::vector<SkinPlace> line;
  for (int i = 0; i <= 12; ++i) {
    const double t = i / 12.0;
    line.push_back({foot.u + t * (to.u - foot.u), foot.v + t * (to.v - foot.v)});
  }
  const TapeSeed seed = PullStraight(surface, nullptr, start, std::move(line), 12);
  return {seed.places.front(), seed.leave, seed.length, false};
}

/// A path to the edge, meeting it at a tangent at edge parameter w.
struct Meeting {
  double w = 0.0;
  TapeAim aim;
};

/// No path at all: the edge is where it begins.
Meeting OnEdge(const Surface& surface, const Excursion& way, double w) {
  Meeting meeting;
  meeting.w = w;
  const SkinPlace p = way.edge.At(w);
  const SkinPoint x = PointIn(surface, p, CellOf(surface, p));
  const Vec3 along = way.edge.end ? x.dv : x.du;
  meeting.aim.path.leave = (way.back > way.out ? along : Vec3(-along)).normalized();
  meeting.aim.path.foot = p;
  meeting.aim.knots = {{p.u, p.v, 0, 0, 0}};
  return meeting;
}

std::optional<Meeting> ToEdge(const Surface& surface, const TapeStart& start, const SkinPlace& foot,
                              const Excursion& way) {
  const Edge& edge = way.edge;
  const auto& breaks = edge.end ? surface.u_breaks() : surface.v_breaks();
  const double slack = 1e-9 * (breaks.back() - breaks.front());
  if (start.kind == TapeStart::Kind::point && std::abs(edge.Across(foot) - edge.value) < slack) {
    return OnEdge(surface, way, edge.Along(foot));
  }
  EdgeReach reach(surface, start, edge, Straight(surface, start, foot, edge.At(way.out)));
  if (const auto w = FindTangent(&reach, way.out, way.back)) return Meeting{*w, reach.last()};
  // A section's outline ends at a lip, a line along the part at its end: the path begins there.
  if (start.kind == TapeStart::Kind::section && !edge.end) {
    return OnEdge(surface, way, start.place.u);
  }
  if (start.kind == TapeStart::Kind::line && edge.end) {
    return OnEdge(surface, way, start.At(edge.value).v);
  }
  return std::nullopt;
}

/// The spans of a surface on one side of a crease, which is its end.
class OneSide final : public Surface {
 public:
  OneSide(const Surface& whole, int first_span, int spans)
      : Surface({whole.u_breaks().begin() + first_span,
                 whole.u_breaks().begin() + first_span + spans + 1},
                whole.v_breaks(), whole.v_closed()),
        whole_(whole),
        first_(first_span) {}
  [[nodiscard]] SkinJet JetAt(double u, double v, int span, int piece) const override {
    return whole_.JetAt(u, v, first_ + span, piece);
  }
  [[nodiscard]] SkinPoint At(double u, double v, int span, int piece) const override {
    return whole_.At(u, v, first_ + span, piece);
  }

 private:
  const Surface& whole_;
  int first_;
};

/// Two meetings of one edge and the stretch between them as one path.
TapePath Joined(const Surface& surface, const Edge& edge, const Meeting& first,
                const Meeting& second, const SkinPlace& to) {
  const TapeAim& a = first.aim;
  const TapeAim& b = second.aim;
  TapePath path;
  path.length = a.path.length + EdgeLength(surface, edge, first.w, second.w) + b.path.length;
  path.leave = a.path.leave;
  path.arrive = -b.path.leave;
  path.foot = a.path.foot;
  path.end = to;
  path.error_bound = a.path.error_bound + b.path.error_bound + 1e-9;
  path.places = PlacesAlong(a.knots);
  for (int i = 1; i < 12; ++i) {
    path.places.push_back(edge.At(first.w + (second.w - first.w) * i / 12.0));
  }
  const std::vector<SkinPlace> rest = PlacesAlong(b.knots);
  path.places.insert(path.places.end(), rest.rbegin(), rest.rend());
  return path;
}

std::optional<TapePath> AlongCrease(const Surface& surface, const TapeStart& start,
                                    const std::vector<SkinPlace>& places, int border) {
  const Edge edge{true, surface.u_breaks()[border]};
  const OneSide before(surface, 0, border);
  const OneSide after(surface, border, surface.span_count() - border);
  const SkinPlace& from = places.front();
  const SkinPlace& to = places.back();
  const Surface& side_of_start = from.u <= edge.value ? static_cast<const Surface&>(before) : after;
  const Surface& side_of_end = to.u <= edge.value ? static_cast<const Surface&>(before) : after;
  TapeStart other;
  other.place = to;
  const auto first = ToEdge(side_of_start, start, from, {edge, from.v, to.v});
  const auto second = ToEdge(side_of_end, other, to, {edge, to.v, from.v});
  if (!first || !second || (second->w - first->w) * (to.v - from.v) < 0) return std::nullopt;
  if (std::max(first->aim.off_end, second->aim.off_end) > 10 * kBeyond) return std::nullopt;
  return Joined(surface, edge, *first, *second, to);
}

}  // namespace

Result<TapePath> PathAlongEdge(const Surface& surface, const TapeStart& start, const SkinPlace& to,
                               const TapeAim& beyond) {
  const auto failed = [](const char* why) {
    return Fail(ErrorKind::computed,
                std::string("tape: the shortest path runs off an end of the part, and ") + why);
  };
  const std::vector<SkinPlace> places = PlacesAlong(beyond.knots);
  const auto excursion = FindExcursion(surface, places);
  if (!excursion) return failed("does so more than once");
  const Edge& edge = excursion->edge;

  const auto first = ToEdge(surface, start, places.front(), *excursion);
  TapeStart other;
  other.place = to;
  const auto second = ToEdge(surface, other, to, {edge, excursion->back, excursion->out});
  if (!first || !second) return failed("no place was found where it meets the end at a tangent");
  if ((second->w - first->w) * (excursion->back - excursion->out) < 0) {
    return failed("the two tangent places are crossed");
  }
  if (std::max(first->aim.off_end, second->aim.off_end) > 10 * kBeyond) {
    return failed("does so more than once");
  }
  TapePath path = Joined(surface, edge, *first, *second, to);
  path.spread = beyond.path.spread;
  path.touches_end = true;
  return path;
}

std::optional<TapePath> PathAlongCrease(const Surface& surface, const TapeStart& start,
                                        const std::vector<SkinPlace>& places) {
  std::optional<TapePath> best;
  const auto& us = surface.u_breaks();
  for (int border = 1; border < surface.span_count(); ++border) {
    const double near = 0.25 * std::min(us[border] - us[border - 1], us[border + 1] - us[border]);
    const bool close = std::any_of(places.begin(), places.end(), [&](const SkinPlace& p) {
      return std::abs(p.u - us[border]) < near;
    });
    if (!close) continue;
    auto path = AlongCrease(surface, start, places, border);
    if (path && (!best || path->length < best->length)) best = std::move(path);
  }
  return best;
}

}  // namespace holeward
