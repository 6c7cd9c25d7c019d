// The strips of a hollow part: rows of poles by Hermite interpolation along it, and their measure.
#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <span>
#include <utility>

#include <Eigen/LU>

#include "geometry/solid_law.h"

namespace holeward {
namespace {

using Row = std::vector<Eigen::Vector4d>;
using RowAt = std::function<Row(double u, int span)>;

// Step of the central difference along the part, mm: third derivatives of a skin are below 1e-4
// per mm², so it errs by less than 1e-10, and rounding by as little.
constexpr double kStep = 1e-3;

Eigen::Vector4d Weighted(const Vec3& p, double w) {
  Eigen::Vector4d h;
  h << w * p, w;
  return h;
}

// Poles of the rational quadratic through three places at 0, 1/2 and 1.
Row ArcRow(const Vec3& p0, const Vec3& middle, const Vec3& p2, double w) {
  Eigen::Vector4d pole;
  pole << middle * (1.0 + w) - 0.5 * (p0 + p2), w;
  return {Weighted(p0, 1.0), pole, Weighted(p2, 1.0)};
}

// Values of the Bernstein polynomials of a degree at even steps of [0, 1], one row a step.
Eigen::MatrixXd BernsteinAtSteps(int degree) {
  Eigen::MatrixXd m(degree + 1, degree + 1);
  for (int k = 0; k <= degree; ++k) {
    const double t = static_cast<double>(k) / degree;
    double binomial = 1.0;
    for (int i = 0; i <= degree; ++i) {
      m(k, i) = binomial * std::pow(t, i) * std::pow(1.0 - t, degree - i);
      binomial *= static_cast<double>(degree - i) / (i + 1);
    }
  }
  return m;
}

// The weights (1, w, 1) of an arc raised to a degree of 2 or 4; all 1 for any other.
std::vector<double> ArcWeights(int degree, double w) {
  if (degree == 2) return {1.0, w, 1.0};
  if (degree == 4) return {1.0, 0.5 + 0.5 * w, (1.0 + 2.0 * w) / 3.0, 0.5 + 0.5 * w, 1.0};
  return std::vector<double>(static_cast<std::size_t>(degree) + 1, 1.0);
}

// Where on an arc of this weight (as a fraction of its angle) the rational form is at t: the half
// angle's tangent from the middle is linear in t.
double AngleShare(double t, double w) {
  const double turn = 2.0 * std::acos(std::clamp(w, 0.0, 1.0));
  if (turn < 1e-6) return t;
  return 0.5 + 2.0 * std::atan(std::tan(0.25 * turn) * (2.0 * t - 1.0)) / turn;
}

// Poles of the curve with these weights through places at even steps.
Row ThroughPlaces(const std::vector<Vec3>& q, const std::vector<double>& weights,
                  const Eigen::MatrixXd& bernstein, const Eigen::MatrixXd& inverse) {
  const auto n = static_cast<Eigen::Index>(q.size());
  Eigen::MatrixXd numerator(n, 3);
  const Eigen::VectorXd w = Eigen::Map<const Eigen::VectorXd>(weights.data(), n);
  const Eigen::VectorXd denominator = bernstein * w;
  for (Eigen::Index k = 0; k < n; ++k) {
    numerator.row(k) = denominator[k] * q[static_cast<std::size_t>(k)].transpose();
  }
  const Eigen::MatrixXd poles = inverse * numerator;
  Row row(q.size());
  for (Eigen::Index k = 0; k < n; ++k) {
    row[static_cast<std::size_t>(k)] << poles.row(k).transpose(), w[k];
  }
  // The ends exactly, so that neighbours share them to the last bit.
  row.front().head<3>() = q.front();
  row.back().head<3>() = q.back();
  return row;
}

Row Slope(const RowAt& row_at, double u, int span) {
  Row before = row_at(u - kStep, span);
  const Row after = row_at(u + kStep, span);
  for (std::size_t i = 0; i < before.size(); ++i) {
    before[i] = (after[i] - before[i]) / (2.0 * kStep);
  }
  return before;
}

// The rows of a strip; `spans` gives the spans before and after a node.
void FillRows(Strip& strip, const RowAt& row_at,
              const std::function<std::pair<int, int>(double)>& spans) {
  const auto& nodes = strip.nodes;
  for (std::size_t j = 0; j < nodes.size(); ++j) {
    auto [before, after] = spans(nodes[j]);
    const bool first = j == 0;
    const bool last = j + 1 == nodes.size();
    const Row at = row_at(nodes[j], first ? after : before);
    if (strip.degree_along == 1) {
      strip.rows.push_back(at);
      continue;
    }
    Row slope = Slope(row_at, nodes[j], first ? after : before);
    if (!first && !last && before != after) {
      // Both sides agree but for the offset's speed along itself; their mean keeps one tangent.
      const Row other = Slope(row_at, nodes[j], after);
      for (std::size_t i = 0; i < slope.size(); ++i) slope[i] = 0.5 * (slope[i] + other[i]);
    }
    auto moved = [&](double by) {
      Row r = at;
      for (std::size_t i = 0; i < r.size(); ++i) r[i] += by * slope[i];
      return r;
    };
    strip.rows.push_back(first ? at : moved((nodes[j - 1] - nodes[j]) / 3.0));
    strip.rows.push_back(last ? at : moved((nodes[j + 1] - nodes[j]) / 3.0));
  }
}

/// The place at t; the poles are used up.
Eigen::Vector4d DeCasteljau(std::span<Eigen::Vector4d> poles, double t) {
  for (std::size_t n = poles.size(); n > 1; --n) {
    for (std::size_t i = 0; i + 1 < n; ++i) {
      poles[i] = (1.0 - t) * poles[i] + t * poles[i + 1];
    }
  }
  return poles.front();
}

// Where all poles lie evenly on the chord, one straight span says the same.
bool RowsStraight(const Strip& strip) {
  return std::all_of(strip.rows.begin(), strip.rows.end(), [](const Row& r) {
    const double n = static_cast<double>(r.size()) - 1.0;
    for (std::size_t i = 1; i + 1 < r.size(); ++i) {
      const double t = static_cast<double>(i) / n;
      if ((r[i] - (1.0 - t) * r.front() - t * r.back()).norm() > 1e-8) return false;
    }
    return true;
  });
}

// Straight rows of two poles as rows of as many as a neighbour has.
void RaiseRows(Strip& strip, std::size_t poles) {
  for (Row& row : strip.rows) {
    Row raised;
    for (std::size_t i = 0; i < poles; ++i) {
      const double t = static_cast<double>(i) / (static_cast<double>(poles) - 1.0);
      raised.push_back((1.0 - t) * row.front() + t * row.back());
    }
    row = std::move(raised);
  }
}

}  // namespace

Vec3 Strip::At(int interval, double along, double around) const {
  const auto i = static_cast<std::size_t>(interval);
  std::vector<Eigen::Vector4d> across;
  across.reserve(rows.front().size());
  for (std::size_t k = 0; k < rows.front().size(); ++k) {
    if (degree_along == 1) {
      across.push_back((1.0 - along) * rows[i][k] + along * rows[i + 1][k]);
      continue;
    }
    auto node = [&](std::size_t j) -> Eigen::Vector4d {
      if (j == 0) return rows.front()[k];
      if (j + 1 == nodes.size()) return rows.back()[k];
      const double x = (nodes[j] - nodes[j - 1]) / (nodes[j + 1] - nodes[j - 1]);
      return (1.0 - x) * rows[2 * j][k] + x * rows[2 * j + 1][k];
    };
    std::array<Eigen::Vector4d, 4> cubic = {node(i), rows[2 * i + 1][k], rows[2 * i + 2][k],
                                            node(i + 1)};
    across.push_back(DeCasteljau(cubic, along));
  }
  const Eigen::Vector4d h = DeCasteljau(across, around);
  return h.head<3>() / h[3];
}

std::vector<double> HollowLaw::Nodes(int segment, int intervals, const Range* range) const {
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  const double from = range ? range->from : skin_->span_start(s.first_span);
  const double to = range ? range->to : skin_->span_start(s.last_span + 1);
  if (range ? s.inner_linear : s.outer_linear) {
    return {from, to};
  }
  std::vector<double> nodes{from};
  double step = 0.0;
  for (int span = s.first_span; span <= s.last_span; ++span) {
    const double start = skin_->span_start(span);
    const double length = skin_->span_start(span + 1) - start;
    const int n = std::max(2, static_cast<int>(std::lround(intervals * length / skin_->u_end())));
    step = length / n;
    for (int i = span == s.first_span ? 1 : 0; i < n; ++i) {
      const double u = start + step * i;
      if (u > from + 0.3 * step && u < to - 0.3 * step) nodes.push_back(u);
    }
  }
  nodes.push_back(to);
  return nodes;
}

Strip HollowLaw::OuterStrip(int segment, int piece, int intervals) const {
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  Strip strip;
  strip.piece = piece;
  strip.segment = segment;
  strip.degree_along = s.outer_linear ? 1 : 3;
  strip.nodes = Nodes(segment, intervals, nullptr);
  const bool flat = skin_->KindOf(piece) == PieceKind::flat;
  const RowAt row_at = [&](double u, int span) -> Row {
    auto at = [&](double t) { return skin_->At(u, piece + t, span, piece).position; };
    if (flat) return {Weighted(at(0.0), 1.0), Weighted(at(1.0), 1.0)};
    return ArcRow(at(0.0), at(0.5), at(1.0), Weight(piece, u));
  };
  FillRows(strip, row_at, [&](double u) {
    return std::pair{SpanIn(s, u - 1e-7), SpanIn(s, u + 1e-7)};
  });
  return strip;
}

Strip HollowLaw::InnerStrip(int segment, int piece, const Fineness& fineness) const {
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  const Range range = InnerRange(segment);
  Strip strip;
  strip.piece = piece;
  strip.inner = true;
  strip.segment = segment;
  strip.degree_along = s.inner_linear ? 1 : 3;
  strip.nodes = Nodes(segment, fineness.intervals, &range);
  const bool flat = skin_->KindOf(piece) == PieceKind::flat;
  const int degree = (flat ? 3 : 2) + (fineness.raised ? 2 : 0);
  const Eigen::MatrixXd bernstein = BernsteinAtSteps(degree);
  const Eigen::MatrixXd inverse = bernstein.inverse();
  const double middle_weight = flat ? 1.0 : Weight(piece, 0.5 * (range.from + range.to));
  std::vector<Column> columns;
  for (int i = 0; i <= degree; ++i) {
    const double t = static_cast<double>(i) / degree;
    columns.push_back(MakeColumn(segment, range, piece, flat ? t : AngleShare(t, middle_weight)));
  }
  const RowAt row_at = [&](double u, int span) -> Row {
    std::vector<Vec3> places;
    for (const Column& column : columns) places.push_back(InnerAt(column, range, u, span));
    return ThroughPlaces(places, ArcWeights(degree, flat ? 1.0 : Weight(piece, u)), bernstein,
                         inverse);
  };
  FillRows(strip, row_at, [&](double u) {
    return std::pair{SpanIn(s, u - 1e-7), SpanIn(s, u + 1e-7)};
  });
  if (flat && RowsStraight(strip)) {
    for (Row& row : strip.rows) row = {row.front(), row.back()};
  }
  return strip;
}

// At a mitre the inner skins of both legs end in its plane; where sizes change there they miss each
// other by a little, and meet half way.
void HollowLaw::JoinMitres(std::vector<Strip>& inner) const {
  for (Strip& a : inner) {
    for (const Strip& b : inner) {
      if (b.piece == a.piece && b.rows.front().size() > a.rows.front().size()) {
        RaiseRows(a, b.rows.front().size());
      }
    }
  }
  for (Strip& a : inner) {
    for (Strip& b : inner) {
      if (b.piece != a.piece || b.segment != a.segment + 1) continue;
      for (std::size_t i = 0; i < a.rows.back().size(); ++i) {
        const Eigen::Vector4d mean = 0.5 * (a.rows.back()[i] + b.rows.front()[i]);
        a.rows.back()[i] = mean;
        b.rows.front()[i] = mean;
      }
    }
  }
}

Result<HollowStrips> HollowLaw::Strips(const Fineness& fineness) const {
  HollowStrips strips;
  strips.segments = static_cast<int>(segments_.size());
  for (int segment = 0; segment < strips.segments; ++segment) {
    for (int piece = 0; piece < skin_->piece_count(); ++piece) {
      if (Present(piece, false))
        strips.outer.push_back(OuterStrip(segment, piece, fineness.intervals));
      if (Present(piece, true)) strips.inner.push_back(InnerStrip(segment, piece, fineness));
    }
  }
  JoinMitres(strips.inner);
  for (const auto* side : {&strips.outer, &strips.inner}) {
    for (const Strip& strip : *side) {
      for (const Row& row : strip.rows) {
        if (!std::all_of(row.begin(), row.end(), [](const auto& p) { return p.allFinite(); })) {
          return Fail(ErrorKind::computed, "the inner skin cannot be found at these sizes");
        }
      }
    }
  }
  Measure(strips);
  return strips;
}

// Distance of a place inside the skin from it, by Gauss-Newton from a near guess.
double HollowLaw::SignedDistance(const Vec3& p_world, FlatPlace guess, int span, int piece) const {
  double distance = 0.0;
  for (int step = 0; step < 4; ++step) {
    const SkinPoint s = skin_->At(guess.u, guess.v, span, piece);
    const Vec3 r = p_world - s.position;
    distance = -r.dot(s.normal);
    Eigen::Matrix2d metric;
    metric << s.du.dot(s.du), s.du.dot(s.dv), s.du.dot(s.dv), s.dv.dot(s.dv);
    const Vec2 move = metric.inverse() * Vec2(r.dot(s.du), r.dot(s.dv));
    if (std::abs(move.x()) + std::abs(move.y()) * s.dv.norm() < 1e-4) break;
    guess.u += move.x();
    guess.v += move.y();
  }
  return distance;
}

void HollowLaw::Measure(HollowStrips& strips) const {
  strips.wall_least = 1e300;
  strips.wall_greatest = -1e300;
  auto sample = [&](const Strip& strip) {
    const Segment& segment = segments_[static_cast<std::size_t>(strip.segment)];
    for (int i = 0; i + 1 < static_cast<int>(strip.nodes.size()); ++i) {
      for (const double along : {0.08, 0.3, 0.5, 0.7, 0.92}) {
        for (const double around : {0.04, 0.3, 0.6, 0.9}) {
          const double u = (1.0 - along) * strip.nodes[static_cast<std::size_t>(i)] +
                           along * strip.nodes[static_cast<std::size_t>(i) + 1];
          const double d = SignedDistance(strip.At(i, along, around), {u, strip.piece + around},
                                          SpanIn(segment, u), strip.piece);
          if (strip.inner) {
            strips.wall_least = std::min(strips.wall_least, d);
            strips.wall_greatest = std::max(strips.wall_greatest, d);
          } else {
            strips.outer_deviation = std::max(strips.outer_deviation, std::abs(d));
          }
        }
      }
    }
  };
  for (const Strip& strip : strips.outer) sample(strip);
  for (const Strip& strip : strips.inner) sample(strip);
}

}  // namespace holeward
