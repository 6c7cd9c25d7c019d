// The worst pose of a hole: where a mark may lie and how the drill may lean, searched together for
// the pose that meets metal first, between a certified lower bound and a pose that attains the
// upper one.
//
// geometry/tolerance.h encloses all poses of a cell in one cone and lets everything be worst at
// once. Here place and lean stay tied together: over a cell of places and a piece of metal one
// direction w is looked for along which drill and metal are apart in every pose. For metal within
// g of Y, delta = (Y - E).w - g, and the drill's axis at angle psi to w,
//
//   depth >= (delta - rho sin(psi)) / cos(psi) + b       for the drill's discs (rho, b behind tip)
//
// least over the psi that the lean allows. Cells and pieces are halved, best first, until the pose
// found is within the gap of the bound. Derivation and proofs: docs/methods/worst-pose.md.
#pragma once

#include <limits>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "geometry/clearance.h"
#include "geometry/placed_point.h"
#include "geometry/skin.h"
#include "geometry/tolerance.h"

namespace holeward {

/// Every pose of one marking zone: entries on the skin within `radius` (straight) of the nominal
/// place, directions within `tilt` of the intended axis there.
struct PoseZone {
  const Skin* skin = nullptr;
  NominalPlace nominal;
  double radius = 0.0;  ///< mm
  double tilt = 0.0;    ///< radians
  AxisRule axis;
};

/// Worst depths over poses, each between two bounds.
struct WorstDepths {
  std::string failure;                 ///< empty: computed
  double breakthrough = 0.0;           ///< no pose needs more to break through, mm
  double breakthrough_attained = 0.0;  ///< a pose needs this much
  /// No pose meets anything shallower, mm; infinite: proven free to the horizon.
  double lower = std::numeric_limits<double>::infinity();
  /// The stated pose meets it no deeper than this, mm; infinite: no pose found that meets anything.
  double upper = std::numeric_limits<double>::infinity();
  Pose pose;         ///< the pose that attains `upper`
  std::string body;  ///< what it meets: "far wall" or the obstacle's name
  int nodes = 0;     ///< pairs of cell and piece looked at

  [[nodiscard]] bool ok() const { return failure.empty(); }
};

struct WorstPoseSearch {
  double side = 0.0;     ///< as in ClearanceOf, mm
  double horizon = 0.0;  ///< likewise
  double gap = 0.04;     ///< upper less lower bound at which to stop, mm
  int budget = 100000;   ///< pairs looked at before the bound reached is returned as it is
  WorstDepths so_far;    ///< the worst of other zones; the result is the worst of both
  /// Known beforehand of all zones together, as by WorstOver: no pose touches shallower than
  /// `proven_free` nor needs more than `proven_through`. Only what these leave open is looked for.
  double proven_free = -std::numeric_limits<double>::infinity();
  double proven_through = std::numeric_limits<double>::infinity();
  /// A pose that is likely near the worst one; it need not be among the poses. Tried first.
  std::optional<Pose> start = std::nullopt;
  /// Asked to stop, it comes back with the bounds reached, which hold but may be far apart.
  std::stop_token stop = {};
};

/// The worst poses of one zone.
/// @param obstacles as for WorstOver, their `shift`, `wall_error`, `outline_error` and the patches'
///        `grown` holding what the metal may be off
/// Failures: as WorstOver: numbers that are not finite, a zone that cannot be covered, a skin that
/// turns more than 60 degrees in it, no gap behind the near wall.
[[nodiscard]] WorstDepths WorstPoseOver(const std::vector<Obstacle>& obstacles,
                                        const PoseZone& zone, const Drill& drill,
                                        const WorstPoseSearch& search);

/// First touch of one pose against the obstacles with their errors: bounds within `gap` of each
/// other. The same bounds as WorstPoseOver's with nothing left to vary, for checking it.
[[nodiscard]] WorstDepths DepthsOf(const std::vector<Obstacle>& obstacles, const Pose& pose,
                                   const Drill& drill, const WorstPoseSearch& search);

}  // namespace holeward
