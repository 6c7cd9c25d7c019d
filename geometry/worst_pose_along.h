// One direction along which drill and metal are apart, over a cell of places and all leans. Private
// to worst_pose*.cpp.
#pragma once

#include <array>
#include <cstddef>
#include <limits>

#include "geometry/worst_pose_bounds.h"

namespace holeward {

/// Any direction square to a unit vector.
[[nodiscard]] Vec3 SquareTo(const Vec3& axis);
/// The direction in the plane of the unit vectors a and b at `angle` from a, on b's side.
[[nodiscard]] Vec3 Toward(const Vec3& a, const Vec3& b, double angle);

/// What a cell looks like along w.
struct AlongView {
  std::size_t count = 0;
  std::array<double, 8> delta{};  ///< from the mix's entry to the nearest metal along w
  std::array<double, 8> nu{};     ///< the intended axis' angle to w
  std::array<double, 8> sin_nu{};
  std::array<double, 8> cos_nu{};
  double turn = 0.0;    ///< greatest difference of the four angles
  double slack = 0.0;   ///< an axis' angle may differ by this from the weighted four
  double spread = 0.0;  ///< of the piece along w
  double nu_least = 0.0;
  double nu_most = 0.0;
  std::array<double, 2> change{};  ///< of delta and of the angle times `arm`, by the cell's ways
};

/// @param sign 1: `delta` is to the metal's near side along w, -1: to its far side
[[nodiscard]] AlongView ViewAlong(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece,
                                  double sign);

/// Which axes a bound is for, by their angle to w.
struct AxesWithin {
  double floor = 0.0;
  double ceiling = std::numeric_limits<double>::infinity();
};

/// The bound of one part of a drill along one direction.
class AlongBound {
 public:
  AlongBound(const Vec3& w, const PlaceCell& cell, const MetalPiece& piece, const BoundOf& of);

  /// Over all axes.
  [[nodiscard]] CellBound Of(const DrillPart& part) const;
  /// Over some of the axes; minus infinity if w proves nothing of them.
  [[nodiscard]] CellBound Over(const DrillPart& part, const AxesWithin& within) const;

 private:
  /// Angles of the axes to w that a mix allows, with their sines and cosines.
  struct Range {
    double low = 0.0;
    double high = 0.0;
    double sin_low = 0.0, cos_low = 1.0;
    double sin_high = 0.0, cos_high = 1.0;
  };
  using Ranges = std::array<Range, 8>;
  struct DiscDepth;
  [[nodiscard]] AxesWithin Useful(const AxesWithin& within) const;
  [[nodiscard]] Range Psi(std::size_t mix, const AxesWithin& within) const;
  [[nodiscard]] CellBound OverPart(const DrillPart& part, const AxesWithin& within) const;
  [[nodiscard]] CellBound OverDisc(const DrillDisc& disc, const Ranges& ranges, bool whole) const;
  [[nodiscard]] double Rest(const DrillDisc& disc, double depth, double steepness) const;
  [[nodiscard]] double Steepness(const DrillDisc& disc, double from, double to) const;
  [[nodiscard]] double With(const DrillDisc& disc, const Ranges& ranges, double raw,
                            double rest) const;
  [[nodiscard]] static DiscDepth Least(double delta, const DrillDisc& disc, const Range& psi);

  Vec3 w_;
  const PlaceCell& cell_;
  const MetalPiece& piece_;
  const BoundOf& of_;
  AlongView view_;
};

}  // namespace holeward
