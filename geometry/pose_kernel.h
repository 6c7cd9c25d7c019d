// Clearance of one posed drill, between two certified bounds, fast enough for a million poses.
//
// A PoseKernel is made once for a hole: it separates the near wall from the far wall for every pose
// that may be asked (geometry/near_wall.h), keeps what those poses can reach, and knows each body
// in the form that is quickest to judge with proof:
//
//   straight round wall    closed form: tip and rim against the cylinder from inside
//   flat wall              closed form: tip and rim against the plane
//   straight round rod     closed form: support function of the drill against the rod's axis
//   any other near or far  a grid of local quadratics, each with a certified bound on what the wall
//   wall                   departs from it at several distances
//   all the rest           branch and bound on control points, only where a quick bound is not
//   enough
//
// Every answer holds for the obstacles' patches, their `grown` and `own_error` included, and all
// rounding; it is never better than true. Derivations: docs/methods/pose-kernel.md.
//
//   PoseKernel kernel = PoseKernel::Make(obstacles, region);
//   PoseDrill drill = PoseDrill::Of(*Drill::Twist(8.0, 118 * kDegree), side);
//   PoseBounds bounds = kernel.Evaluate({entry, direction}, drill);
//   if (Judge(bounds, stop) == PoseProof::clear) ...
//
// A kernel is immutable and has no hidden state: any number of threads may ask it, and the same
// question gives the same bits whichever thread asks.
#pragma once

#include <limits>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "geometry/clearance.h"
#include "geometry/drill.h"
#include "geometry/obstacle.h"
#include "geometry/vec.h"

namespace holeward {

/// Everything that will be asked of a kernel. Lengths mm.
struct PoseRegion {
  Pose middle;           ///< on the skin; unit direction
  double place = 0.0;    ///< entries lie within this of the middle, across its axis
  double rise = 0.0;     ///< and within this along it
  double tilt = 0.0;     ///< directions within this of the middle's, radians, below 60 degrees
  double radius = 0.0;   ///< of the thickest drill
  double side = 0.0;     ///< inner bodies only: as in ClearanceOf
  double horizon = 0.0;  ///< depth to which anything is looked for
  double wall = 0.0;     ///< greatest |PoseErrors::wall|
  double outline = 0.0;  ///< greatest |PoseErrors::outline|
  double inner = 0.0;    ///< greatest length of a PoseErrors::inner_shift
};

/// How far the true part departs from the obstacles in one pose. Nothing: as given.
struct PoseErrors {
  /// Wall thicker by this, mm: inner faces move into the hollow along their normals, the outside
  /// stays. Negative: thinner.
  double wall = 0.0;
  /// Section larger outside by this, mm: the marked side stays where it is, the far wall recedes
  /// along its normals by it, inner bodies go half of it along the region's axis.
  double outline = 0.0;
  /// Where each inner body is displaced to, mm: one vector (vehicle axes) an inner obstacle in the
  /// order of the obstacles, or empty for none.
  std::span<const Vec3> inner_shift;
};

/// When an answer is good enough.
struct PoseQuestion {
  /// Bounds further apart than this are refined, mm.
  double gap = 1e-3;
  /// The depth the caller asks about, mm: as soon as the free depth is proven greater or proven not
  /// greater, refining stops. Infinite: always down to `gap`.
  double needed = std::numeric_limits<double>::infinity();
  /// False: only the quick bounds, never the slow search.
  bool refine = true;
  /// False: break-through is not wanted; its bounds are 0 and infinite.
  bool breakthrough = true;
};

enum class PoseOutcome {
  met,            ///< metal is met at a depth between the bounds
  nothing,        ///< proven free to the horizon
  undecided,      ///< it could be neither shown that metal is met before the horizon nor that not
  not_finite,     ///< the pose or an error is not a number, or the direction is no unit vector
  beyond_region,  ///< the pose, drill or errors are outside what the kernel was made for
  no_near_wall,   ///< near and far wall cannot be told apart: see PoseKernel::failure()
  not_settled,    ///< a search did not settle: the lower bound holds, the upper may not
};
[[nodiscard]] const char* Word(PoseOutcome outcome);

/// What is known of one pose. Bounds are certified: lower <= exact <= upper.
struct PoseBounds {
  double free_lower = -std::numeric_limits<double>::infinity();
  double free_upper = std::numeric_limits<double>::infinity();
  double breakthrough_lower = 0.0;
  double breakthrough_upper = std::numeric_limits<double>::infinity();
  int body = -1;  ///< index of the obstacle with the least lower bound; -1 for none
  PoseOutcome outcome = PoseOutcome::undecided;
  bool far_wall = false;  ///< the body is the drilled part's own far wall
  bool refined = false;   ///< the slow search was needed

  /// True if something was computed at all.
  [[nodiscard]] bool ok() const {
    return outcome == PoseOutcome::met || outcome == PoseOutcome::nothing ||
           outcome == PoseOutcome::undecided;
  }
};

enum class PoseProof { clear, contact, unproven };

/// Whether a tip `depth` mm deep is proven not to touch anything, proven to touch, or neither.
/// Only `met` and `nothing` can be clear, and only to the depth that was looked to.
[[nodiscard]] PoseProof Judge(const PoseBounds& bounds, double depth);

/// A drill ready for the kernel: a union of convex bodies, each the hull of two discs across the
/// axis and all behind them.
class PoseDrill {
 public:
  /// Two discs across the axis, `front` mm and `back` mm behind the tip.
  struct Part {
    double tip_radius = 0.0;
    double front = 0.0;
    double radius = 0.0;
    double back = 0.0;
  };

  /// @param side added to the radius beside inner bodies, mm, >= 0 (as in ClearanceOf)
  [[nodiscard]] static PoseDrill Of(const Drill& drill, double side);

  [[nodiscard]] const Drill& drill() const { return drill_; }
  [[nodiscard]] double radius() const { return radius_; }
  [[nodiscard]] double side() const { return side_; }
  /// Distance behind the tip at which the full diameter is reached, for breaking through.
  [[nodiscard]] double full_behind() const { return full_behind_; }
  /// Cotangent of the point's half angle.
  [[nodiscard]] double cot() const { return cot_; }
  /// Least of (distance behind the tip) / radius over the drill.
  [[nodiscard]] double least_cot() const { return least_cot_; }
  [[nodiscard]] const std::vector<Part>& parts() const { return parts_; }
  /// The parts with the last cone continued by `side`.
  [[nodiscard]] const std::vector<Part>& wide_parts() const { return wide_parts_; }

 private:
  Drill drill_;
  double radius_ = 0.0;
  double side_ = 0.0;
  double full_behind_ = 0.0;
  double cot_ = 0.0;
  double least_cot_ = 0.0;
  std::vector<Part> parts_;
  std::vector<Part> wide_parts_;
};

/// Everything one hole's poses can meet. Copies share what they hold.
class PoseKernel {
 public:
  /// Makes a kernel. It always comes back; where near and far wall cannot be told apart over the
  /// whole region (a corner, an open end, an axis that meets no metal, no obstacles) or something
  /// is not finite, failure() says why and no pose is ever clear.
  [[nodiscard]] static PoseKernel Make(const std::vector<Obstacle>& obstacles,
                                       const PoseRegion& region);

  /// Bounds on free and break-through depth of one pose.
  /// @param pose entry on the skin within the region; unit direction
  /// @return bounds at most question.gap apart where the question needs it and refining is allowed;
  ///         else an outcome that says why not
  [[nodiscard]] PoseBounds Evaluate(const Pose& pose, const PoseDrill& drill,
                                    const PoseErrors& errors = {},
                                    const PoseQuestion& question = {}) const;

  [[nodiscard]] const std::string& failure() const;
  [[nodiscard]] bool ok() const { return failure().empty(); }
  [[nodiscard]] const PoseRegion& region() const;
  /// Length of the near wall on the region's own axis, mm.
  [[nodiscard]] double near_wall() const;
  /// Name of a body by PoseBounds::body: "far wall" for walls; empty for -1.
  [[nodiscard]] std::string BodyName(const PoseBounds& bounds) const;
  [[nodiscard]] int inner_count() const;

  struct Impl;  ///< geometry/pose_kernel_impl.h

 private:
  std::shared_ptr<const Impl> impl_;
};

}  // namespace holeward
