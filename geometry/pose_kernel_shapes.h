// Simple bodies found in patches: round rods and round walls, proven to be so, and the products of
// Bernstein polynomials that prove it.
#pragma once

#include <optional>
#include <vector>

#include "geometry/bezier.h"
#include "geometry/obstacle.h"
#include "geometry/pose_kernel_forms.h"
#include "geometry/vec.h"

namespace holeward {

/// Coefficients of a polynomial of two parameters in Bernstein form, row-major as in BezierPatch.
struct Bernstein {
  int degree_u = 0;
  int degree_v = 0;
  std::vector<double> coefs;

  Bernstein& operator+=(const Bernstein& other);
  Bernstein& operator*=(double by);
};
/// The product, exact but for rounding; degrees add. Source: Farouki and Rajan, Algorithms for
/// polynomials in Bernstein form, CAGD 5 (1988).
[[nodiscard]] Bernstein operator*(const Bernstein& a, const Bernstein& b);
/// Component k of homogeneous poles, less `centre` times the weight: w (x_k - centre).
[[nodiscard]] Bernstein Component(const std::vector<Eigen::Vector4d>& poles, int degree_u,
                                  int degree_v, int k, double centre);

/// A cylinder about an axis.
struct Cylinder {
  Vec3 place = Vec3::Zero();  ///< on the axis, where `length` starts
  Vec3 axis = Vec3::UnitZ();  ///< unit
  double length = 0.0;
  double radius = 0.0;
  double turn = 0.0;   ///< how much of the round the patches cover, radians
  double grown = 0.0;  ///< the true surface lies within this, mm
};

/// The cylinder a patch lies on, to within 1e-9 mm: proven by the coefficients of
/// w² (distance² - radius²). Nothing for any other patch.
[[nodiscard]] std::optional<Cylinder> CylinderOf(const BezierPatch& patch);

/// A rod of an inner body. Ends that are not round are flat and stop where the rod does.
struct Rod {
  Cylinder body;
  bool round_from = false;
  bool round_to = false;
  int obstacle = 0;
};

/// What of an obstacle is whole rods, and the patches that are not.
struct RodsAndRest {
  std::vector<Rod> rods;
  std::vector<BezierPatch> rest;
};
[[nodiscard]] RodsAndRest SortRods(const Obstacle& obstacle, int index);

/// All whole round cylinders of an obstacle.
[[nodiscard]] std::vector<Cylinder> WholeCylinders(const std::vector<BezierPatch>& patches,
                                                   std::vector<int>& of_patch);

}  // namespace holeward
