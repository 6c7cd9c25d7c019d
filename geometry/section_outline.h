// The metal of a section as straight and round pieces of outline, its moments by Green's theorem,
// and what a parallel-sided hole takes out of it.
#pragma once

#include <vector>

#include <Eigen/Core>

#include "geometry/part.h"
#include "geometry/result.h"
#include "geometry/vec.h"

namespace holeward {

/// A piece of outline in a section's plane, metal on its left. A line from `from` to `to`; with a
/// radius the arc about `centre` from `angle` on through `sweep` (radians, counter-clockwise
/// positive).
struct OutlinePiece {
  Vec2 from = Vec2::Zero();
  Vec2 to = Vec2::Zero();
  double radius = 0.0;
  Vec2 centre = Vec2::Zero();
  double angle = 0.0;
  double sweep = 0.0;

  [[nodiscard]] static OutlinePiece Line(const Vec2& from, const Vec2& to);
  [[nodiscard]] static OutlinePiece Arc(const Vec2& centre, double radius, double angle,
                                        double sweep);
  [[nodiscard]] Vec2 At(double t) const;  ///< t from 0 to 1
  [[nodiscard]] double Length() const;
  [[nodiscard]] OutlinePiece Reversed() const;
  /// The same moved and turned: p -> rotation (p - origin).
  [[nodiscard]] OutlinePiece Seen(const Vec2& origin, const Eigen::Matrix2d& rotation) const;
  /// The stretch from t0 to t1.
  [[nodiscard]] OutlinePiece Between(double t0, double t1) const;
  /// Greatest p·direction over the piece.
  [[nodiscard]] double Reach(const Vec2& direction) const;
};

/// Area, first and second moments about the origin of the axes: A, ∫p dA, ∫p pᵀ dA (mm², mm³, mm⁴).
struct Moments {
  double area = 0.0;
  Vec2 first = Vec2::Zero();
  Eigen::Matrix2d second = Eigen::Matrix2d::Zero();

  Moments& operator+=(const Moments& other);
  Moments& operator-=(const Moments& other);
};

/// Moments of the metal to the left of closed pieces, by Green's theorem as integrals over da
/// (pieces with a constant add nothing, so metal between two lines of constant a needs only the
/// pieces between them). Accuracy: rounding; straight pieces exactly, arcs by a rule whose error is
/// below rounding.
[[nodiscard]] Moments MomentsOf(const std::vector<OutlinePiece>& pieces);

/// Moments of the same metal from axes with this origin and rotation, given those seen in them.
[[nodiscard]] Moments SeenBack(const Moments& seen, const Vec2& origin,
                               const Eigen::Matrix2d& rotation);

/// The metal of a section and its mid-line.
struct SectionShape {
  bool closed = true;  ///< one closed cell; false: an open section (channel)
  bool round = false;
  std::vector<OutlinePiece> metal;     ///< all its border, each loop closed
  std::vector<OutlinePiece> mid_line;  ///< half way through the wall, in order
  std::vector<double> mid_wall;        ///< wall in the section's plane, one a piece of mid-line, mm
};

/// The section of a part square to its centre line at u.
///
/// The wall is that of the part, normal to the skin: where the skin leans by e against the centre
/// line the section shows wall / cos e. Corners are arcs; the inner radius is max(corner - wall,
/// 0), that of the mid-line the mean of both, as in EN 10219-2, annex B. Errors (computed): a wall
/// that does not fit into the section. Accuracy: exact where the section does not change along the
/// part; else second order in the lean.
[[nodiscard]] Result<SectionShape> SectionShapeOf(const Part& part, double u);

/// A parallel-sided strip cut out of a section's metal.
struct SectionSlot {
  Vec2 entry = Vec2::Zero();       ///< a place of its middle line outside the metal or on its skin
  Vec2 direction = Vec2::UnitY();  ///< unit, the way the tip travels
  double width = 0.0;              ///< mm
  bool both_walls = false;         ///< true: it goes on through everything
};

/// What a slot takes.
struct SlotCut {
  Moments removed;                 ///< about the section's own origin
  double mid_line_removed = 0.0;   ///< Σ t³ ds over the mid-line taken out, mm⁴
  std::vector<OutlinePiece> left;  ///< the border that remains (sides of the slot left out)
};

/// Cuts a slot through the wall at its entry: of the metal within the strip, what lies before the
/// first gap that reaches right across.
/// @param border the border to cut, `shape.metal` or what an earlier cut left
/// Errors (computed): the middle line meets no metal; a corner or side wall lies within the strip,
/// so that one wall cannot be told from the next.
[[nodiscard]] Result<SlotCut> CutSlot(const SectionShape& shape,
                                      const std::vector<OutlinePiece>& border,
                                      const SectionSlot& slot);

}  // namespace holeward
