#include "geometry/develop_patch.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/LU>

namespace holeward {
namespace {

// Cells narrower than this are folds, mm.
constexpr double kFoldWidth = 1e-6;

int CellOf(const std::vector<double>& breaks, double x) {
  const auto after = std::upper_bound(breaks.begin() + 1, breaks.end() - 1, x);
  return static_cast<int>(after - breaks.begin()) - 1;
}

double ToUnit(const std::vector<double>& breaks, int cell, double x) {
  const double lo = breaks[cell], hi = breaks[cell + 1];
  return (2.0 * x - lo - hi) / (hi - lo);
}

double FromUnit(const std::vector<double>& breaks, int cell, double xi) {
  return 0.5 * (breaks[cell] * (1.0 - xi) + breaks[cell + 1] * (1.0 + xi));
}

double NodeOf(const std::vector<double>& breaks, const SpectralBasis& basis, int node) {
  const int last = static_cast<int>(breaks.size()) - 2;
  const int cell = std::min(node / basis.order(), last);
  return FromUnit(breaks, cell, basis.nodes()(node - cell * basis.order()));
}

// The tangent plane's orthonormal frame is (du / |du|, n x du / |du|); columns are du and dv in it.
Eigen::Matrix2d FrameMatrix(const SkinPoint& p) {
  const double speed = p.du.norm();
  const Vec3 e1 = p.du / speed;
  const Vec3 e2 = p.normal.cross(e1);
  Eigen::Matrix2d m;
  m << speed, e1.dot(p.dv), 0.0, e2.dot(p.dv);
  return m;
}

Eigen::Matrix2d FlatMatrix(const FlatJet& f) {
  Eigen::Matrix2d m;
  m << f.du.x(), f.dv.x(), f.du.y(), f.dv.y();
  return m;
}

}  // namespace

StretchAt StretchOf(const SkinPoint& surface, const FlatJet& flat) {
  const Eigen::Matrix2d f = FlatMatrix(flat) * FrameMatrix(surface).inverse();
  // Singular values of a 2x2 matrix from its conformal and anticonformal parts.
  const double conformal = 0.5 * std::hypot(f(0, 0) + f(1, 1), f(1, 0) - f(0, 1));
  const double anti = 0.5 * std::hypot(f(0, 0) - f(1, 1), f(1, 0) + f(0, 1));
  return {std::abs(conformal - anti), conformal + anti, f.determinant()};
}

DevelopedPatch::DevelopedPatch(PatchSurface surface, int order)
    : surface_(std::move(surface)), basis_(std::make_shared<SpectralBasis>(order)) {
  flat_.setZero(2, u_nodes() * v_nodes());
}

double DevelopedPatch::NodeU(int i) const { return NodeOf(surface_.u_breaks, *basis_, i); }
double DevelopedPatch::NodeV(int j) const { return NodeOf(surface_.v_breaks, *basis_, j); }

FlatJet DevelopedPatch::At(double u, double v) const {
  const int p = basis_->order();
  const int cu = CellOf(surface_.u_breaks, u), cv = CellOf(surface_.v_breaks, v);
  const double xi = ToUnit(surface_.u_breaks, cu, u), eta = ToUnit(surface_.v_breaks, cv, v);
  const NodeVector bu = basis_->Values(xi), bv = basis_->Values(eta);
  const NodeVector su = basis_->Slopes(xi), sv = basis_->Slopes(eta);
  FlatJet out;
  for (int l = 0; l <= p; ++l) {
    const auto row = flat_.middleCols(Node(cu * p, cv * p + l), p + 1);
    const Vec2 value = row * bu;
    out.at += bv(l) * value;
    out.dv += sv(l) * value;
    out.du += bv(l) * (row * su);
  }
  out.du *= 2.0 / (surface_.u_breaks[cu + 1] - surface_.u_breaks[cu]);
  out.dv *= 2.0 / (surface_.v_breaks[cv + 1] - surface_.v_breaks[cv]);
  return out;
}

SkinPoint DevelopedPatch::SurfaceAt(double u, double v) const {
  return surface_.at(u, v, CellOf(surface_.u_breaks, u), CellOf(surface_.v_breaks, v));
}

std::optional<SkinPlace> DevelopedPatch::Inverse(const Vec2& flat, double slack) const {
  Eigen::Index nearest = 0;
  (flat_.colwise() - flat).colwise().squaredNorm().minCoeff(&nearest);
  SkinPlace p{NodeU(static_cast<int>(nearest) % u_nodes()),
              NodeV(static_cast<int>(nearest) / u_nodes())};
  double off = 0.0;
  for (int step = 0; step < 40; ++step) {
    const FlatJet jet = At(p);
    const Vec2 gap = flat - jet.at;
    const Vec2 move = FlatMatrix(jet).inverse() * gap;
    SkinPlace next{std::clamp(p.u + move.x(), u_from(), u_to()),
                   std::clamp(p.v + move.y(), v_from(), v_to())};
    const bool settled = std::hypot((next.u - p.u) * jet.du.norm(),
                                    (next.v - p.v) * jet.dv.norm()) < 1e-11 * (1.0 + flat.norm());
    p = next;
    off = gap.norm();
    if (settled) break;
  }
  if (!(off <= slack)) return std::nullopt;
  return p;
}

Vec2 DevelopedPatch::DirectionAt(const SkinPlace& p, const Vec3& direction_world) const {
  const SkinPoint s = SurfaceAt(p.u, p.v);
  const Vec3 e1 = s.du.normalized();
  const Vec2 laid(e1.dot(direction_world), s.normal.cross(e1).dot(direction_world));
  const Vec2 flat = FlatMatrix(At(p)) * FrameMatrix(s).inverse() * laid;
  return flat.norm() > 0.0 ? Vec2(flat.normalized() * laid.norm()) : flat;
}

StretchOfPatch DevelopedPatch::Measured() const {
  const int samples = basis_->order() + 3;
  StretchOfPatch out;
  double area = 0.0, square = 0.0;
  for (int c = 0; c < cell_count(); ++c) {
    const int cu = c % u_cells(), cv = c / u_cells();
    for (int k = 0; k < samples * samples; ++k) {
      const double xi = 2.0 * (k % samples) / (samples - 1) - 1.0;
      const double eta = 2.0 * (k / samples) / (samples - 1) - 1.0;
      // Just inside the cell, so that At() and the surface speak of the same cell.
      const double inside = 1.0 - 1e-9;
      const double u = FromUnit(surface_.u_breaks, cu, xi * inside);
      const double v = FromUnit(surface_.v_breaks, cv, eta * inside);
      const SkinPoint s = surface_.at(u, v, cu, cv);
      const StretchAt here = StretchOf(s, At(u, v));
      const double low = here.least - 1.0, high = here.greatest - 1.0;
      // A fold at a sharp corner has no width to be stretched, only rounding.
      const double width = s.dv.norm() * (surface_.v_breaks[cv + 1] - surface_.v_breaks[cv]);
      if (width > kFoldWidth) out.max = std::max({out.max, std::abs(low), std::abs(high)});
      out.least_area = std::min(out.least_area, here.area);
      const double d_area = s.du.cross(s.dv).norm() *
                            (surface_.u_breaks[cu + 1] - surface_.u_breaks[cu]) *
                            (surface_.v_breaks[cv + 1] - surface_.v_breaks[cv]) *
                            (std::abs(xi) == 1.0 ? 0.5 : 1.0) * (std::abs(eta) == 1.0 ? 0.5 : 1.0);
      area += d_area;
      square += 0.5 * d_area * (low * low + high * high);
    }
  }
  out.rms = area > 0.0 ? std::sqrt(square / area) : 0.0;
  return out;
}

std::optional<LengthPair> DevelopedPatch::StraightLengths(const SkinPlace& a,
                                                          const SkinPlace& b) const {
  static const GaussRule rule = GaussLegendre(8);
  const Vec2 from = At(a).at, step = At(b).at - from;
  const int parts = 6;
  double length = 0.0;
  for (int part = 0; part < parts; ++part) {
    for (int k = 0; k < rule.at.size(); ++k) {
      const double s = (part + 0.5 + 0.5 * rule.at(k)) / parts;
      const std::optional<SkinPlace> place = Inverse(from + s * step);
      if (!place) return std::nullopt;
      const Vec2 rate = FlatMatrix(At(*place)).inverse() * step;
      const SkinPoint p = SurfaceAt(place->u, place->v);
      length += 0.5 * rule.weight(k) / parts * (p.du * rate.x() + p.dv * rate.y()).norm();
    }
  }
  return LengthPair{step.norm(), length};
}

LengthPair DevelopedPatch::LengthsBetween(const SkinPlace& a, const SkinPlace& b) const {
  if (const std::optional<LengthPair> straight = StraightLengths(a, b)) return *straight;
  static const GaussRule rule = GaussLegendre(8);
  LengthPair out;
  const double du = b.u - a.u, dv = b.v - a.v;
  const int parts = 16;
  for (int part = 0; part < parts; ++part) {
    for (int k = 0; k < rule.at.size(); ++k) {
      const double s = (part + 0.5 + 0.5 * rule.at(k)) / parts;
      const double u = a.u + s * du, v = a.v + s * dv, weight = 0.5 * rule.weight(k) / parts;
      const SkinPoint p = SurfaceAt(u, v);
      const FlatJet f = At(u, v);
      out.surface += weight * (p.du * du + p.dv * dv).norm();
      out.flat += weight * (f.du * du + f.dv * dv).norm();
    }
  }
  return out;
}

DevelopedPatch DevelopedPatch::Moved(double angle_rad, const Vec2& shift) const {
  DevelopedPatch out = *this;
  out.flat_ = (Eigen::Rotation2Dd(angle_rad).toRotationMatrix() * flat_).colwise() + shift;
  return out;
}

}  // namespace holeward
