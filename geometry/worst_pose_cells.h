// Places of a marking zone in cells that can be halved. Private to worst_pose*.cpp.
#pragma once

#include <array>
#include <utility>
#include <vector>

#include "geometry/piece.h"
#include "geometry/worst_pose.h"
#include "geometry/zone_places.h"

namespace holeward {

/// An entry and the axis intended there, in the zone's frame.
struct Stance {
  Vec3 entry = Vec3::Zero();
  Vec3 axis = Vec3::UnitZ();  ///< unit
  bool inside = true;         ///< within the zone's radius
};

/// A place on the line between two corners of a cell: `part` of the way from one to the other.
struct CornerMix {
  int from = 0;
  int to = 0;
  double part = 0.0;

  [[nodiscard]] double Of(const std::array<double, 4>& values) const {
    return (1.0 - part) * values[static_cast<std::size_t>(from)] +
           part * values[static_cast<std::size_t>(to)];
  }
};

/// A rectangle of places. With weights that are bilinear in the rectangle, every entry in it lies
/// within `sag` of the weighted corner entries and every axis within `axis_sag` radians of the
/// weighted corner axes.
struct PlaceCell {
  std::array<Stance, 4> corner;  ///< (-,-), (+,-), (-,+), (+,+)
  Stance middle;
  double sag = 0.0;
  double axis_sag = 0.0;
  /// Corners of the part of the cell that the zone leaves: with weights on them every place of cell
  /// and zone is reached.
  std::array<CornerMix, 8> mix;
  std::size_t mixes = 4;
  double turn = 0.0;    ///< greatest angle between two corner axes, axis_sag included
  double radius = 0.0;  ///< all entries lie within this of the middle's
  Vec2 at = Vec2::Zero();
  Vec2 half = Vec2::Zero();
  std::array<int, 2> child{-1, -1};  ///< first half, by the way it was halved; the second is next
};

class PlaceCells {
 public:
  /// Errors as ConesOver.
  [[nodiscard]] static Result<PlaceCells> Over(const PoseZone& zone);
  /// One pose and nothing else, in a frame of its own.
  [[nodiscard]] static PlaceCells Single(const Pose& pose);
  /// One stance of another set, in that set's frame.
  [[nodiscard]] static PlaceCells Single(const Stance& stance);

  [[nodiscard]] const AxisFrame& frame() const { return frame_; }
  [[nodiscard]] int roots() const { return roots_; }
  [[nodiscard]] const PlaceCell& operator[](int cell) const {
    return cells_[static_cast<std::size_t>(cell)];
  }
  /// The halves across one way (0 along the part, 1 round it); second -1 where nothing of it lies
  /// in the zone, likewise first.
  [[nodiscard]] std::pair<int, int> Halves(int cell, int way);
  /// The place of the zone on the line from its middle to a mix of corners: that itself if inside.
  [[nodiscard]] Stance Inside(int cell, int mix) const;
  /// The place of the zone nearest to an entry (in the frame), or one close by; good as a start.
  [[nodiscard]] Stance NearTo(const Vec3& entry) const;
  /// All entries, in the frame: within `place` across and `rise` along; axes within `tilt`.
  [[nodiscard]] Reach HullReach(double tilt, double radius) const;

 private:
  [[nodiscard]] Stance StanceAt(const Vec2& at) const;
  /// A place, or where the line from the zone's middle to it leaves the zone.
  [[nodiscard]] Stance PulledIn(const Vec2& place) const;
  [[nodiscard]] PlaceCell CellAt(const Vec2& at, const Vec2& half) const;
  [[nodiscard]] bool Outside(const PlaceCell& cell) const;
  void Clip(PlaceCell& cell) const;

  AxisFrame frame_;
  PoseZone zone_;
  std::vector<Neighbourhood> around_;  // one, or none for a single pose
  std::vector<PlaceCell> cells_;
  int roots_ = 0;
};

}  // namespace holeward
