#include "geometry/worst_pose_bounds.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "geometry/worst_pose_along.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr std::array<double, 7> kSteepest{72 * kDegree,    82 * kDegree,   87 * kDegree,
                                          88.8 * kDegree,  89.7 * kDegree, 89.93 * kDegree,
                                          89.985 * kDegree};
constexpr double kLeanPart = 0.5 * kDegree;
constexpr double kSettled = 0.02;  // mm: smaller cells and pieces gain no more than this
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

/// @param from the ball's middle off the entry
Apart ApartAt(const DrillPart& part, const Leaning& best, const Vec3& from) {
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

/// The leans from the one straightest toward the piece on, each with the direction in which it
/// keeps apart, as long as these directions turn toward the axis.
std::vector<Apart> LeansInTurn(const DrillPart& part, const PlaceCell& cell, const Vec3& from,
                               double grown, const std::vector<double>& angles) {
  const double m = std::max(from.norm(), kTiny);
  std::vector<Apart> leans;
  for (const double alpha : angles) {
    const Touch touch = TouchOf(part, m * std::cos(alpha), m * std::sin(alpha), grown);
    if (!std::isfinite(touch.depth)) break;
    const Apart apart = ApartAt(part, {touch, Toward(from / m, cell.middle.axis, alpha)}, from);
    const double nu = AngleBetween(apart.along, cell.middle.axis);
    if (apart.psi > kSteepest[2]) break;
    if (!leans.empty() && nu > AngleBetween(leans.back().along, cell.middle.axis)) break;
    leans.push_back(apart);
  }
  return leans;
}

/// All leans in parts, each part judged along a direction of its own: the tip may come near by
/// leaning either way, and then no one direction serves for both. A part holds the axes within an
/// angle of its direction that the parts before it do not hold; the last holds what is left.
/// @param known nothing is sought below this
CellBound LeastInParts(const DrillPart& part, const PlaceCell& cell, const MetalPiece& piece,
                       const BoundOf& of, double known) {
  const Vec3 from = piece.middle - cell.middle.entry;
  const double theta = AngleBetween(from, cell.middle.axis);
  const double least = std::max(0.0, theta - of.tilt);
  const int count = std::clamp(static_cast<int>(std::ceil(2.0 * of.tilt / kLeanPart)), 2, 32);
  const double step = (theta + of.tilt - least) / count;
  std::vector<double> angles;
  for (int k = 0; k < count; ++k) angles.push_back(least + (k + 0.5) * step);
  const std::vector<Apart> leans = LeansInTurn(part, cell, from, piece.grown, angles);
  CellBound bound;
  if (leans.size() < 2) bound.depth = -kNever;
  double held = 0.0;  // axes within this of the direction before are held already
  for (std::size_t k = 0; k < leans.size() && leans.size() > 1; ++k) {
    AxesWithin within;
    if (k > 0) {
      const double turned = AngleBetween(leans[k - 1].along, leans[k].along);
      within.floor = std::max(0.0, held - turned);
    }
    if (k + 1 < leans.size()) within.ceiling = held = leans[k].psi + 0.5 * step;
    const CellBound other = AlongBound(leans[k].along, cell, piece, of).Over(part, within);
    if (!(other.depth > known)) return other;
    if (other.depth < bound.depth) bound = other;
  }
  return bound;
}

bool Behind(const PlaceCell& cell, const MetalPiece& piece) {
  if (piece.lowest > cell.radius + std::abs(cell.middle.entry.z()) + 10.0) return false;
  const double far = (piece.middle - cell.middle.entry).norm() + piece.radius + cell.radius;
  const double blur = cell.sag + far * (cell.axis_sag + cell.turn * cell.turn);
  for (const Stance& stance : cell.corner) {
    for (const Vec3& pole : piece.poles) {
      // Not a number: not behind.
      if (!((pole - stance.entry).dot(stance.axis) + blur < 0.0)) return false;
    }
  }
  return true;
}

}  // namespace

CellBound LeastTouch(const PlaceCell& cell, const MetalPiece& piece, const BoundOf& of) {
  CellBound bound;
  const double radius = of.parts.back().disc[1].radius;
  if (Behind(cell, piece) || OutOfReach(cell, piece, piece.grown, of.tilt, radius)) return bound;
  const Vec3& normal = piece.middle_normal;
  const Vec3 outward = normal.dot(cell.middle.axis) < 0.0 ? Vec3(-normal) : normal;
  const bool level = normal.squaredNorm() > 0.5 &&
                     AngleBetween(outward, cell.middle.axis) + of.tilt < 80.0 * kDegree;
  std::optional<AlongBound> along_outward;  // the same for every part
  for (const DrillPart& part : of.parts) {
    const Vec3 from = piece.middle - cell.middle.entry;
    const Apart apart =
        ApartAt(part, WorstLean(part, cell.middle, from, piece.grown, of.tilt), from);
    CellBound best;
    best.depth = -kNever;
    const auto better = [&](const AlongBound& bound_along) {
      const CellBound other = bound_along.Of(part);
      if (other.depth > best.depth) best = other;
      return other;
    };
    const auto attempt = [&](const Vec3& along) {
      return better(AlongBound(along, cell, piece, of));
    };
    if (level) {
      if (!along_outward) along_outward.emplace(outward, cell, piece, of);
      better(*along_outward);
    }
    // Beside the drill the tight direction is all but square to the axis; what is not bilinear then
    // weighs most, so directions nearer the axis are tried as well. A face seen from the front is
    // nearly always held off best along its normal: when they get worse, the rest are left.
    double last = -kNever;
    for (const double steepest : kSteepest) {
      if (best.depth >= of.cut) break;
      const CellBound tried =
          attempt(apart.psi > steepest ? Toward(apart.axis, apart.along, steepest) : apart.along);
      if (apart.psi <= steepest || (level && tried.depth < std::min(last, best.depth))) break;
      last = tried.depth;
    }
    if (level && apart.psi < kSteepest.front() && best.depth < of.cut)
      attempt((outward + apart.along).normalized());
    const bool small = best.piece_spread + best.cell_spread < kSettled;
    if (small && best.depth < of.cut && of.tilt > 0.0) {
      const CellBound parted = LeastInParts(part, cell, piece, of, best.depth);
      if (parted.depth > best.depth) best = parted;
    }
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
    const double deep = (view.delta[k] + grown + kTiny + rest + a * std::sin(psi)) / std::cos(psi);
    return std::isnan(deep) ? kNever : deep;
  };
  double most = -kNever;
  double least = kNever;
  for (std::size_t k = 0; k < view.count; ++k) {
    const double raw = depth(k, 0.0);
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
  bound.cell_spread = proven - least;
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
