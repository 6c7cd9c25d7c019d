// The slow but general part of the pose kernel: branch and bound on control points for one pose.
#pragma once

#include <vector>

#include "geometry/piece.h"
#include "geometry/pose_kernel_forms.h"
#include "geometry/pose_kernel_sheet.h"

namespace holeward {

/// A piece with a ball round it, in the region's frame.
struct BalledPiece {
  Piece piece;
  Vec3 middle = Vec3::Zero();
  double radius = 0.0;  ///< of the ball, `grown` included
};
[[nodiscard]] BalledPiece Balled(Piece piece);

struct TouchSearch {
  const std::vector<PoseDrill::Part>* parts = nullptr;
  double radius = 0.0;   ///< of the widest part
  double cot = 0.0;      ///< a cone of this, tip at the drill's tip, holds the whole drill
  double wall = 0.0;     ///< metal thicker by this along its normals
  double horizon = 0.0;  ///< nothing deeper is of interest
  double gap = 1e-3;
};

struct FoundTouch {
  Span depth;         ///< infinite: nothing before the horizon
  int obstacle = -1;  ///< of the place found
  bool settled = true;
};

/// A lower bound on the depth at which any place of a ball is touched. Infinite: never.
[[nodiscard]] inline double LeastInBall(const Vec3& from_entry, const Vec3& direction, double ball,
                                        double radius, double cot) {
  const double ahead = from_entry.dot(direction);
  const double aside = (from_entry - ahead * direction).norm() - ball;
  if (aside > radius || ahead + ball < 0.0) return std::numeric_limits<double>::infinity();
  return ahead - ball + cot * std::max(0.0, aside);
}

/// First touch of a posed drill with pieces of the region's frame, at places not before the entry.
[[nodiscard]] FoundTouch SearchTouch(const std::vector<BalledPiece>& pieces, const LocalPose& pose,
                                     const TouchSearch& search);

/// Break-through depth over near-wall pieces, for a wall thicker by `wall`.
[[nodiscard]] Span SearchBreakthrough(const std::vector<BalledPiece>& near, const LocalPose& pose,
                                      const PoseDrill& drill, double wall);

}  // namespace holeward
