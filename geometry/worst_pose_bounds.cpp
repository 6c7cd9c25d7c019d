#include "geometry/worst_pose_bounds.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSide = 89.95 * kDegree;  // an axis nearer square to w proves nothing by w
constexpr std::array<double, 5> kSteepest{72 * kDegree, 82 * kDegree, 87 * kDegree, 88.8 * kDegree,
                                          89.7 * kDegree};
constexpr double kFirstStep = 0.4 * kDegree;
constexpr double kTiny = 1e-9;

double AngleBetween(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

/// Where a part touches a ball `s` along the axis and `r` off it.
struct Touch {
  double depth = kNever;
  double radius = 0.0;  ///< off the axis, of the drill's own place
  double behind = 0.0;  ///< behind the tip
};

Touch TouchOf(const DrillPart& part, double s, double r, double g) {
  Touch touch;
  const auto at = [&](double radius, double behind) {
    const double off = r - radius;
    if (std::abs(off) > g + kTiny) return;
    const double depth = s - std::sqrt(std::max(0.0, g * g - off * off)) + behind;
    if (depth < touch.depth) touch = {depth, radius, behind};
  };
  const DrillDisc& front = part.disc[0];
  const DrillDisc& back = part.disc[1];
  at(std::clamp(r, 0.0, front.radius), front.behind);
  const double width = back.radius - front.radius;
  if (width <= 0.0) return touch;
  const double cot = (back.behind - front.behind) / width;
  const double best = r - g * cot / std::hypot(1.0, cot);
  const double from = std::max(front.radius, r - g);
  const double to = std::min(back.radius, r + g);
  if (from > to + kTiny) return touch;
  const double radius = std::clamp(best, std::min(from, to), to);
  at(radius, front.behind + (radius - front.radius) * cot);
  return touch;
}

/// Any direction square to a unit vector.
Vec3 SquareTo(const Vec3& axis) {
  const Vec3 helper = std::abs(axis.x()) < 0.6 ? Vec3::UnitX() : Vec3::UnitY();
  return (helper - axis * helper.dot(axis)).normalized();
}

/// The direction in the plane of the unit vectors a and b at `angle` from a, on b's side.
Vec3 Toward(const Vec3& a, const Vec3& b, double angle) {
  const Vec3 square = b - a * a.dot(b);
  const double length = square.norm();
  const Vec3 side = length > 1e-12 ? Vec3(square / length) : SquareTo(a);
  return std::cos(angle) * a + std::sin(angle) * side;
}

/// How a part is leant, within the tilt, to touch a ball as shallow as it can.
struct Leaning {
  Touch touch;
  Vec3 axis = Vec3::UnitZ();
};

Leaning WorstLean(const DrillPart& part, const Stance& stance, const Vec3& from, double g,
                  double tilt) {
  const double m = std::max(from.norm(), kTiny);
  const Vec3 toward = from / m;
  const double theta = AngleBetween(toward, stance.axis);
  const double least = std::max(0.0, theta - tilt);
  const double most = theta + tilt;
  double angle = least;
  Leaning best;
  best.touch = TouchOf(part, m * std::cos(least), m * std::sin(least), g);
  const auto lean = [&](double sine) {
    const double alpha = std::clamp(std::asin(std::clamp(sine, 0.0, 1.0)), least, most);
    const Touch touch = TouchOf(part, m * std::cos(alpha), m * std::sin(alpha), g);
    if (!(touch.depth < best.touch.depth)) return;
    best.touch = touch;
    angle = alpha;
  };
  for (const DrillDisc& disc : part.disc) {
    lean(disc.radius / m);
    if (g > 0.0) lean(disc.radius / std::max(m - g, kTiny));
  }
  best.axis = Toward(toward, stance.axis, angle);
  return best;
}

/// The normal where one part and a ball first touch in the middle stance's worst lean.
struct Apart {
  Vec3 along = Vec3::UnitZ();
  Vec3 axis = Vec3::UnitZ();  ///< of the worst lean
  double psi = 0.0;           ///< between them
};

Apart ApartAt(const DrillPart& part, const Stance& stance, const Vec3& place, double g,
              double tilt) {
  const Vec3 from = place - stance.entry;
  const Leaning best = WorstLean(part, stance, from, g, tilt);
  Apart apart;
  apart.axis = best.axis;
  const Vec3 lateral = from - apart.axis * from.dot(apart.axis);
  const Vec3 out = lateral.norm() > kTiny ? Vec3(lateral.normalized()) : SquareTo(apart.axis);
  if (std::isfinite(best.touch.depth)) {
    const Vec3 contact =
        apart.axis * (best.touch.depth - best.touch.behind) + out * best.touch.radius;
    apart.along = from - contact;
    if (apart.along.norm() < 1e-6) {
      // No ball: the cone's own normal; at a tip or on a rim one of many.
      apart.along = apart.axis * (part.disc[1].radius - part.disc[0].radius) +
                    out * (part.disc[1].behind - part.disc[0].behind);
    }
    apart.along.normalize();
  } else {
    apart.along = out;
  }
  apart.psi = AngleBetween(apart.along, apart.axis);
  return apart;
}

struct DiscDepth {
  double depth = kNever;
  double psi = 0.0;
};

/// Least of (delta - rho sin psi) / cos psi + b over psi in [low, high]: it falls up to
/// sin psi = rho / delta and rises from there.
DiscDepth Least(double delta, const DrillDisc& disc, double low, double high) {
  const double turning = delta > disc.radius ? std::asin(disc.radius / delta) : high;
  const double psi = std::clamp(turning, low, std::max(low, high));
  return {(delta - disc.radius * std::sin(psi)) / std::cos(psi) + disc.behind, psi};
}

/// What a cell looks like along w.
struct AlongView {
  std::size_t count = 0;
  std::array<double, 8> delta{};  ///< from the mix's entry to the nearest metal along w
  std::array<double, 8> nu{};     ///< the intended axis' angle to w
  double turn = 0.0;              ///< greatest difference of the four angles
  double slack = 0.0;             ///< an axis' angle may differ by this from the weighted four
  double spread = 0.0;            ///< of the piece along w
  double nu_most = 0.0;
  std::array<double, 2> change{};  ///< of delta and of the angle times `arm`, by the cell's ways
};

AlongView ViewAlong(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece, double sign) {
  AlongView view;
  double low = kNever;
  double high = -kNever;
  for (const Vec3& pole : piece.poles) {
    low = std::min(low, pole.dot(w));
    high = std::max(high, pole.dot(w));
  }
  view.spread = high - low;
  std::array<double, 4> delta{};
  std::array<double, 4> nu{};
  double nu_least = kNever;
  if (cell.mixes == 1) {
    delta.fill((sign > 0.0 ? low : high) - cell.corner[0].entry.dot(w));
    nu.fill(AngleBetween(w, cell.corner[0].axis));
  } else {
    for (std::size_t c = 0; c < 4; ++c) {
      delta[c] = (sign > 0.0 ? low : high) - cell.corner[c].entry.dot(w);
      nu[c] = AngleBetween(w, cell.corner[c].axis);
    }
    const double arm = (piece.middle - cell.middle.entry).norm();
    const auto change = [&](std::size_t c, std::size_t d) {
      return std::abs(delta[c] - delta[d]) + arm * std::abs(nu[c] - nu[d]);
    };
    view.change = {change(0, 1) + change(2, 3), change(0, 2) + change(1, 3)};
  }
  view.count = cell.mixes;
  for (std::size_t k = 0; k < cell.mixes; ++k) {
    view.delta[k] = cell.mix[k].Of(delta);
    view.nu[k] = cell.mix[k].Of(nu);
    nu_least = std::min(nu_least, view.nu[k]);
    view.nu_most = std::max(view.nu_most, view.nu[k]);
  }
  view.turn = view.nu_most - nu_least;
  // The angle to w bends by at most cot(nu) over the sphere of directions.
  const double turn = cell.turn;
  view.slack = cell.axis_sag;
  if (turn > 0.0) {
    const double nearest = std::max(nu_least - turn, 0.0);
    view.slack += std::min(turn, turn * turn / (4.0 * std::max(std::tan(nearest), 1e-12))) +
                  turn * turn * turn;
  }
  return view;
}

/// The bound of one part along one direction, over the axes at least `floor` off it.
class AlongBound {
 public:
  AlongBound(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece, const BoundOf& of)
      : w_(w), cell_(cell), piece_(piece), of_(of), view_(ViewAlong(w, cell, piece, 1.0)) {
    for (double& delta : view_.delta) delta -= piece.grown + kTiny;
  }

  CellBound Of(const DrillPart& part) {
    CellBound bound = Over(part, 0.0);
    // Axes that lean away until they are square to w are judged along directions nearer the axis,
    // in steps: each takes those for which the one before was square or beyond.
    double most = view_.nu_most + of_.tilt + view_.slack;
    const double nu = AngleBetween(w_, cell_.middle.axis);
    double turned = 0.0;
    for (double step = kFirstStep; most > kSide && bound.depth < of_.cut; step *= 2.0) {
      const double next = std::min(turned + step, nu);
      AlongBound beside(Toward(cell_.middle.axis, w_, nu - next), cell_, piece_, of_);
      const CellBound other = beside.Over(part, kSide - (next - turned) - kTiny);
      if (other.depth < bound.depth) bound = other;
      if (next >= nu && next - turned < kTiny) break;
      most = beside.view_.nu_most + of_.tilt + view_.slack;
      turned = next;
    }
    return bound;
  }

 private:
  struct Range {
    double low = 0.0;
    double high = 0.0;
  };
  [[nodiscard]] Range Psi(std::size_t mix, double floor) const {
    const double nu = view_.nu[mix];
    const double low = floor > 0.0 ? floor : std::max(0.0, nu - of_.tilt);
    return {std::min(low, kSide), std::min(nu + of_.tilt, kSide)};
  }

  CellBound Over(const DrillPart& part, double floor) {
    CellBound bound;
    bound.along = w_;
    if (floor > 0.0 && view_.nu_most + of_.tilt + view_.slack < floor) return bound;
    for (const DrillDisc& disc : part.disc) {
      const CellBound of_disc = OverDisc(disc, floor);
      if (of_disc.depth < bound.depth) bound = of_disc;
    }
    return bound;
  }

  CellBound OverDisc(const DrillDisc& disc, double floor) {
    CellBound bound;
    bound.along = w_;
    double greatest = -kNever;
    for (std::size_t k = 0; k < view_.count; ++k) {
      const Range psi = Psi(k, floor);
      const DiscDepth at = Least(view_.delta[k], disc, psi.low, psi.high);
      greatest = std::max(greatest, at.depth);
      if (!(at.depth < bound.depth)) continue;
      bound.depth = at.depth;
      bound.mix = static_cast<int>(k);
      bound.nu = view_.nu[k];
      bound.psi = at.psi;
    }
    if (std::isnan(greatest)) bound.depth = -kNever;
    const double raw = std::min(bound.depth, of_.cut);
    double proven = With(disc, floor, raw, Rest(disc, raw, 1.0));
    if (floor <= 0.0 && view_.turn + view_.slack > 0.0) {
      const double rest = Rest(disc, raw, Steepness(disc, proven, raw));
      proven = std::max(proven, With(disc, floor, raw, rest));
    }
    const double cosine = std::max(std::cos(bound.psi), 1e-3);
    bound.piece_spread = view_.spread / cosine;
    bound.cell_spread = (std::min(greatest, raw + 1e3) - raw) + (raw - proven);
    bound.way = view_.change[0] > view_.change[1] ? 0 : 1;
    if (raw - proven > 0.5 * bound.cell_spread) bound.way = cell_.half.x() > cell_.half.y() ? 0 : 1;
    bound.depth = proven;
    return bound;
  }

  /// What to take off delta for all that is not bilinear in the cell, at depths up to `depth`.
  [[nodiscard]] double Rest(const DrillDisc& disc, double depth, double steepness) const {
    const double arm = std::hypot(disc.radius, depth - disc.behind);
    if (steepness <= 0.0) return cell_.sag;
    return cell_.sag + arm * (steepness * view_.slack + view_.turn * view_.turn / 8.0);
  }

  /// Greatest slope (over the arm) of the separation by the axis' angle, over the cell, at depths
  /// from `from` to `to`; 0 where the worst lean is the same whatever the angle.
  [[nodiscard]] double Steepness(const DrillDisc& disc, double from, double to) const {
    double steepest = 0.0;
    for (const double depth : {from, to}) {
      const double chi = std::atan2(disc.radius, depth - disc.behind);
      for (std::size_t k = 0; k < view_.count; ++k) {
        const double beyond = std::abs(view_.nu[k] - chi) + view_.slack + view_.turn - of_.tilt;
        steepest = std::max(steepest, std::min(beyond, 0.5 * kPi));
      }
    }
    return steepest > 0.0 ? std::sin(steepest) : 0.0;
  }

  [[nodiscard]] double With(const DrillDisc& disc, double floor, double raw, double rest) const {
    double depth = raw;
    for (std::size_t k = 0; k < view_.count; ++k) {
      const Range psi = Psi(k, floor);
      const double at = Least(view_.delta[k] - rest, disc, psi.low, psi.high).depth;
      if (!(at >= depth)) depth = at;
    }
    return depth;
  }

  Vec3 w_;
  const PlaceCell& cell_;
  const MetalPiece& piece_;
  const BoundOf& of_;
  AlongView view_;
};

/// True if no pose of the cell has metal of the piece within radius a of its axis.
bool OutOfReach(const PlaceCell& cell, const MetalPiece& piece, double grown, double tilt,
                double a) {
  const Vec3 from = piece.middle - cell.middle.entry;
  const double apart = from.norm();
  const double blur = piece.radius + cell.radius + grown;
  const double m = apart - blur;
  if (m <= a) return false;
  const double theta = AngleBetween(from, cell.middle.axis);
  const double off = std::asin(blur / apart) + cell.turn + tilt;
  const double least = theta - off;
  const double most = theta + off;
  if (least <= 0.0 || most >= kPi) return false;
  return m * std::min(std::sin(least), std::sin(most)) > a;
}

bool Behind(const PlaceCell& cell, const MetalPiece& piece) {
  if (piece.lowest > cell.radius + std::abs(cell.middle.entry.z()) + 10.0) return false;
  const double far = (piece.middle - cell.middle.entry).norm() + piece.radius + cell.radius;
  const double blur = cell.sag + far * (cell.axis_sag + cell.turn * cell.turn);
  for (const Stance& stance : cell.corner) {
    for (const Vec3& pole : piece.poles) {
      if ((pole - stance.entry).dot(stance.axis) + blur >= 0.0) return false;
    }
  }
  return true;
}

}  // namespace

CellBound LeastTouch(const PlaceCell& cell, const MetalPiece& piece, const BoundOf& of) {
  CellBound bound;
  const double radius = of.parts->back().disc[1].radius;
  if (Behind(cell, piece) || OutOfReach(cell, piece, piece.grown, of.tilt, radius)) return bound;
  const Vec3& normal = piece.middle_normal;
  const Vec3 outward = normal.dot(cell.middle.axis) < 0.0 ? Vec3(-normal) : normal;
  const bool level = normal.squaredNorm() > 0.5 &&
                     AngleBetween(outward, cell.middle.axis) + of.tilt < 80.0 * kDegree;
  for (const DrillPart& part : *of.parts) {
    const Apart apart = ApartAt(part, cell.middle, piece.middle, piece.grown, of.tilt);
    CellBound best;
    best.depth = -kNever;
    const auto attempt = [&](const Vec3& along) {
      if (best.depth >= of.cut) return;
      const CellBound other = AlongBound(along, cell, piece, of).Of(part);
      if (other.depth > best.depth) best = other;
    };
    // Beside the drill the tight direction is all but square to the axis; what is not bilinear then
    // weighs most, so directions nearer the axis are tried as well.
    for (const double steepest : kSteepest) {
      attempt(apart.psi > steepest ? Toward(apart.axis, apart.along, steepest) : apart.along);
      if (apart.psi <= steepest) break;
    }
    if (level) attempt(outward);
    if (level && apart.psi < kSteepest.front()) attempt((outward + apart.along).normalized());
    if (best.depth < bound.depth) bound = best;
  }
  return bound;
}

CellBound GreatestThrough(const PlaceCell& cell, const MetalPiece& piece, double grown,
                          const Drill& drill, double tilt) {
  CellBound bound;
  bound.depth = -kNever;
  const double a = drill.radius();
  if (OutOfReach(cell, piece, grown, tilt, a)) return bound;
  const Vec3& normal = piece.middle_normal;
  Vec3 w = normal.dot(cell.middle.axis) < 0.0 ? Vec3(-normal) : normal;
  if (!(w.squaredNorm() > 0.5) ||
      AngleBetween(w, cell.middle.axis) + cell.turn + tilt > 80.0 * kDegree) {
    w = cell.middle.axis;
  }
  const AlongView view = ViewAlong(w, cell, piece, -1.0);
  const auto depth = [&](std::size_t k, double rest) {
    const double psi = view.nu[k] + tilt;
    return (view.delta[k] + grown + kTiny + rest + a * std::sin(psi)) / std::cos(psi);
  };
  double most = -kNever;
  double least = kNever;
  for (std::size_t k = 0; k < view.count; ++k) {
    double raw = depth(k, 0.0);
    if (std::isnan(raw)) raw = kNever;
    if (raw > most) {
      most = raw;
      bound.mix = static_cast<int>(k);
      bound.nu = view.nu[k];
    }
    least = std::min(least, raw);
  }
  const double arm = std::hypot(a, std::abs(most) + 1.0);
  const double rest = cell.sag + arm * (view.slack + view.turn * view.turn / 8.0);
  double proven = most;
  for (std::size_t k = 0; k < view.count; ++k) proven = std::max(proven, depth(k, rest));
  bound.along = w;
  bound.psi = bound.nu + tilt;
  bound.piece_spread = view.spread / std::cos(bound.psi);
  bound.cell_spread = (most - least) + (proven - most);
  bound.way = view.change[0] > view.change[1] ? 0 : 1;
  bound.depth = proven + drill.FullBehind();
  return bound;
}

double TouchOfBall(const std::vector<DrillPart>& parts, const Vec3& from_entry,
                   const Vec3& direction, double grown) {
  const double s = from_entry.dot(direction);
  const double r = (from_entry - s * direction).norm();
  double depth = kNever;
  for (const DrillPart& part : parts) depth = std::min(depth, TouchOf(part, s, r, grown).depth);
  return depth;
}

Vec3 WorstAxis(const std::vector<DrillPart>& parts, const Stance& stance, const Vec3& from_entry,
               double grown, double tilt) {
  Leaning worst = WorstLean(parts.front(), stance, from_entry, grown, tilt);
  for (std::size_t i = 1; i < parts.size(); ++i) {
    const Leaning leaning = WorstLean(parts[i], stance, from_entry, grown, tilt);
    if (leaning.touch.depth < worst.touch.depth) worst = leaning;
  }
  return worst.axis;
}

Vec3 LeantAxis(const Vec3& axis, const Vec3& along, double psi) { return Toward(along, axis, psi); }

}  // namespace holeward
