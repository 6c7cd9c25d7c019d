// The rigid motion in a sheet's plane that lays lines of a piece nearest to like lines of a part.
#pragma once

#include <vector>

#include "geometry/vec.h"

namespace holeward {

/// What a line is felt as; a line is laid on its like only.
enum class FeatureKind { end, edge, line, fitting, fitting_middle };

/// A polyline on a sheet, mm; one point where it is a place.
struct Feature {
  FeatureKind kind = FeatureKind::end;
  std::vector<Vec2> points;
};

/// Turned counter-clockwise about the origin, then shifted.
struct RigidMotion {
  double angle = 0.0;
  Vec2 shift = Vec2::Zero();

  [[nodiscard]] Vec2 operator()(const Vec2& p) const { return Turned(p) + shift; }
  [[nodiscard]] Vec2 Turned(const Vec2& p) const { return Eigen::Rotation2Dd(angle) * p; }
  /// Where a moved place came from.
  [[nodiscard]] Vec2 Back(const Vec2& p) const { return Eigen::Rotation2Dd(-angle) * (p - shift); }
};

struct RigidFit {
  RigidMotion motion;
  double least = 0.0;  ///< mm; near this motion no other lies nearer than this
  double worst = 0.0;  ///< mm; greatest distance of a point of the piece's lines from its like
};

/// Distance of a place from a polyline, mm.
[[nodiscard]] double DistanceTo(const std::vector<Vec2>& line, const Vec2& p);

/// The good fits of `piece` on `target`, one a way of pairing lines: the two lines of the piece
/// that fix it best are paired with every like two of the target, either way round, the rest with
/// the nearest of their like. Pairings that leave a point more than `give_up` mm off by least
/// squares are left out. Nothing where a line of the piece has no like.
///
/// Worst distance by Lawson's algorithm: weighted least squares, weights growing with the distance.
/// A weighted mean square is never above the greatest, so each round gives a bound from below.
/// Source: J. R. Rice and K. H. Usow, The Lawson algorithm and extensions, Math. Comp. 22 (1968).
[[nodiscard]] std::vector<RigidFit> FitLines(const std::vector<Feature>& piece,
                                             const std::vector<Feature>& target, double give_up);

}  // namespace holeward
