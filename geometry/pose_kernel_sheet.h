// A wall as seen along a hole's axis: a grid of local quadratics, each with a certified bound on
// how far any metal within several distances departs from it.
//
// In the region's frame (z the way the tip travels) a tile at c says: every place Y of the walls
// whose lateral distance from c is at most R_k has
//
//   lo_k <= Y.z - q(Y.x - c.x, Y.y - c.y)          all metal of this side of the gap
//           Y.z - q(...) <= hi_k                   metal of the sheet itself
//
// The bounds are coefficients of w² (z - q) in Bernstein form over those of w²: exact, no sampling.
#pragma once

#include <array>
#include <vector>

#include "geometry/piece.h"
#include "geometry/pose_kernel_forms.h"
#include "geometry/vec.h"

namespace holeward {

/// A pose in the region's frame.
struct LocalPose {
  Vec3 entry = Vec3::Zero();
  Vec3 direction = Vec3::UnitZ();
};

/// The wall near one pose's axis, seen from that pose: s(v) = s0 + view, v across the axis.
struct SheetView {
  double s0 = 0.0;       ///< where the axis meets the model
  Quadratic2 view;       ///< of the model
  double slope = 0.0;    ///< |view.g|
  double bend = 0.0;     ///< bound on the second derivatives
  double third = 0.0;    ///< and on the third
  double stretch = 1.0;  ///< an error along the region's z is at most this times it along the axis
  double lean = 0.0;     ///< sine of the pose's angle to the region's axis
  double off_centre = 0.0;  ///< of the axis' hit from the tile's centre, across the region's axis
  double bend_up = 0.0;     ///< greatest second derivative in any direction, 0 if negative
  int tile = -1;
};

class PoseSheet {
 public:
  static constexpr int kRings = 12;
  static constexpr int kDiscRing = 3;  ///< the ring that holds the drill's disc

  struct Needs {
    double first_ring = 2.0;    ///< mm, R_0
    double disc = 0.0;          ///< a ring that must be there: the drill's and what it needs beside
    double greatest = 0.0;      ///< outermost ring
    double drop = 0.0;          ///< near wall: how far metal lies before the sheet
    double reach_radius = 0.0;  ///< axes meet the sheet within this of the region's axis
  };

  /// @param all every piece of this side of the gap within reach, region's frame
  /// @param sheet of `all`, those that the surface next to the gap may consist of
  /// @param far true: metal lies beyond the sheet; false: before it (the near wall)
  /// @return a sheet; without tiles where no surface could be followed
  [[nodiscard]] static PoseSheet Make(const std::vector<Piece>& all,
                                      const std::vector<Piece>& sheet, bool far,
                                      const Needs& needs);

  [[nodiscard]] bool empty() const { return tiles_.empty(); }

  /// The model round one pose's axis; false where there is none.
  [[nodiscard]] bool See(const LocalPose& pose, SheetView& view) const;

  /// First touch of a drill on a far wall, its metal thicker by `wall` along its normals.
  /// Lower: minus infinity where the sheet cannot say.
  [[nodiscard]] Span FirstTouch(const SheetView& view, const PoseDrill& drill, double wall) const;

  /// Break-through depth: the greatest depth any near-wall metal inside the full diameter needs,
  /// for a wall thicker by `wall`, mm. Upper: infinite where the sheet cannot say.
  [[nodiscard]] Span Breakthrough(const SheetView& view, const PoseDrill& drill, double wall) const;

 private:
  struct Tile {
    Vec2 centre = Vec2::Zero();
    std::array<double, 6> q{};  ///< z = q0 + q1 x + q2 y + q3 x²/2 + q4 x y + q5 y²/2
    std::array<double, kRings> lo{};
    std::array<double, kRings> hi{};
    double bend = 0.0;
    bool made = false;
  };

  struct Cell;
  /// Where an axis meets a tile's model.
  struct Met {
    int tile = -1;
    double s = 0.0;
    double x = 0.0;  ///< from the tile's centre
    double y = 0.0;
    double slope_x = 0.0;
    double slope_y = 0.0;
    double facing = 0.0;  ///< d (z - q) / ds
  };
  [[nodiscard]] bool Meet(const LocalPose& pose, Met& met) const;
  [[nodiscard]] bool MeetTile(const LocalPose& pose, Met& met) const;
  void MakeRings(const Needs& needs);
  [[nodiscard]] bool Fit(const std::vector<Cell>& cells, Tile& tile) const;
  void Bound(std::vector<Cell>& cells, Tile& tile) const;
  [[nodiscard]] int TileAt(double x, double y) const;
  struct Asked {
    double cot = 0.0;  ///< of a cone round the drill; 0: only what cannot be reached is clear
    double radius = 0.0;
    double wall = 0.0;
  };
  /// True if metal outside ring `from` cannot be met before depth s0.
  [[nodiscard]] bool RingsClear(const SheetView& view, const Asked& asked, int from) const;
  [[nodiscard]] Span TipTouch(const SheetView& view, const Asked& asked) const;
  [[nodiscard]] Span RimTouch(const SheetView& view, const PoseDrill& drill, double wall) const;

  bool far_ = true;
  double fit_radius_ = 0.0;
  double drop_ = 0.0;
  int side_ = 0;
  double step_ = 2.0;
  double start_ = 0.0;
  double middle_z_ = 0.0;
  std::array<double, kRings> rings_{};
  std::vector<Tile> tiles_;
};

}  // namespace holeward
