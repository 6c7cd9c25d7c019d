#include "geometry/section_outline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace holeward {
namespace {

// Below this a length is nothing, mm.
constexpr double kNothing = 1e-9;
// Five-point Gauss-Legendre rule on [-1, 1] (Abramowitz and Stegun, table 25.4): exact for the
// integrals over lines, below rounding over arcs of this turn.
constexpr std::array<double, 5> kNode{-0.906179845938663993, -0.538469310105683091, 0.0,
                                      0.538469310105683091, 0.906179845938663993};
constexpr std::array<double, 5> kWeight{0.236926885056189088, 0.478628670499366468,
                                        0.568888888888888889, 0.478628670499366468,
                                        0.236926885056189088};
constexpr double kArcStep = 4.0 * kDegree;
// A wall seen this many times its thickness deep is run along, not through (78 degrees off square).
constexpr double kMostSlant = 5.0;

Vec2 OnCircle(const Vec2& centre, double radius, double angle) {
  return centre + radius * Vec2(std::cos(angle), std::sin(angle));
}

/// The values t in (0, 1) at which a piece crosses a = x.
std::vector<double> Crossings(const OutlinePiece& piece, double x) {
  std::vector<double> found;
  if (piece.radius <= 0.0) {
    const double run = piece.to.x() - piece.from.x();
    if (std::abs(run) > kNothing) found.push_back((x - piece.from.x()) / run);
  } else {
    const double cosine = (x - piece.centre.x()) / piece.radius;
    if (std::abs(cosine) < 1.0) {
      for (const double sign : {1.0, -1.0}) {
        double turn = sign * std::acos(cosine) - piece.angle;
        turn -= 2.0 * kPi * std::floor(turn / (2.0 * kPi));
        if (piece.sweep < 0.0) turn -= 2.0 * kPi;
        found.push_back(turn / piece.sweep);
      }
    }
  }
  std::erase_if(found, [](double t) { return !(t > 0.0 && t < 1.0); });
  std::sort(found.begin(), found.end());
  return found;
}

/// The piece cut at all these lines a = x.
std::vector<OutlinePiece> SplitAt(const OutlinePiece& piece, const std::array<double, 2>& lines) {
  std::vector<double> breaks{0.0, 1.0};
  for (const double x : lines) {
    const auto found = Crossings(piece, x);
    breaks.insert(breaks.end(), found.begin(), found.end());
  }
  std::sort(breaks.begin(), breaks.end());
  std::vector<OutlinePiece> parts;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    if (breaks[i + 1] - breaks[i] > 1e-13) {
      parts.push_back(piece.Between(breaks[i], breaks[i + 1]));
    }
  }
  return parts;
}

struct Interval {
  double from = 0.0;
  double to = 0.0;
};

Interval HeightsOf(const OutlinePiece& piece) {
  return {-piece.Reach(-Vec2::UnitY()), piece.Reach(Vec2::UnitY())};
}

/// Heights at which the slot's middle line meets the border, in order. The line stands aside by a
/// hair, so that it does not pass through the joint of two pieces.
std::vector<double> HeightsOnAxis(const std::vector<OutlinePiece>& pieces, double half) {
  constexpr double kHair = 0.7313e-6;
  std::vector<double> heights;
  for (const OutlinePiece& piece : pieces) {
    for (const double t : Crossings(piece, kHair * half)) heights.push_back(piece.At(t).y());
  }
  std::sort(heights.begin(), heights.end());
  return heights;
}

/// The heights between the last gap before and the first gap behind the wall at the entry; gaps
/// reach right across. Empty on failure.
std::optional<Interval> WallHeights(const std::vector<OutlinePiece>& inside, double half,
                                    double wall_on_skin) {
  const std::vector<double> on_axis = HeightsOnAxis(inside, half);
  std::size_t entry = 0;
  for (std::size_t i = 0; i < on_axis.size(); ++i) {
    if (std::abs(on_axis[i]) < std::abs(on_axis[entry])) entry = i;
  }
  // Even ones enter metal, odd ones leave it.
  if (on_axis.size() < 2 || on_axis.size() % 2 != 0 || entry % 2 != 0) return std::nullopt;
  Interval wall{on_axis[entry], on_axis[entry + 1]};
  if (wall.to - wall.from > kMostSlant * wall_on_skin) return std::nullopt;
  for (bool grown = true; grown;) {
    grown = false;
    for (const OutlinePiece& piece : inside) {
      const Interval heights = HeightsOf(piece);
      if (heights.to < wall.from - kNothing || heights.from > wall.to + kNothing) continue;
      grown = grown || heights.from < wall.from || heights.to > wall.to;
      wall = {std::min(wall.from, heights.from), std::max(wall.to, heights.to)};
    }
  }
  const bool meets_last = entry > 0 && wall.from <= on_axis[entry - 1];
  const bool meets_next = entry + 2 < on_axis.size() && wall.to >= on_axis[entry + 2];
  if (meets_last || meets_next) return std::nullopt;
  return wall;
}

}  // namespace

// ---------------------------------------------------------------- pieces

OutlinePiece OutlinePiece::Line(const Vec2& from, const Vec2& to) { return {from, to}; }

OutlinePiece OutlinePiece::Arc(const Vec2& centre, double radius, double angle, double sweep) {
  return {OnCircle(centre, radius, angle),
          OnCircle(centre, radius, angle + sweep),
          radius,
          centre,
          angle,
          sweep};
}

Vec2 OutlinePiece::At(double t) const {
  if (radius > 0.0) return OnCircle(centre, radius, angle + t * sweep);
  return from + t * (to - from);
}

double OutlinePiece::Length() const {
  return radius > 0.0 ? radius * std::abs(sweep) : (to - from).norm();
}

OutlinePiece OutlinePiece::Reversed() const {
  OutlinePiece back = *this;
  std::swap(back.from, back.to);
  back.angle = angle + sweep;
  back.sweep = -sweep;
  return back;
}

OutlinePiece OutlinePiece::Seen(const Vec2& origin, const Eigen::Matrix2d& rotation) const {
  OutlinePiece seen = *this;
  seen.from = rotation * (from - origin);
  seen.to = rotation * (to - origin);
  seen.centre = rotation * (centre - origin);
  seen.angle = angle + std::atan2(rotation(1, 0), rotation(0, 0));
  return seen;
}

OutlinePiece OutlinePiece::Between(double t0, double t1) const {
  if (radius > 0.0) return Arc(centre, radius, angle + t0 * sweep, (t1 - t0) * sweep);
  return Line(At(t0), At(t1));
}

double OutlinePiece::Reach(const Vec2& direction) const {
  double reach = std::max(from.dot(direction), to.dot(direction));
  if (radius > 0.0) {
    double turn = std::atan2(direction.y(), direction.x()) - angle;
    turn -= 2.0 * kPi * std::floor(turn / (2.0 * kPi));
    if (sweep < 0.0) turn -= 2.0 * kPi;
    if (std::abs(turn) <= std::abs(sweep)) {
      reach = std::max(reach, centre.dot(direction) + radius * direction.norm());
    }
  }
  return reach;
}

// ---------------------------------------------------------------- moments

Moments& Moments::operator+=(const Moments& other) {
  area += other.area;
  first += other.first;
  second += other.second;
  return *this;
}

Moments& Moments::operator-=(const Moments& other) {
  area -= other.area;
  first -= other.first;
  second -= other.second;
  return *this;
}

Moments MomentsOf(const std::vector<OutlinePiece>& pieces) {
  Moments m;
  auto add = [&](const Vec2& p, double dx) {
    const double x = p.x();
    const double y = p.y();
    m.area -= y * dx;
    m.first -= Vec2(x * y, 0.5 * y * y) * dx;
    m.second(0, 0) -= x * x * y * dx;
    m.second(0, 1) -= 0.5 * x * y * y * dx;
    m.second(1, 1) -= y * y * y / 3.0 * dx;
  };
  for (const OutlinePiece& piece : pieces) {
    const bool arc = piece.radius > 0.0;
    const int steps = arc ? 1 + static_cast<int>(std::abs(piece.sweep) / kArcStep) : 1;
    for (int step = 0; step < steps; ++step) {
      for (std::size_t g = 0; g < kNode.size(); ++g) {
        const double t = (step + 0.5 + 0.5 * kNode[g]) / steps;
        const Vec2 p = piece.At(t);
        const double speed =
            arc ? -(p.y() - piece.centre.y()) * piece.sweep : piece.to.x() - piece.from.x();
        add(p, 0.5 * kWeight[g] * speed / steps);
      }
    }
  }
  m.second(1, 0) = m.second(0, 1);
  return m;
}

Moments SeenBack(const Moments& seen, const Vec2& origin, const Eigen::Matrix2d& rotation) {
  Moments m;
  m.area = seen.area;
  const Vec2 turned = rotation.transpose() * seen.first;
  m.first = seen.area * origin + turned;
  m.second = seen.area * origin * origin.transpose() + turned * origin.transpose() +
             origin * turned.transpose() + rotation.transpose() * seen.second * rotation;
  return m;
}

// ---------------------------------------------------------------- slots

Result<SlotCut> CutSlot(const SectionShape& shape, const std::vector<OutlinePiece>& border,
                        const SectionSlot& slot) {
  // Axes of the slot: y the way the tip travels, x to its right hand.
  Eigen::Matrix2d rotation;
  rotation << slot.direction.y(), -slot.direction.x(), slot.direction.x(), slot.direction.y();
  const double half = 0.5 * slot.width;
  auto seen = [&](const std::vector<OutlinePiece>& pieces) {
    std::vector<OutlinePiece> out;
    for (const OutlinePiece& piece : pieces) out.push_back(piece.Seen(slot.entry, rotation));
    return out;
  };
  auto in_strip = [&](const OutlinePiece& piece) { return std::abs(piece.At(0.5).x()) < half; };

  std::vector<OutlinePiece> inside;
  for (const OutlinePiece& piece : seen(shape.metal)) {
    for (const OutlinePiece& part : SplitAt(piece, {-half, half})) {
      if (in_strip(part)) inside.push_back(part);
    }
  }
  const double infinite = std::numeric_limits<double>::infinity();
  const auto wall =
      slot.both_walls
          ? std::optional<Interval>({-infinite, infinite})
          : WallHeights(inside, half,
                        *std::max_element(shape.mid_wall.begin(), shape.mid_wall.end()));
  if (!wall || inside.empty()) {
    return Fail(ErrorKind::computed,
                "the hole does not pass through one wall of the section: it misses the metal, or a "
                "corner or side wall lies in its way");
  }
  auto taken_out = [&](const OutlinePiece& piece) {
    const Interval heights = HeightsOf(piece);
    return in_strip(piece) && heights.from >= wall->from - kNothing &&
           heights.to <= wall->to + kNothing;
  };

  SlotCut cut;
  std::vector<OutlinePiece> taken;
  for (const OutlinePiece& piece : inside) {
    if (taken_out(piece)) taken.push_back(piece);
  }
  cut.removed = SeenBack(MomentsOf(taken), slot.entry, rotation);
  const Eigen::Matrix2d back = rotation.transpose();
  const Vec2 back_origin = -(rotation * slot.entry);
  for (const OutlinePiece& piece : seen(border)) {
    for (const OutlinePiece& part : SplitAt(piece, {-half, half})) {
      if (taken_out(part)) continue;
      cut.left.push_back(part.Seen(back_origin, back));
    }
  }
  const std::vector<OutlinePiece> middle = seen(shape.mid_line);
  for (std::size_t i = 0; i < middle.size(); ++i) {
    const double t = shape.mid_wall[i];
    for (const OutlinePiece& part : SplitAt(middle[i], {-half, half})) {
      if (taken_out(part)) {
        cut.mid_line_removed += t * t * t * part.Length();
      }
    }
  }
  return cut;
}

}  // namespace holeward
