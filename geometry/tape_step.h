// The geodesic equation in one cell of a surface, and single steps of it.
#pragma once

#include <array>
#include <cstddef>

#include "geometry/tape_shoot.h"

namespace holeward {

/// What a state holds: place (u, v) and its rates by length (p, q), Jacobi field and its rate,
/// length.
enum TapeSlot { kU, kV, kP, kQ, kJ, kDj, kS, kSlots };
using TapeState = std::array<double, kSlots>;

inline TapeState Sum(const TapeState& y, double h, const TapeState& k) {
  TapeState r;
  for (std::size_t i = 0; i < kSlots; ++i) r[i] = y[i] + h * k[i];
  return r;
}

/// Integrates the geodesic in one cell.
class CellLaw {
 public:
  CellLaw(const Surface& surface, const TapeCell& cell)
      : surface_(surface), cell_(cell), shift_(cell.turn * surface.v_period()) {}

  /// d(state)/ds.
  [[nodiscard]] TapeState Rate(const TapeState& y) const {
    const SkinJet x = surface_.JetAt(y[kU], y[kV] - shift_, cell_.span, cell_.piece);
    const double p = y[kP];
    const double q = y[kQ];
    const Vec3 w = (p * p) * x.duu + (2.0 * p * q) * x.duv + (q * q) * x.dvv;
    const double e = x.du.squaredNorm();
    const double f = x.du.dot(x.dv);
    const double g = x.dv.squaredNorm();
    const double a = x.du.dot(w);
    const double b = x.dv.dot(w);
    const double det = e * g - f * f;
    const double l = x.duu.dot(x.normal);
    const double m = x.duv.dot(x.normal);
    const double n = x.dvv.dot(x.normal);
    const double gauss = (l * n - m * m) / det;
    return {p, q, (f * b - g * a) / det, (f * a - e * b) / det, y[kDj], -gauss * y[kJ], 1.0};
  }

  /// d(state)/d(slot): slot kS by length, kU or kV by that parameter.
  [[nodiscard]] TapeState RateBy(const TapeState& y, TapeSlot slot) const {
    return By(Rate(y), slot);
  }
  [[nodiscard]] static TapeState By(TapeState k, TapeSlot slot) {
    if (slot == kS) return k;
    const double scale = 1.0 / k[slot];
    for (double& c : k) c *= scale;
    return k;
  }

  /// One step of order 8 from y, where Rate is `rate`; `error` gets the difference of the two
  /// orders by slot.
  [[nodiscard]] TapeState Fehlberg(const TapeState& y, const TapeState& rate, double h, TapeSlot by,
                                   TapeState* error) const;
  /// One step of order 5 (Dormand and Prince), for rough paths.
  [[nodiscard]] TapeState Dormand(const TapeState& y, const TapeState& rate, double h, TapeSlot by,
                                  TapeState* error) const;

  [[nodiscard]] TapeState RungeKutta4(const TapeState& y, double h, TapeSlot by) const {
    const TapeState a = RateBy(y, by);
    const TapeState b = RateBy(Sum(y, h / 2, a), by);
    const TapeState c = RateBy(Sum(y, h / 2, b), by);
    const TapeState d = RateBy(Sum(y, h, c), by);
    TapeState r = y;
    for (std::size_t i = 0; i < kSlots; ++i) r[i] += h / 6 * (a[i] + 2 * b[i] + 2 * c[i] + d[i]);
    return r;
  }

 private:
  const Surface& surface_;
  TapeCell cell_;
  double shift_;
};

}  // namespace holeward
