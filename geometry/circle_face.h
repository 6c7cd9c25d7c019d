// A face of a solid as the circles of one size that it is made of: the outside of a bent tube.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include <BRepAdaptor_Surface.hxx>
#include <TopoDS_Face.hxx>

#include "geometry/vec.h"

namespace holeward {

/// A place on a centre line.
struct CentrePlace {
  Vec3 centre = Vec3::Zero();
  Vec3 tangent = Vec3::UnitX();  ///< unit, the way the line runs
};

/// A face whose lines of one parameter are circles, or arcs, about the inside of the body.
class CircleFace {
 public:
  /// Turn between two places of an arc, radians: the cubic of geometry/skin leaves an arc by 7e-8
  /// of its radius.
  static constexpr double kTurn = 22.5 * kDegree;

  /// The face by circles of that radius (mm) within 0.02 mm; nothing if it is not made of them.
  [[nodiscard]] static std::optional<CircleFace> Of(const TopoDS_Face& face, double radius);

  /// The parameter along the centre line at both borders.
  [[nodiscard]] double first() const { return from_[along_u_ ? 0 : 1]; }
  [[nodiscard]] double last() const { return to_[along_u_ ? 0 : 1]; }
  [[nodiscard]] double radius() const { return radius_; }
  /// True for a cylinder or a torus: nothing lies between its Breaks but lines and arcs.
  [[nodiscard]] bool is_analytic() const;

  /// Seven places of the circle at t, from border to border of the face.
  [[nodiscard]] std::vector<Vec3> Section(double t) const;
  /// The middle of the circle at t, its tangent toward greater t; nothing if there is no circle.
  [[nodiscard]] std::optional<CentrePlace> At(double t) const;
  /// Parameters from first to last between which the centre line is smooth; arcs divided.
  [[nodiscard]] std::vector<double> Breaks() const;

 private:
  CircleFace(const TopoDS_Face& face, double radius, bool along_u);
  [[nodiscard]] double Around(double share) const;
  [[nodiscard]] bool IsMadeOfCircles() const;
  [[nodiscard]] bool FacesAway(double t, const Vec3& middle) const;
  [[nodiscard]] std::vector<double> SmoothBreaks() const;

  BRepAdaptor_Surface surface_;
  double radius_;
  bool along_u_;
  bool reversed_ = false;
  std::array<double, 2> from_{};  // by u, by v
  std::array<double, 2> to_{};
};

}  // namespace holeward
