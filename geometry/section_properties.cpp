#include "geometry/section_properties.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

// A hole whose axis leans more than this along the part is not cut across by a section.
constexpr double kMostLean = 60.0 * kDegree;
// Two slots whose directions differ by less than this are parallel.
constexpr double kParallel = 1e-9;

Vec2 Left(const Vec2& d) { return {-d.y(), d.x()}; }

/// Second moments about the centroid.
Eigen::Matrix2d Central(const Moments& m) {
  return m.second - m.first * m.first.transpose() / m.area;
}

double AreaWithin(const std::vector<OutlinePiece>& loop) { return MomentsOf(loop).area; }

Torsion TorsionOf(const SectionShape& shape, const Moments& moments, double own_lost) {
  Torsion torsion;
  for (std::size_t i = 0; i < shape.mid_line.size(); ++i) {
    const double t = shape.mid_wall[i];
    torsion.wall_own += t * t * t * shape.mid_line[i].Length() / 3.0;
  }
  if (!shape.closed || own_lost > 0.0) {
    torsion.rule = TorsionRule::open;
    torsion.wall_own -= own_lost / 3.0;
    torsion.constant = torsion.wall_own;
    return torsion;
  }
  if (shape.round) {
    torsion.rule = TorsionRule::round_tube;
    torsion.constant = Central(moments).trace();
    torsion.cell = torsion.constant;
    return torsion;
  }
  double flow = 0.0;  // ∮ ds / t
  for (std::size_t i = 0; i < shape.mid_line.size(); ++i) {
    flow += shape.mid_line[i].Length() / shape.mid_wall[i];
  }
  const double within = AreaWithin(shape.mid_line);
  torsion.cell = 4.0 * within * within / flow;
  torsion.constant = torsion.cell + torsion.wall_own;
  return torsion;
}

SectionFigures Figures(const Moments& moments, const std::vector<OutlinePiece>& border) {
  SectionFigures f;
  f.area = moments.area;
  f.centroid = moments.first / moments.area;
  f.about_a = BendingAbout(moments, border, Vec2::UnitX());
  f.about_b = BendingAbout(moments, border, Vec2::UnitY());
  const Eigen::Matrix2d central = Central(moments);
  f.product = central(0, 1);
  // I about a line at angle p: Iaa cos² p - 2 Iab sin p cos p + Ibb sin² p, with Iaa = ∫ b² dA.
  const double i_aa = central(1, 1);
  const double i_bb = central(0, 0);
  const bool even = std::hypot(i_aa - i_bb, 2.0 * f.product) < 1e-9 * (i_aa + i_bb);
  f.principal_angle = even ? 0.0 : 0.5 * std::atan2(-2.0 * f.product, i_aa - i_bb);
  const Vec2 along(std::cos(f.principal_angle), std::sin(f.principal_angle));
  f.greatest = BendingAbout(moments, border, along);
  f.least = BendingAbout(moments, border, Left(along));
  return f;
}

/// True if two slots' strips overlap at the wall.
bool Overlap(const SectionSlot& p, const SectionSlot& q) {
  const Vec2 apart = q.entry - p.entry;
  const double across = std::abs(apart.dot(Left(p.direction)));
  return p.direction.dot(q.direction) > 0.5 && across < 0.5 * (p.width + q.width);
}

/// One slot that covers both, in the direction of the first.
SectionSlot Covering(const SectionSlot& p, const SectionSlot& q) {
  const Vec2 side = Left(p.direction);
  const double at = (q.entry - p.entry).dot(side);
  // Not parallel, the other spreads over the depth of a wall; its strip is widened for 10 mm of it.
  const double turn = std::abs(q.direction.dot(side));
  const double spread = turn > kParallel ? 10.0 * turn : 0.0;
  const double low = std::min(-0.5 * p.width, at - 0.5 * q.width - spread);
  const double high = std::max(0.5 * p.width, at + 0.5 * q.width + spread);
  SectionSlot both = p;
  both.entry = p.entry + 0.5 * (low + high) * side;
  both.width = high - low;
  both.both_walls = p.both_walls || q.both_walls;
  return both;
}

std::vector<SectionSlot> Merged(std::vector<SectionSlot> slots) {
  for (bool again = true; again;) {
    again = false;
    for (std::size_t i = 0; i < slots.size() && !again; ++i) {
      for (std::size_t j = i + 1; j < slots.size() && !again; ++j) {
        if (!Overlap(slots[i], slots[j])) continue;
        slots[i] = Covering(slots[i], slots[j]);
        slots.erase(slots.begin() + static_cast<std::ptrdiff_t>(j));
        again = true;
      }
    }
  }
  return slots;
}

/// The slot a hole makes in the section at u; `width` is what of it the section shows.
Result<SectionSlot> SlotOf(const Part& part, const PartHole& hole, double u, double width) {
  const SectionFrame frame = part.skin->FrameAt(u);
  const Vec2 in_plane(hole.direction.dot(frame.a), hole.direction.dot(frame.b));
  if (!(in_plane.norm() > std::cos(kMostLean))) {
    return Fail(ErrorKind::computed,
                fmt::format("hole {} runs along the part rather than across it", hole.name));
  }
  SectionSlot slot;
  slot.entry = part.skin->OutlineAt(u, hole.place.v);
  slot.direction = in_plane.normalized();
  slot.width = width;
  slot.both_walls = hole.both_walls;
  return slot;
}

}  // namespace

Bending BendingAbout(const Moments& moments, const std::vector<OutlinePiece>& border,
                     const Vec2& direction) {
  const Vec2 side = Left(direction);
  const double middle = moments.first.dot(side) / moments.area;
  double reach = 0.0;
  for (const OutlinePiece& piece : border) {
    reach = std::max({reach, piece.Reach(side) - middle, piece.Reach(-side) + middle});
  }
  Bending bending;
  bending.second_moment = side.dot(Central(moments) * side);
  bending.modulus = bending.second_moment / reach;
  return bending;
}

Result<SectionFigures> FiguresOf(const SectionShape& shape) {
  const Moments moments = MomentsOf(shape.metal);
  if (!(moments.area > 0.0)) return Fail(ErrorKind::computed, "the section holds no metal");
  SectionFigures figures = Figures(moments, shape.metal);
  figures.torsion = TorsionOf(shape, moments, 0.0);
  return figures;
}

Result<HoledSection> FiguresLess(const SectionShape& shape, const std::vector<SectionSlot>& slots) {
  const Moments before = MomentsOf(shape.metal);
  if (slots.empty()) return Fail(ErrorKind::computed, "no hole to take out of the section");
  if (!(before.area > 0.0)) return Fail(ErrorKind::computed, "the section holds no metal");
  Moments after = before;
  std::vector<OutlinePiece> border = shape.metal;
  double own_lost = 0.0;
  for (const SectionSlot& slot : Merged(slots)) {
    auto cut = CutSlot(shape, border, slot);
    if (!cut) return tl::unexpected(cut.error());
    after -= cut->removed;
    own_lost += cut->mid_line_removed;
    border = std::move(cut->left);
  }
  if (!(after.area > 0.0)) return Fail(ErrorKind::computed, "the holes leave no metal");

  HoledSection holed;
  holed.after = Figures(after, border);
  holed.after.torsion = TorsionOf(shape, after, own_lost);
  holed.area_lost = before.area - after.area;
  holed.shift = after.first / after.area - before.first / before.area;
  auto both = [&](const Vec2& about) {
    return BeforeAfter{BendingAbout(before, shape.metal, about),
                       BendingAbout(after, border, about)};
  };
  holed.about_a = both(Vec2::UnitX());
  holed.about_b = both(Vec2::UnitY());
  holed.extreme = both(Left(slots.front().direction));
  holed.neutral = both(slots.front().direction);
  return holed;
}

std::vector<PartHole> ExistingHoles(const Part& part) {
  std::vector<PartHole> holes;
  for (const Fitting& fitting : part.fittings) {
    if (fitting.shape != FittingShape::hole) continue;
    holes.push_back({fitting.name, fitting.centre, -part.skin->At(fitting.centre).normal,
                     fitting.diameter, false});
  }
  return holes;
}

Result<DrilledSection> SectionThroughHole(const Part& part, const std::vector<PartHole>& holes,
                                          std::size_t index) {
  const PartHole& hole = holes[index];
  const double u = hole.place.u;
  const auto shape = SectionShapeOf(part, u);
  if (!shape) return tl::unexpected(shape.error());
  const auto before = FiguresOf(*shape);
  if (!before) return tl::unexpected(before.error());
  DrilledSection section;
  section.station = part.skin->StationOf(u);
  section.before = *before;
  const auto own = SlotOf(part, hole, u, hole.diameter);
  if (!own) return tl::unexpected(own.error());
  std::vector<SectionSlot> in_plane{*own};
  std::vector<SectionSlot> together{*own};
  for (std::size_t i = 0; i < holes.size(); ++i) {
    if (i == index) continue;
    const PartHole& other = holes[i];
    const double along = std::abs(part.skin->StationOf(other.place.u) - section.station);
    if (!(along < std::max(hole.diameter, other.diameter))) continue;
    const auto slot = SlotOf(part, other, u, other.diameter);
    if (!slot) return tl::unexpected(slot.error());
    together.push_back(*slot);
    section.sharing.push_back(other.name);
    const double chord =
        std::sqrt(std::max(other.diameter * other.diameter - 4.0 * along * along, 0.0));
    if (chord > 1e-9) {
      in_plane.push_back(*slot);
      in_plane.back().width = chord;
      section.cut.push_back(other.name);
    }
  }
  const auto cut = FiguresLess(*shape, in_plane);
  if (!cut) return tl::unexpected(cut.error());
  section.in_plane = *cut;
  const auto shared = FiguresLess(*shape, together);
  if (!shared) return tl::unexpected(shared.error());
  section.together = *shared;
  return section;
}

}  // namespace holeward
