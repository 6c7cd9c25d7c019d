#include "geometry/zone.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include <Eigen/Dense>

namespace holeward {
namespace {

using Mat2 = Eigen::Matrix2d;
using Mat32 = Eigen::Matrix<double, 3, 2>;

// Places between the samples may change J a little more than the samples do.
constexpr double kBetweenSamples = 1.2;
// The ring of samples lies this far beyond the zone.
constexpr double kRing = 1.25;
// A zone on which J changes by more than this share is not bounded.
constexpr double kMostChange = 0.6;
constexpr double kLittleChange = 0.03;

double Norm(const Mat2& m) { return Eigen::JacobiSVD<Mat2>(m).singularValues()(0); }

// A chart of the skin about a place: first coordinate along the part, second the length round the
// section from the line v = v0; both in mm at the place.
class Chart {
 public:
  Chart(const Skin& skin, const SkinPlace& base) : skin_(skin), base_(base) {
    speed_ = skin.At(base).du.norm();
  }

  struct Place {
    SkinPlace place;
    bool on_part = true;
  };
  [[nodiscard]] Place At(const Vec2& y) const {
    Place p;
    p.place.u = base_.u + y.x() / speed_;
    p.place.v = y.y() == 0.0 ? base_.v : WalkAround(skin_, p.place.u, base_.v, y.y());
    p.on_part = p.place.u >= 0.0 && p.place.u <= skin_.u_end();
    if (!skin_.closed())
      p.on_part = p.on_part && p.place.v >= 0.0 && p.place.v <= skin_.piece_count();
    if (skin_.closed()) p.place.v = skin_.Wrapped(p.place.v);
    return p;
  }
  // Columns: the derivatives of position by the two coordinates.
  [[nodiscard]] Mat32 Derivative(const SkinPlace& place, double girth) const {
    constexpr double kStep = 1e-3;
    const SkinPoint at = skin_.At(place);
    const double v_u = girth == 0.0 ? 0.0
                                    : (WalkAround(skin_, place.u + kStep, base_.v, girth) -
                                       WalkAround(skin_, place.u - kStep, base_.v, girth)) /
                                          (2.0 * kStep);
    Mat32 d;
    d.col(0) = (at.du + v_u * at.dv) / speed_;
    d.col(1) = at.dv / std::max(at.dv.norm(), 1e-12);
    return d;
  }

 private:
  const Skin& skin_;
  SkinPlace base_;
  double speed_ = 1.0;
};

Mat2 Jacobian(const std::array<Sample, 2>& s, const Mat32& chart) {
  Mat2 j;
  j.row(0) = s[0].gradient.transpose() * chart;
  j.row(1) = s[1].gradient.transpose() * chart;
  return j;
}

// The points of the box of half-widths: its four corners, then the middles of its sides.
std::array<Vec2, 8> BoxPoints(const Rule& rule) {
  const HalfWidth& a = rule.measures[0].half_width;
  const HalfWidth& b = rule.measures[1].half_width;
  return {Vec2(a.plus, b.plus),     Vec2(a.plus, -b.minus), Vec2(-a.minus, b.plus),
          Vec2(-a.minus, -b.minus), Vec2(a.plus, 0.0),      Vec2(-a.minus, 0.0),
          Vec2(0.0, b.plus),        Vec2(0.0, -b.minus)};
}

struct Sampler {
  const Placer& placer;
  const Rule& rule;
  const Solution& at;
  Chart chart;
  Mat2 inverse;  // J0⁻¹
  Mat2 root;     // lengths of chart vectors y are |root y|
  Mat2 root_inverse;
  double change = 0.0;   // greatest |J0⁻¹ J − I|
  double stretch = 1.0;  // greatest length of skin for a length on the chart
  bool failed = false;

  // Readings and their change at a chart place; nothing if it lies beyond the part.
  std::optional<Vec2> Take(const Vec2& y) {
    const auto p = chart.At(y);
    if (!p.on_part) return std::nullopt;
    std::array<Sample, 2> s;
    for (std::size_t i = 0; i < 2; ++i) {
      auto read = placer.reader().Read(rule.measures[i], p.place, &at.samples[i]);
      if (!read) {
        failed = true;
        return std::nullopt;
      }
      s[i] = std::move(*read);
    }
    const Mat32 d = chart.Derivative(p.place, y.y());
    const Mat2 off = inverse * Jacobian(s, d) - Mat2::Identity();
    change = std::max(change, Norm(root * off * root_inverse));
    const Mat2 metric = root_inverse.transpose() * (d.transpose() * d) * root_inverse;
    stretch = std::max(stretch, std::sqrt(Norm(metric)));
    return Vec2(s[0].residual, s[1].residual);
  }
};

// How much the measure's residual moves, at most, for a mm its datum point moves.
double GainOf(const Skin& skin, const Measure& m, const Solution& at) {
  if (m.form != Measure::Form::across) return 1.0;
  const double u = m.origin.place.u;
  if (skin.round()) return skin.RadiusAt(at.place.u) / skin.RadiusAt(u);
  if (m.origin.line.flat < 0) return 1.0;
  return FlatWidth(skin, at.place.u, m.origin.line.flat) / FlatWidth(skin, u, m.origin.line.flat);
}

// How far the point moves for each mm that the points of either measure are off.
std::array<double, 2> DatumGains(const Sampler& s, double change) {
  const Measure& a = s.rule.measures[0];
  const Measure& b = s.rule.measures[1];
  const double gain_a = GainOf(s.placer.skin(), a, s.at);
  const double gain_b = GainOf(s.placer.skin(), b, s.at);
  // Both from one point: the point goes with it, whatever the readings are.
  if (!a.datum_point.empty() && a.datum_point == b.datum_point) {
    return {std::max({1.0, gain_a, gain_b}), 0.0};
  }
  return {(s.root * s.inverse.col(0)).norm() * gain_a / (1.0 - change),
          (s.root * s.inverse.col(1)).norm() * gain_b / (1.0 - change)};
}

void FillEllipse(Zone& zone, const Sampler& s, const Mat32& base, double punch) {
  Mat2 widths = Mat2::Zero();
  widths(0, 0) = s.rule.measures[0].half_width.Greatest();
  widths(1, 1) = s.rule.measures[1].half_width.Greatest();
  const Mat32 shift = base * s.inverse * widths;
  const Eigen::JacobiSVD<Eigen::MatrixXd> svd(shift, Eigen::ComputeThinU);
  zone.major = std::numbers::sqrt2 * svd.singularValues()(0) + punch;
  zone.minor = std::numbers::sqrt2 * svd.singularValues()(1) + punch;
  zone.direction = svd.matrixU().col(0);
  const Mat32 per_unit = base * s.inverse;
  for (std::size_t i = 0; i < 2; ++i) {
    zone.makeup.per_unit[i] = per_unit.col(static_cast<Eigen::Index>(i));
    zone.makeup.readings[i] = s.rule.measures[i].half_width;
  }
}

// Greatest length of J0⁻¹ over the box, then of the exact solutions at its corners and mid-sides,
// which also sample J; nothing if a corner cannot be solved.
double Linear(Sampler& s, const std::array<Vec2, 8>& box) {
  double longest = 0.0;
  for (const Vec2& delta : box) longest = std::max(longest, (s.root * s.inverse * delta).norm());
  return longest;
}

double Solved(Sampler& s, const std::array<Vec2, 8>& box) {
  double longest = 0.0;
  for (const Vec2& delta : box) {
    const Vec2 y = s.inverse * delta;
    const auto reading = s.Take(y);
    if (!reading) continue;
    // One chord step from the linear guess; what it leaves shrinks by the change of J once more.
    const Vec2 step = s.inverse * (*reading - delta);
    longest = std::max(longest, (s.root * (y - step)).norm() + s.change * (s.root * step).norm());
  }
  return longest;
}

}  // namespace

Zone ZoneOf(const Placer& placer, const Rule& rule, const Solution& at,
            const ZoneWidening& widening) {
  Zone zone;
  Chart chart(placer.skin(), at.place);
  const Mat32 base = chart.Derivative(at.place, 0.0);
  const Mat2 j0 = Jacobian(at.samples, base);
  const double scale = j0.row(0).norm() * j0.row(1).norm();
  if (!(std::abs(j0.determinant()) > 1e-6 * scale)) return zone;
  const Mat2 root = (base.transpose() * base).llt().matrixU();
  Sampler s{placer, rule, at, chart, j0.inverse(), root, root.inverse()};
  FillEllipse(zone, s, base, widening.punch);

  const auto box = BoxPoints(rule);
  const double linear = Linear(s, box);
  const double solved = Solved(s, box);
  double ring = kRing * linear;
  // Comes to an end: each round widens the ring by kRing at least, and none needs to be wider than
  // kRing / (1 - kMostChange) times the box.
  for (;;) {
    // Where the box itself shows next to no change, half the ring is enough.
    const int places = s.change < kLittleChange ? 4 : 8;
    for (int k = 0; k < places; ++k) {
      const double angle = 2.0 * kPi * k / places;
      s.Take(root.inverse() * Vec2(ring * std::cos(angle), ring * std::sin(angle)));
    }
    const double change = kBetweenSamples * s.change;
    if (s.failed || change > kMostChange) return zone;
    if (linear / (1.0 - change) <= ring) break;
    ring = kRing * linear / (1.0 - change);
  }
  const double change = kBetweenSamples * s.change;
  const std::optional<double>& spread_a = rule.measures[0].datum_spread;
  const std::optional<double>& spread_b = rule.measures[1].datum_spread;
  if (!spread_a || !spread_b) return zone;
  std::array<double, 2> gains = DatumGains(s, change);
  for (double& gain : gains) gain *= s.stretch;
  const double own = std::max(linear / (1.0 - change), solved) * s.stretch;
  const double datums = gains[0] * *spread_a + gains[1] * *spread_b;
  zone.radius = own + datums + widening.punch + widening.sheet;
  zone.bounded = true;
  zone.makeup.readings_radius = own;
  zone.makeup.datum = datums;
  zone.makeup.datum_gain = gains;
  zone.makeup.punch = widening.punch;
  zone.makeup.sheet = widening.sheet;
  return zone;
}

}  // namespace holeward
