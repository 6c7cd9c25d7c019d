// A drill: how far behind its tip it reaches a given radius.
//
//        axis
//          |   r = distance from the axis, q = distance behind the tip
//    a ----+------------------  shank
//          |               /
//          |            /      point cone, half angle k = A / 2:  q = r cot k
//          +---------/
//         tip     q ->
#pragma once

#include <vector>

#include "geometry/marking.h"
#include "geometry/result.h"

namespace holeward {

/// A solid of revolution whose radius never falls with the distance behind the tip. Immutable.
class Drill {
 public:
  /// From one radius to the next: the distance behind the tip at which radius r is reached is
  /// behind + (r - from) * cot for from < r <= to.
  struct Rise {
    double from = 0.0;
    double to = 0.0;
    double behind = 0.0;
    double cot = 0.0;
  };

  /// A twist drill. Errors (job): diameter or point angle not finite, not positive, angle 180° or
  /// more.
  /// Source: point length p = (d/2) / tan(A/2), the sharp cone of ISO 5419's terms.
  [[nodiscard]] static Result<Drill> Twist(double diameter, double point_angle_rad);

  /// A step drill up to `diameter`: the steps thinner than it, each with its length from the tip
  /// on, then the diameter itself. Where a step begins is not known better than its length, so for
  /// touching metal the shoulder is square (early), for breaking through it is a cone of the point
  /// angle (late). Without a thinner step it is a twist drill. Errors as above, and a bad length.
  [[nodiscard]] static Result<Drill> Step(double diameter, double point_angle_rad,
                                          const std::vector<DrillStep>& steps);

  /// The drill of one stage with the tool of the job.
  [[nodiscard]] static Result<Drill> Of(const DrillTool& tool, double diameter);

  [[nodiscard]] double radius() const { return early_.back().to; }
  [[nodiscard]] double diameter() const { return 2.0 * radius(); }
  /// Cotangent of the point's half angle.
  [[nodiscard]] double cot() const { return early_.front().cot; }
  /// True when the profile is one cone and a shank.
  [[nodiscard]] bool is_cone() const { return early_.size() == 1; }
  [[nodiscard]] const std::vector<Rise>& rises() const { return early_; }

  /// Least distance behind the tip at which the radius reaches r; infinite beyond the full radius.
  [[nodiscard]] double Behind(double r) const { return On(early_, r); }
  /// The same with the shoulders of a step drill late: what breaking through must count on.
  [[nodiscard]] double BehindLate(double r) const { return On(late_, r); }
  /// Distance behind the tip at which the full diameter is reached, for breaking through.
  [[nodiscard]] double FullBehind() const { return BehindLate(radius()); }

  /// The same drill with its last cone continued to a radius greater by `by` (mm, >= 0).
  [[nodiscard]] Drill Widened(double by) const;

 private:
  static double On(const std::vector<Rise>& rises, double r);

  std::vector<Rise> early_;
  std::vector<Rise> late_;
};

}  // namespace holeward
