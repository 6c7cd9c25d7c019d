// The marking zone: where a person's mark may lie when both readings are off by up to their
// half-widths.
//
// Readings F map the skin near the point to (reading 1, reading 2); the zone is the preimage of the
// box of half-widths. With J = dF at the point and h = max |J0⁻¹ J(x) − I| over the zone and some
// way round it, every place of the preimage lies within |J0⁻¹ box| / (1 − h) of the point (the
// map x − J0⁻¹ F(x) contracts by h; Kantorovich and Akilov, Functional Analysis, XVIII). h is
// sampled on the box's corners and mid-sides and on a ring beyond them, with a margin.
#pragma once

#include "geometry/place.h"
#include "geometry/placed_point.h"

namespace holeward {

/// What widens every zone alike, mm.
struct ZoneWidening {
  double punch = 0.0;  ///< centre-punch error
  double sheet =
      0.0;  ///< placing a printed sheet and its print's own error; 0 unless on a template
};

/// The zone of a solution. `major`, `minor`, `direction`: the reported ellipse, semi-axes √2 times
/// the singular values of J⁻¹ diag(half-widths), plus punch. `radius` bounds every place of the
/// zone: readings within their half-widths (lopsided ones as they are), widened by the spread of
/// the points it is read from, punch and sheet. Not bounded if J is singular or changes too much,
/// or if a point it is read from is not.
[[nodiscard]] Zone ZoneOf(const Placer& placer, const Rule& rule, const Solution& at,
                          const ZoneWidening& widening);

}  // namespace holeward
