#include "geometry/tape_shoot.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include "geometry/tape_step.h"

namespace holeward {
namespace {

constexpr int kMaxSteps = 600;
constexpr double kLandedExactly = 1e-7;  // mm; a straight step this short errs by its square
constexpr double kShallow = 1e-6;        // mm; past a border this far both laws agree to 1e-12
constexpr double kRoughFrom = 1e-6;      // mm; coarser tolerances use the rule of order 5
constexpr double kLeastStep = 1e-6;      // mm

/// A border of a cell that a state stands at or beyond, or runs toward.
struct Border {
  TapeSlot slot = kU;  // kU or kV
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

  TapeFlight Run(const std::function<bool(const TapeKnot&, double)>& go_on) {
    Record();
    bool ok = true;
    for (int n = 0; ok && y_[kS] < length_ * (1.0 - 1e-15) - 1e-14; ++n) {
      ok = n < kMaxSteps && Advance();
      if (go_on && !go_on(knots_.back(), y_[kJ])) break;
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
  static double Beyond(const TapeState& y, const Border& b) {
    return b.upper ? y[b.slot] - b.value : b.value - y[b.slot];
  }
  static double RateOut(const TapeState& y, const Border& b) {
    const double rate = b.slot == kU ? y[kP] : y[kQ];
    return b.upper ? rate : -rate;
  }
  [[nodiscard]] double Scale(const Border& b) const { return b.slot == kU ? u_scale_ : v_scale_; }

  /// Length to the border by the second-order path; nothing if it is not reached.
  static std::optional<double> Reach(const TapeState& y, const TapeState& rate, const Border& b) {
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
    const TapeState rate = law.Rate(y_);
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

  [[nodiscard]] TapeState Step(const CellLaw& law, const TapeState& rate, double h, TapeSlot by,
                               TapeState* error) const {
    return tolerance_ > kRoughFrom ? law.Dormand(y_, rate, h, by, error)
                                   : law.Fehlberg(y_, rate, h, by, error);
  }
  [[nodiscard]] double SizeOf(const TapeState& error, double h) const {
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
  bool StepOnto(const CellLaw& law, const TapeState& rate, const Border& b,
                const std::array<Border, 4>& borders, double* h) {
    const double gap = b.value - y_[b.slot];
    const double v = RateOut(y_, b);
    const double a = b.slot == kU ? rate[kP] : rate[kQ];
    if (v <= 0 || v * v < 4 * std::abs(a * gap) || *h < kLeastStep) return false;
    TapeState error;
    TapeState y1 = Step(law, rate, gap, b.slot, &error);
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

  bool TakeStep(const CellLaw& law, const TapeState& rate, double h,
                const std::array<Border, 4>& borders) {
    for (int tries = 0; tries < 60; ++tries) {
      TapeState error;
      const TapeState y1 = Step(law, rate, h, kS, &error);
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
  Landing Land(const CellLaw& law, const TapeState& y1, const std::array<Border, 4>& borders) {
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

  Landing LandOn(const CellLaw& law, const TapeState& y1, const Border& b, double back) {
    const double delta = b.value - y1[b.slot];
    if (std::abs(back) < kLandedExactly) {
      y_ = Sum(y1, -back, law.Rate(y1));
    } else {
      const TapeState rate = law.Rate(y1);
      const double v = rate[b.slot];
      const double a = b.slot == kU ? rate[kP] : rate[kQ];
      if (v * v < 4 * std::abs(a * delta)) {  // it runs along the border
        return Beyond(y1, b) * Scale(b) > kShallow ? Landing::kRetry : Landing::kNone;
      }
      TapeState unused;
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
  TapeState y_{};
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

double NearestTurn(const Surface& surface, double v, double near) {
  if (!surface.v_closed()) return v;
  return v + surface.v_period() * std::round((near - v) / surface.v_period());
}

SkinJet JetIn(const Surface& surface, const SkinPlace& place, const TapeCell& cell) {
  return surface.JetAt(place.u, place.v - cell.turn * surface.v_period(), cell.span, cell.piece);
}

SkinPoint PointIn(const Surface& surface, const SkinPlace& place, const TapeCell& cell) {
  return surface.At(place.u, place.v - cell.turn * surface.v_period(), cell.span, cell.piece);
}

SkinPlace PlaceBetween(const TapeKnot& a, const TapeKnot& b, double t) {
  const double h = b.s - a.s;
  const double s = 1.0 - t;
  const double h00 = s * s * (1 + 2 * t);
  const double h01 = t * t * (1 + 2 * s);
  const double h10 = h * t * s * s;
  const double h11 = -h * t * t * s;
  return {h00 * a.u + h01 * b.u + h10 * a.u_rate + h11 * b.u_rate,
          h00 * a.v + h01 * b.v + h10 * a.v_rate + h11 * b.v_rate};
}

TapeFlight Shoot(const Surface& surface, const TapeLaunch& launch, double length, double tolerance,
                 const std::function<bool(const TapeKnot&, double)>& go_on) {
  return Flyer(surface, launch, length, tolerance).Run(go_on);
}

}  // namespace holeward
