// Shooting a geodesic over the cells of a surface, with its Jacobi field.
#pragma once

#include <functional>
#include <vector>

#include "geometry/surface.h"

namespace holeward {

/// A cell of a surface and the turn it is met on: v = v_in_cell + turn * period.
struct TapeCell {
  int span = 0;
  int piece = 0;
  int turn = 0;
};

/// The cell that holds a place (v not wrapped); on a border the later one. Clamped to the surface.
[[nodiscard]] TapeCell CellOf(const Surface& surface, const SkinPlace& place);
/// v brought to the turn nearest to `near`; unchanged on an open surface.
[[nodiscard]] double NearestTurn(const Surface& surface, double v, double near);
/// The surface at a place by the law of a cell; v not wrapped.
[[nodiscard]] SkinJet JetIn(const Surface& surface, const SkinPlace& place, const TapeCell& cell);
[[nodiscard]] SkinPoint PointIn(const Surface& surface, const SkinPlace& place,
                                const TapeCell& cell);

/// How a geodesic starts: from a point j = 0, j' = 1 (by angle); square off a curve j = 1 and j' as
/// the curve bends (by foot).
struct TapeLaunch {
  SkinPlace place;
  TapeCell cell;
  Vec3 direction = Vec3::Zero();  ///< unit, in the tangent plane of the cell
  double jacobi = 0.0;
  double jacobi_slope = 1.0;
};

/// A place on a geodesic: rates are by length.
struct TapeKnot {
  double u = 0.0, v = 0.0;
  double u_rate = 0.0, v_rate = 0.0;
  double s = 0.0;
};

/// The place a part t, 0 to 1, of the way from one knot to the next: cubic of Hermite.
[[nodiscard]] SkinPlace PlaceBetween(const TapeKnot& a, const TapeKnot& b, double t);

/// A geodesic followed for a length.
struct TapeFlight {
  bool ok = false;  ///< false: it ran far off the surface or took too many steps
  SkinPlace place;  ///< its end
  TapeCell cell;
  Vec3 position = Vec3::Zero();  ///< its end
  Vec3 tangent = Vec3::Zero();   ///< unit, at its end
  Vec3 left = Vec3::Zero();      ///< normal x tangent at its end; the Jacobi field counts along it
  double jacobi = 0.0;           ///< at its end
  double jacobi_slope = 0.0;     ///< its derivative by length there
  bool conjugate = false;        ///< the Jacobi field vanished on the way: not a shortest path
  double error = 0.0;            ///< sum of the steps' error estimates, mm
  double off_end = 0.0;          ///< how far it ran beyond the ends or lips of the surface, mm
  std::vector<TapeKnot> knots;
};

/// Follows the geodesic of `launch` for `length` mm. `tolerance`: error allowed a step, mm.
/// Source: geodesic equation with Christoffel symbols, do Carmo 4-4; steps by Fehlberg, NASA TR
/// R-287 (1968), order 7(8); borders are met by a last step in the parameter that reaches them,
/// Henon, Physica D 5 (1982) 412. Across a crease the angle to it is kept (unfolding).
/// `go_on`, if given, is asked after every step (the last knot, the Jacobi field there); the flight
/// ends where it says no.
[[nodiscard]] TapeFlight Shoot(const Surface& surface, const TapeLaunch& launch, double length,
                               double tolerance,
                               const std::function<bool(const TapeKnot&, double)>& go_on = {});

}  // namespace holeward
