// Section properties of a part, before and after its holes. Figures and no verdict: strength is
// released by a named engineer or not at all.
//
// Axes are those of the section (geometry/skin.h): a toward front, else outboard; b is `up` put
// into the section; origin on the centre line. Lengths mm, areas mm², second moments mm⁴, moduli
// mm³.
#pragma once

#include <string>
#include <vector>

#include "geometry/part.h"
#include "geometry/result.h"
#include "geometry/section_outline.h"
#include "geometry/vec.h"

namespace holeward {

/// Bending about one line through the centroid.
struct Bending {
  double second_moment = 0.0;  ///< I, about the section's own neutral axis
  double modulus = 0.0;  ///< Wel = I / distance of the extreme fibre, the lesser of both sides
};

/// By which rule a torsion constant was found.
enum class TorsionRule {
  round_tube,  ///< polar second moment, exact
  one_cell,    ///< Bredt with the mid-line, plus the wall's own part
  open,        ///< Σ b t³ / 3 along the mid-line
};

/// St Venant's torsion constant of the section taken by itself.
///
/// One cell: It = 4 Ah² / ∮ ds/t + Σ b t³ / 3, which on one wall is t³ h0 / 3 + 2 K Ah of EN
/// 10219-2:2006, annex B (h0 length of, Ah area within the mid-line, K = 2 Ah t / h0).
/// Accuracy: the wall's own part is small and its rule coarse at corners; on a 40 x 20 box of
/// 1 mm wall it is 0.2 %.
struct Torsion {
  double constant = 0.0;
  double cell = 0.0;      ///< Bredt's part of it; 0 when open, all of it when a round tube
  double wall_own = 0.0;  ///< Σ b t³ / 3
  TorsionRule rule = TorsionRule::one_cell;
};

/// Properties of one section.
struct SectionFigures {
  double area = 0.0;
  Vec2 centroid = Vec2::Zero();  ///< in (a, b)
  Bending about_a;  ///< bending about the line along a through the centroid: ∫ b² dA
  Bending about_b;
  double product = 0.0;  ///< ∫ a b dA about the centroid
  Bending greatest;      ///< about the principal axis of greatest second moment
  Bending least;
  double principal_angle = 0.0;  ///< from a to the axis of `greatest`, radians in (-π/2, π/2]
  Torsion torsion;
};

/// A round hole through one wall of a part.
struct PartHole {
  std::string name;
  SkinPlace place;                  ///< where its axis meets the skin
  Vec3 direction = -Vec3::UnitZ();  ///< unit, the way the tip travels, vehicle axes
  double diameter = 0.0;
  bool both_walls = false;
};

/// The existing holes of a part: its fittings of that kind, each square to the skin through one
/// wall.
[[nodiscard]] std::vector<PartHole> ExistingHoles(const Part& part);

/// A property with and without holes.
struct BeforeAfter {
  Bending before;
  Bending after;
  [[nodiscard]] double RatioOfSecondMoment() const {
    return after.second_moment / before.second_moment;
  }
  [[nodiscard]] double RatioOfModulus() const { return after.modulus / before.modulus; }
};

/// A section less its holes.
///
/// Each hole counts as a parallel-sided strip as wide as the plane cuts it; leaning along the part
/// it takes no more than that at the plane through its middle. The torsion constant after is that
/// of the section by itself, an open one: it would hold for a slot that runs on along the part. A
/// round hole breaks the shear flow on a length of about its diameter only; nothing published says
/// how much of the part's stiffness that costs.
struct HoledSection {
  SectionFigures after;
  double area_lost = 0.0;
  Vec2 shift = Vec2::Zero();  ///< of the neutral axis: centroid after less before, in (a, b)
  BeforeAfter about_a;
  BeforeAfter about_b;
  BeforeAfter extreme;  ///< bending that puts the hole at the extreme fibre: about the line square
                        ///< to its axis
  BeforeAfter neutral;  ///< bending that puts it on the neutral axis: about the line along its axis
};

/// The section through the middle of one hole.
struct DrilledSection {
  double station = 0.0;
  SectionFigures before;
  HoledSection in_plane;         ///< less all that this very plane cuts, each by its own chord
  std::vector<std::string> cut;  ///< the other holes it cuts
  HoledSection together;         ///< less all holes that share the section, each by its diameter
  std::vector<std::string> sharing;  ///< the others within one larger diameter along the part
};

/// Properties of a section's metal.
/// Errors (computed): no metal.
/// Accuracy: area, centroid and second moments of the shape to rounding.
[[nodiscard]] Result<SectionFigures> FiguresOf(const SectionShape& shape);

/// The same less slots. Slots that overlap are taken as one that covers both.
/// @param slots at least one; `extreme` and `neutral` are told for the first
/// Errors (computed): no slot, or one that does not pass through one wall.
[[nodiscard]] Result<HoledSection> FiguresLess(const SectionShape& shape,
                                               const std::vector<SectionSlot>& slots);

/// Bending of a section's metal about the line along `direction` (unit, in (a, b)).
/// @param border its border for the extreme fibres
[[nodiscard]] Bending BendingAbout(const Moments& moments, const std::vector<OutlinePiece>& border,
                                   const Vec2& direction);

/// The section through the middle of holes[index], square to the centre line.
/// Two holes share a section when their middles are less than the larger diameter apart along the
/// part (common practice, no source).
/// @pre index < holes.size(); holes[index].place lies on the part
/// Errors (computed): a wall that does not fit; a hole, this or one that shares the section, that
/// runs into a corner or along the part.
[[nodiscard]] Result<DrilledSection> SectionThroughHole(const Part& part,
                                                        const std::vector<PartHole>& holes,
                                                        std::size_t index);

}  // namespace holeward
