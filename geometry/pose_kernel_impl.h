// What a PoseKernel holds, and the steps of making one. Private to pose_kernel*.cpp.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "geometry/pose_kernel.h"
#include "geometry/pose_kernel_search.h"
#include "geometry/pose_kernel_shapes.h"
#include "geometry/pose_kernel_sheet.h"
#include "geometry/tolerance.h"

namespace holeward {

/// A round wall that covers everything within reach, in the region's frame.
struct RoundWall {
  Vec3 place = Vec3::Zero();
  Vec3 axis = Vec3::UnitY();
  double radius = 0.0;
  double grown = 0.0;
};

/// One inner body.
struct InnerGroup {
  int obstacle = -1;
  double own_error = 0.0;
  std::vector<Rod> rods;          ///< in the region's frame, longest first
  std::vector<BalledPiece> rest;  ///< what is not rods, within reach
  std::vector<BalledPiece> all;   ///< everything within reach, for the search
};

struct PoseKernel::Impl {
  static constexpr int kMostInner = 30;

  PoseRegion region;
  std::string failure;
  AxisFrame frame;
  double near_wall = 0.0;
  double cos_tilt = 1.0;
  double sin_tilt = 0.0;
  std::vector<std::string> names;  ///< one an obstacle
  std::vector<bool> is_wall;
  std::vector<InnerGroup> inner;

  std::optional<RoundWall> round;
  int round_obstacle = -1;
  PoseSheet far_sheet;
  PoseSheet near_sheet;
  int sheet_obstacle = -1;
  std::vector<BalledPiece> far;  ///< everything behind the gap
  std::vector<BalledPiece> near;
  std::vector<BalledPiece> other;  ///< fittings, neighbours, and far pieces beside a round wall
  double other_least = 0.0;        ///< no pose meets any of `other` shallower

  // ---- Making (pose_kernel_make.cpp)
  void Build(const std::vector<Obstacle>& obstacles);
  [[nodiscard]] bool IsSane(const std::vector<Obstacle>& obstacles) const;
  void BuildWalls(const std::vector<Obstacle>& obstacles);
  void BuildInner(const std::vector<Obstacle>& obstacles);
  void BuildOther(const std::vector<Obstacle>& obstacles);
  [[nodiscard]] PoseCone Cone() const;
  [[nodiscard]] double LeastOverRegion(const Piece& piece, double more, double cot_radius) const;
  [[nodiscard]] bool Covers(const Cylinder& cylinder) const;
  void FindRoundWall(const std::vector<Obstacle>& obstacles);
  void BuildSheets(const PartedWalls& parted, const std::vector<Obstacle>& obstacles);
};

}  // namespace holeward
