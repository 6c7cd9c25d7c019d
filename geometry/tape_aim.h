// Aiming: the geodesic from a start (point, section, line) that meets a place.
#pragma once

#include <optional>

#include "geometry/tape.h"
#include "geometry/tape_seed.h"
#include "geometry/tape_shoot.h"

namespace holeward {

/// Where to begin aiming.
struct TapeGuess {
  SkinPlace foot;
  Vec3 direction = Vec3::Zero();  ///< need not be unit nor lie in the tangent plane
  double length = 0.0;            ///< mm, > 0
  bool close = false;             ///< an exact path moved a little: first shot at full accuracy
};

/// A geodesic that meets its target, on the surface continued beyond its ends.
struct TapeAim {
  TapePath path;
  bool conjugate = false;  ///< not even locally shortest
  double off_end = 0.0;    ///< how far it runs beyond an end or lip, mm
  double end_slope = 0.0;  ///< derivative by length of the Jacobi field at the end
  std::vector<TapeKnot> knots;
};

/// Newton's method on direction (or foot) and length; the derivative by direction is the Jacobi
/// field at the end. Nothing if it does not settle.
[[nodiscard]] std::optional<TapeAim> AimAt(const Surface& surface, const TapeStart& start,
                                           const SkinPlace& to, const TapeGuess& guess);

/// The launch square off a start curve at its parameter w, to the side of `direction`; for a point,
/// along `direction`. `w_per_mm` gets what w changes for a foot moved 1 mm to the left.
[[nodiscard]] TapeLaunch LaunchFrom(const Surface& surface, const TapeStart& start, double w,
                                    const Vec3& direction, double* w_per_mm);

/// Places for drawing and for BridgedLength, evenly along the knots' path.
[[nodiscard]] std::vector<SkinPlace> PlacesAlong(const std::vector<TapeKnot>& knots);

}  // namespace holeward
