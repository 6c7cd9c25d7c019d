// Clearance of one hole over everything a hand can do wrong: the worst case, by enclosing all
// poses.
//
// The marking zone is cut into small cells. All poses whose entry lies in one cell are enclosed in
// a truncated cone: entry places within `place` across and `rise` along the cell's axis, directions
// within `tilt` of it. For metal at Y, with D = Y - P, z = D.n', l its lateral distance:
//
//   m     = hypot(max(z - rise, 0), max(l - place, 0)) - grown        no pose has Y nearer than m
//   alpha >= atan2(max(l - place, 0), z + rise) - asin(grown / |D|) - tilt
//   depth >= min over alpha of  m cos(alpha) + q(m sin(alpha))        while m sin(alpha) <= a
//
// which is concave in alpha on each part of the drill's profile, so it is least at an end. The
// derivation, and why each error goes to its worse end: docs/methods/clearance.md.
#pragma once

#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "geometry/clearance.h"
#include "geometry/placed_point.h"
#include "geometry/result.h"
#include "geometry/skin.h"

namespace holeward {

/// All poses whose entry lies in one cell of a marking zone.
struct PoseCone {
  Pose pose;           ///< the cell's middle
  double place = 0.0;  ///< entries lie within this of the middle, across the axis, mm
  double rise = 0.0;   ///< and within this along it, mm
  double tilt = 0.0;   ///< directions lie within this of the axis, radians
};

/// Worst case of a hole. The bounds hold for the true metal if the obstacles' `shift`,
/// `wall_error`, `outline_error` and the patches' `grown` do.
struct WorstClearance {
  std::string failure;        ///< empty: computed
  double breakthrough = 0.0;  ///< no pose needs more to break through, mm
  /// No pose touches metal behind the near wall (or any other body) shallower, mm; infinite: free
  /// to the horizon.
  double free_depth = std::numeric_limits<double>::infinity();
  double attained = std::numeric_limits<double>::infinity();  ///< the bound's own value at one
                                                              ///< place: tightness of the search
  std::string body;                                           ///< what governs

  [[nodiscard]] bool ok() const { return failure.empty(); }
};

/// What the worst case is looked for with.
struct WorstSearch {
  double side = 0.0;      ///< as in ClearanceOf, mm
  double horizon = 0.0;   ///< likewise
  WorstClearance so_far;  ///< the worst of other cones: only what is worse is looked for, and the
                          ///< result is the worst of both
};

/// The direction the tip is meant to travel from a place whose outward normal is given.
using AxisRule = std::function<Vec3(const Vec3& normal)>;

/// Cuts the places of the skin within `radius` (straight, mm) of a nominal place into cells.
/// @param tilt_rad half-angle by which the drill may be held off the intended axis
/// @return cones that together hold every pose
/// Errors (computed): a zone that cannot be covered, a skin that turns more than 60 degrees in it.
/// Accuracy: a cell's extents are sampled 9 by 9 and widened by one step's change.
[[nodiscard]] Result<std::vector<PoseCone>> ConesOver(const Skin& skin, const NominalPlace& nominal,
                                                      double radius, double tilt_rad,
                                                      const AxisRule& axis);

/// Worst case over the poses of all cones. Arguments as in ClearanceOf.
/// A failure in any cone is a failure of the whole.
[[nodiscard]] WorstClearance WorstOver(const std::vector<Obstacle>& obstacles,
                                       const std::vector<PoseCone>& cones, const Drill& drill,
                                       const WorstSearch& search);

/// Where a piece of metal lies, seen along a cone's axis from its middle, mm.
struct Band {
  double z_least = 0.0;
  double z_greatest = 0.0;
  double l_least = 0.0;  ///< off the axis
  double l_greatest = 0.0;
  double grown = 0.0;  ///< the metal lies within this of the band
};

/// Least depth at which any pose of a cone touches metal of a band. Infinite: never; negative: it
/// may lie at the entry or before it. The heart of WorstOver.
[[nodiscard]] double LeastDepthOver(const PoseCone& cone, const Drill& drill, const Band& band);

}  // namespace holeward
