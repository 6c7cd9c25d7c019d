#include "geometry/tape_shoot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace holeward {
namespace {

constexpr int kMaxSteps = 600;
constexpr double kLandedExactly = 1e-7;  // mm; a straight step this short errs by its square
constexpr double kShallow = 1e-6;        // mm; past a border this far both laws agree to 1e-12
constexpr double kRoughFrom = 1e-6;      // mm; coarser tolerances use the rule of order 5
constexpr double kLeastStep = 1e-6;      // mm

enum Slot { kU, kV, kP, kQ, kJ, kDj, kS, kSlots };
using State = std::array<double, kSlots>;

State Sum(const State& y, double h, const State& k) {
  State r;
  for (std::size_t i = 0; i < kSlots; ++i) r[i] = y[i] + h * k[i];
  return r;
}

/// Integrates the geodesic in one cell.
class CellLaw {
 public:
  CellLaw(const Surface& surface, const TapeCell& cell)
      : surface_(surface), cell_(cell), shift_(cell.turn * surface.v_period()) {}

  /// d(state)/ds.
  [[nodiscard]] State Rate(const State& y) const {
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
  [[nodiscard]] State RateBy(const State& y, Slot slot) const { return By(Rate(y), slot); }
  [[nodiscard]] static State By(State k, Slot slot) {
    if (slot == kS) return k;
    const double scale = 1.0 / k[slot];
    for (double& c : k) c *= scale;
    return k;
  }

  /// One step of order 8 from y, where Rate is `rate`; `error` gets the difference of the two
  /// orders by slot.
  [[nodiscard]] State Fehlberg(const State& y, const State& rate, double h, Slot by,
                               State* error) const;
  /// One step of order 5 (Dormand and Prince), for rough paths.
  [[nodiscard]] State Dormand(const State& y, const State& rate, double h, Slot by,
                              State* error) const;

  [[nodiscard]] State RungeKutta4(const State& y, double h, Slot by) const {
    const State a = RateBy(y, by);
    const State b = RateBy(Sum(y, h / 2, a), by);
    const State c = RateBy(Sum(y, h / 2, b), by);
    const State d = RateBy(Sum(y, h, c), by);
    State r = y;
    for (std::size_t i = 0; i < kSlots; ++i) r[i] += h / 6 * (a[i] + 2 * b[i] + 2 * c[i] + d[i]);
    return r;
  }

 private:
  const Surface& surface_;
  TapeCell cell_;
  double shift_;
};

State CellLaw::Dormand(const State& y, const State& rate, double h, Slot by, State* error) const {
  static constexpr double kA[7][6] = {
      {},
      {1. / 5},
      {3. / 40, 9. / 40},
      {44. / 45, -56. / 15, 32. / 9},
      {19372. / 6561, -25360. / 2187, 64448. / 6561, -212. / 729},
      {9017. / 3168, -355. / 33, 46732. / 5247, 49. / 176, -5103. / 18656},
      {35. / 384, 0, 500. / 1113, 125. / 192, -2187. / 6784, 11. / 84}};
  static constexpr double kE[7] = {71. / 57600,      0,         -71. / 16695, 71. / 1920,
                                   -17253. / 339200, 22. / 525, -1. / 40};
  std::array<State, 7> k;
  State at = y;
  k[0] = By(rate, by);
  for (int i = 1; i < 7; ++i) {
    at = y;
    for (int c = 0; c < i; ++c) {
      for (std::size_t n = 0; n < kSlots; ++n) at[n] += h * kA[i][c] * k[c][n];
    }
    k[i] = RateBy(at, by);
  }
  error->fill(0.0);
  for (int i = 0; i < 7; ++i) {
    for (std::size_t n = 0; n < kSlots; ++n) (*error)[n] += h * kE[i] * k[i][n];
  }
  return at;
}

State CellLaw::Fehlberg(const State& y, const State& rate, double h, Slot by, State* error) const {
  static constexpr double kA[13][12] = {
      {},
      {2. / 27},
      {1. / 36, 1. / 12},
      {1. / 24, 0, 1. / 8},
      {5. / 12, 0, -25. / 16, 25. / 16},
      {1. / 20, 0, 0, 1. / 4, 1. / 5},
      {-25. / 108, 0, 0, 125. / 108, -65. / 27, 125. / 54},
      {31. / 300, 0, 0, 0, 61. / 225, -2. / 9, 13. / 900},
      {2, 0, 0, -53. / 6, 704. / 45, -107. / 9, 67. / 90, 3},
      {-91. / 108, 0, 0, 23. / 108, -976. / 135, 311. / 54, -19. / 60, 17. / 6, -1. / 12},
      {2383. / 4100, 0, 0, -341. / 164, 4496. / 1025, -301. / 82, 2133. / 4100, 45. / 82, 45. / 164,
       18. / 41},
      {3. / 205, 0, 0, 0, 0, -6. / 41, -3. / 205, -3. / 41, 3. / 41, 6. / 41, 0},
      {-1777. / 4100, 0, 0, -341. / 164, 4496. / 1025, -289. / 82, 2193. / 4100, 51. / 82,
       33. / 164, 12. / 41, 0, 1}};
  std::array<State, 13> k;
  k[0] = By(rate, by);
  for (int i = 1; i < 13; ++i) {
    State at = y;
    for (int c = 0; c < i; ++c) {
      if (kA[i][c] == 0.0) continue;
      for (std::size_t n = 0; n < kSlots; ++n) at[n] += h * kA[i][c] * k[c][n];
    }
    k[i] = RateBy(at, by);
  }
  State r = y;
  for (std::size_t n = 0; n < kSlots; ++n) {
    r[n] += h * (34. / 105 * k[5][n] + 9. / 35 * (k[6][n] + k[7][n]) +
                 9. / 280 * (k[8][n] + k[9][n]) + 41. / 840 * (k[11][n] + k[12][n]));
    (*error)[n] = 41. / 840 * h * (k[0][n] + k[10][n] - k[11][n] - k[12][n]);
  }
  return r;
}

/// A border of a cell that a state stands at or beyond, or runs toward.
struct Border {
  Slot slot = kU;  // kU or kV
  bool upper = false;
  double value = 0.0;
};

/// One geodesic under way.
class Flyer {
 public:
  Flyer(const Surface& surface, const TapeLaunch& launch, double length, double tolerance)
      : surface_(surface), cell_(launch.cell), length_(length), tolerance_(tolerance) {
    const SkinJet x = JetIn(surface_, launch.place, cell_);
    y_ = {launch.place.u, launch.place.v, 0, 0, launch.jacobi, launch.jacobi_slope, 0};
    SetDirection(x, launch.direction);
    step_ = length;
  }

  TapeFlight Run() {
    Record();
    bool ok = true;
    for (int n = 0; ok && y_[kS] < length_ * (1.0 - 1e-15) - 1e-14; ++n) {
      ok = n < kMaxSteps && Advance();
    }
    return Finish(ok);
  }

 private:
  void SetDirection(const SkinJet& x, const Vec3& t) {
    const double e = x.du.squaredNorm();
    const double f = x.du.dot(x.dv);
    const double g = x.dv.squaredNorm();
    const double a = x.du.dot(t);
    const double b = x.dv.dot(t);
    const double det = e * g - f * f;
    double p = (g * a - f * b) / det;
    double q = (e * b - f * a) / det;
    const double speed = std::sqrt(e * p * p + 2 * f * p * q + g * q * q);
    y_[kP] = p / speed;
    y_[kQ] = q / speed;
    u_scale_ = std::sqrt(e);
    v_scale_ = std::sqrt(g);
  }

  [[nodiscard]] double Value(const Border& b) const {
    if (b.slot == kU) return surface_.u_breaks()[cell_.span + (b.upper ? 1 : 0)];
    return surface_.v_breaks()[cell_.piece + (b.upper ? 1 : 0)] + cell_.turn * surface_.v_period();
  }
  /// False at an end or lip: the law goes on there.
  [[nodiscard]] bool Passable(const Border& b) const {
    if (b.slot == kU) return b.upper ? cell_.span + 1 < surface_.span_count() : cell_.span > 0;
    if (surface_.v_closed()) return true;
    return b.upper ? cell_.piece + 1 < surface_.piece_count() : cell_.piece > 0;
  }
  [[nodiscard]] std::array<Border, 4> Borders() const {
    std::array<Border, 4> all = {{{kU, false, 0}, {kU, true, 0}, {kV, false, 0}, {kV, true, 0}}};
    for (Border& b : all) b.value = Value(b);
    return all;
  }
  /// How far `y` is beyond the border, in its parameter; negative inside.
  static double Beyond(const State& y, const Border& b) {
    return b.upper ? y[b.slot] - b.value : b.value - y[b.slot];
  }
  static double RateOut(const State& y, const Border& b) {
    const double rate = b.slot == kU ? y[kP] : y[kQ];
    return b.upper ? rate : -rate;
  }
  [[nodiscard]] double Scale(const Border& b) const { return b.slot == kU ? u_scale_ : v_scale_; }

  /// Length to the border by the second-order path; nothing if it is not reached.
  static std::optional<double> Reach(const State& y, const State& rate, const Border& b) {
    const double gap = -Beyond(y, b);
    const double v = RateOut(y, b);
    const double acceleration = b.slot == kU ? rate[kP] : rate[kQ];
    const double a = b.upper ? acceleration : -acceleration;
    const double disc = v * v + 2 * a * gap;
    if (disc < 0) return std::nullopt;
    const double denominator = v + std::sqrt(disc);
    if (denominator <= 0) return std::nullopt;
    return 2 * gap / denominator;
  }

  bool Advance() {
    const auto borders = Borders();
    for (const Border& b : borders) {
      if (Passable(b) && Beyond(y_, b) * Scale(b) > -1e-10 && RateOut(y_, b) > 0 && !Just(b)) {
        Cross(b);
        return true;
      }
    }
    const CellLaw law(surface_, cell_);
    const State rate = law.Rate(y_);
    double h = std::min(step_, length_ - y_[kS]);
    const Border* next = nullptr;
    for (const Border& b : borders) {
      const auto reach = Passable(b) ? Reach(y_, rate, b) : std::nullopt;
      if (!reach || *reach >= h) continue;
      h = *reach;
      next = &b;
    }
    if (next != nullptr && StepOnto(law, rate, *next, borders, &h)) return InReach();
    h = std::min(std::max(h, kLeastStep), length_ - y_[kS]);
    return TakeStep(law, rate, h, borders);
  }

  [[nodiscard]] State Step(const CellLaw& law, const State& rate, double h, Slot by,
                           State* error) const {
    return tolerance_ > kRoughFrom ? law.Dormand(y_, rate, h, by, error)
                                   : law.Fehlberg(y_, rate, h, by, error);
  }
  [[nodiscard]] double SizeOf(const State& error, double h) const {
    return std::hypot(error[kU] * u_scale_, error[kV] * v_scale_) +
           h * std::hypot(error[kP] * u_scale_, error[kQ] * v_scale_);
  }
  /// The factor by which a step may grow for the tolerance.
  [[nodiscard]] double Growth(double error) const {
    if (error <= 0) return 4.0;
    return 0.9 * std::pow(tolerance_ / error, tolerance_ > kRoughFrom ? 0.2 : 0.125);
  }

  /// One step straight onto a border, with its parameter as the variable. Where the step does not
  /// serve (another border comes first, the path runs along the border, error) `h` is set to a
  /// length to try instead.
  bool StepOnto(const CellLaw& law, const State& rate, const Border& b,
                const std::array<Border, 4>& borders, double* h) {
    const double gap = b.value - y_[b.slot];
    const double v = RateOut(y_, b);
    const double a = b.slot == kU ? rate[kP] : rate[kQ];
    if (v <= 0 || v * v < 4 * std::abs(a * gap) || *h < kLeastStep) return false;
    State error;
    State y1 = Step(law, rate, gap, b.slot, &error);
    const double e = SizeOf(error, *h);
    if (!std::isfinite(e) || e > tolerance_) {
      *h *= std::isfinite(e) ? std::clamp(Growth(e), 0.2, 0.9) : 0.3;
      step_ = *h;
      return false;
    }
    if (y1[kS] > length_ || y1[kS] <= y_[kS] || RateOut(y1, b) <= 0) return false;
    for (const Border& other : borders) {
      const bool same = other.slot == b.slot && other.upper == b.upper;
      if (!same && Passable(other) && Beyond(y1, other) * Scale(other) > kShallow) return false;
    }
    y1[b.slot] = b.value;
    step_ = std::max(step_, (y1[kS] - y_[kS]) * std::clamp(Growth(e), 0.3, 4.0));
    y_ = y1;
    error_ += e;
    just_.reset();
    Note();
    return true;
  }

  bool TakeStep(const CellLaw& law, const State& rate, double h,
                const std::array<Border, 4>& borders) {
    for (int tries = 0; tries < 60; ++tries) {
      State error;
      const State y1 = Step(law, rate, h, kS, &error);
      const double e = SizeOf(error, h);
      if (!std::isfinite(e)) {
        h *= 0.1;
        continue;
      }
      const double grow = Growth(e);
      if (e > tolerance_ && h > kLeastStep) {
        h *= std::clamp(grow, 0.2, 0.9);
        step_ = h;
        continue;
      }
      const Landing landing = Land(law, y1, borders);
      if (landing == Landing::kRetry && h > kLeastStep) {
        h *= 0.5;
        continue;
      }
      if (landing == Landing::kNone) y_ = y1;
      error_ += e;
      if (h > 0.5 * step_) step_ = h * std::clamp(grow, 0.3, 4.0);
      just_.reset();
      Note();
      return InReach();
    }
    return false;
  }

  enum class Landing { kNone, kLanded, kRetry };

  /// Brings a step that went beyond a border, or nearly there, onto it.
  Landing Land(const CellLaw& law, const State& y1, const std::array<Border, 4>& borders) {
    const Border* first = nullptr;
    double most = -1e300;
    for (const Border& b : borders) {
      if (!Passable(b)) continue;
      const double out = RateOut(y1, b);
      const double beyond = Beyond(y1, b);
      if (beyond * Scale(b) > kShallow && out <= 0) return Landing::kRetry;  // turned back outside
      if (out <= 0) continue;
      const double back = beyond / out;
      const bool near = beyond > 0 || -back < 0.02 * (y1[kS] - y_[kS]);
      if (near && back > most) {
        most = back;
        first = &b;
      }
    }
    if (first == nullptr || y1[kS] - most > length_) return Landing::kNone;
    return LandOn(law, y1, *first, most);
  }

  Landing LandOn(const CellLaw& law, const State& y1, const Border& b, double back) {
    const double delta = b.value - y1[b.slot];
    if (std::abs(back) < kLandedExactly) {
      y_ = Sum(y1, -back, law.Rate(y1));
    } else {
      const State rate = law.Rate(y1);
      const double v = rate[b.slot];
      const double a = b.slot == kU ? rate[kP] : rate[kQ];
      if (v * v < 4 * std::abs(a * delta)) {  // it runs along the border
        return Beyond(y1, b) * Scale(b) > kShallow ? Landing::kRetry : Landing::kNone;
      }
      State unused;
      y_ = std::abs(back) < 0.01 ? law.RungeKutta4(y1, delta, b.slot)
                                 : law.Fehlberg(y1, rate, delta, b.slot, &unused);
    }
    y_[b.slot] = b.value;
    return Landing::kLanded;
  }

  /// Goes over to the neighbouring cell: along the border's tangent the direction keeps its
  /// component, square to it it goes on in the new tangent plane.
  void Cross(const Border& b) {
    const SkinJet x0 = JetIn(surface_, {y_[kU], y_[kV]}, cell_);
    const Vec3 t = y_[kP] * x0.du + y_[kQ] * x0.dv;
    Vec3 e = (b.slot == kU ? x0.dv : x0.du).normalized();
    const Vec3 along = b.slot == kU ? x0.dvv : x0.duu;
    const double speed2 = (b.slot == kU ? x0.dv : x0.du).squaredNorm();
    Vec3 m0 = x0.normal.cross(e);
    if (m0.dot(t) < 0) {  // so that e x m is the normal and m points the way of travel
      e = -e;
      m0 = -m0;
    }
    EnterNext(b);
    const SkinJet x1 = JetIn(surface_, {y_[kU], y_[kV]}, cell_);
    const Vec3 m1 = x1.normal.cross(e);
    const double sine = std::max(m0.dot(t), 1e-12);
    y_[kDj] -= along.dot(m1 - m0) / speed2 * y_[kJ] / sine;
    SetDirection(x1, e.dot(t) * e + sine * m1);
    just_ = Border{b.slot, !b.upper, 0};
    Record();
  }

  void EnterNext(const Border& b) {
    const int way = b.upper ? 1 : -1;
    if (b.slot == kU) {
      cell_.span += way;
      return;
    }
    cell_.piece += way;
    if (cell_.piece < 0 || cell_.piece >= surface_.piece_count()) {
      cell_.turn += way;
      cell_.piece -= way * surface_.piece_count();
    }
  }
  [[nodiscard]] bool Just(const Border& b) const {
    return just_ && just_->slot == b.slot && just_->upper == b.upper;
  }

  void Note() {
    if (y_[kJ] <= 0) conjugate_ = true;
    Record();
    const double shift = cell_.turn * surface_.v_period();
    double off =
        std::max(surface_.u_breaks().front() - y_[kU], y_[kU] - surface_.u_breaks().back()) *
        u_scale_;
    if (!surface_.v_closed()) {
      off = std::max(off, std::max(surface_.v_breaks().front() - y_[kV],
                                   y_[kV] - shift - surface_.v_breaks().back()) *
                              v_scale_);
    }
    off_end_ = std::max(off_end_, off);
  }
  /// The law holds only a little beyond the ends.
  [[nodiscard]] bool InReach() const {
    const auto& u = surface_.u_breaks();
    const double room = 0.25 * (u.back() - u.front());
    if (y_[kU] < u.front() - room || y_[kU] > u.back() + room) return false;
    if (surface_.v_closed()) return true;
    return y_[kV] > surface_.v_breaks().front() - 1.0 && y_[kV] < surface_.v_breaks().back() + 1.0;
  }
  void Record() { knots_.push_back({y_[kU], y_[kV], y_[kP], y_[kQ], y_[kS]}); }

  TapeFlight Finish(bool ok) {
    TapeFlight flight;
    const SkinJet x = JetIn(surface_, {y_[kU], y_[kV]}, cell_);
    flight.ok = ok && x.position.allFinite();
    flight.place = {y_[kU], y_[kV]};
    flight.cell = cell_;
    flight.position = x.position;
    flight.tangent = (y_[kP] * x.du + y_[kQ] * x.dv).normalized();
    flight.left = x.normal.cross(flight.tangent);
    flight.jacobi = y_[kJ];
    flight.jacobi_slope = y_[kDj];
    flight.conjugate = conjugate_;
    flight.error = error_;
    flight.off_end = off_end_;
    flight.knots = std::move(knots_);
    return flight;
  }

  const Surface& surface_;
  TapeCell cell_;
  double length_;
  double tolerance_;
  State y_{};
  double step_ = 0.0;
  double u_scale_ = 1.0, v_scale_ = 1.0;
  std::optional<Border> just_;
  bool conjugate_ = false;
  double error_ = 0.0;
  double off_end_ = 0.0;
  std::vector<TapeKnot> knots_;
};

int IntervalOf(const std::vector<double>& breaks, double x) {
  const auto it = std::upper_bound(breaks.begin(), breaks.end(), x);
  const int i = static_cast<int>(it - breaks.begin()) - 1;
  return std::clamp(i, 0, static_cast<int>(breaks.size()) - 2);
}

}  // namespace

TapeCell CellOf(const Surface& surface, const SkinPlace& place) {
  TapeCell cell;
  double v = place.v;
  if (surface.v_closed()) {
    cell.turn = static_cast<int>(std::floor((v - surface.v_breaks().front()) / surface.v_period()));
    v -= cell.turn * surface.v_period();
  }
  cell.span = IntervalOf(surface.u_breaks(), place.u);
  cell.piece = IntervalOf(surface.v_breaks(), v);
  return cell;
}

SkinJet JetIn(const Surface& surface, const SkinPlace& place, const TapeCell& cell) {
  return surface.JetAt(place.u, place.v - cell.turn * surface.v_period(), cell.span, cell.piece);
}

SkinPoint PointIn(const Surface& surface, const SkinPlace& place, const TapeCell& cell) {
  return surface.At(place.u, place.v - cell.turn * surface.v_period(), cell.span, cell.piece);
}

TapeFlight Shoot(const Surface& surface, const TapeLaunch& launch, double length,
                 double tolerance) {
  return Flyer(surface, launch, length, tolerance).Run();
}

}  // namespace holeward
