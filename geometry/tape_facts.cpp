#include "geometry/tape_facts.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr int kSamples = 6;  // each way in a cell
constexpr double kCurvatureMargin = 1.25;
constexpr double kTotalMargin = 1.2;
constexpr double kLoopMargin = 0.9;
constexpr double kFlat = 1e-12;   // 1/mm²: rounding of a developable surface
constexpr double kCrease = 1e-6;  // radians

struct CellSample {
  double u0, u1, v0, v1;
  int span, piece;
};

/// Adds a cell's samples to the facts, row by row; returns the mean outline length of the cell.
double AddCell(const Surface& surface, const CellSample& c, SurfaceFacts* facts) {
  constexpr int kRows = SurfaceTable::kParts;
  const double du = (c.u1 - c.u0) / kRows;
  const double dv = (c.v1 - c.v0) / kSamples;
  double length = 0.0;
  for (int i = 0; i < kRows; ++i) {
    const std::size_t row = static_cast<std::size_t>(c.span * kRows + i);
    for (int k = 0; k < kSamples; ++k) {
      const SkinJet x =
          surface.JetAt(c.u0 + (i + 0.5) * du, c.v0 + (k + 0.5) * dv, c.span, c.piece);
      const double det = x.du.cross(x.dv).squaredNorm();
      const double m = x.duv.dot(x.normal);
      const double gauss = (x.duu.dot(x.normal) * x.dvv.dot(x.normal) - m * m) / det;
      if (gauss > kFlat) {
        double& greatest = facts->curvature_max[row];
        greatest = std::max(greatest, kCurvatureMargin * gauss);
        facts->curvature_total[row] += kTotalMargin * gauss * std::sqrt(det) * du * dv;
      }
      length += x.dv.norm() * dv / kRows;
    }
  }
  return length;
}

bool Creased(const Surface& surface) {
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  const int pieces = surface.piece_count();
  for (int i = 0; i < surface.span_count(); ++i) {
    for (int k = 0; k < pieces; ++k) {
      const double v = 0.5 * (vs[k] + vs[k + 1]);
      const double u = 0.5 * (us[i] + us[i + 1]);
      if (i > 0) {
        const Vec3 a = surface.At(us[i], v, i - 1, k).normal;
        if (a.cross(surface.At(us[i], v, i, k).normal).norm() > kCrease) return true;
      }
      if (k == 0 && !surface.v_closed()) continue;
      const int before = (k + pieces - 1) % pieces;
      const Vec3 a = surface.At(u, vs[before + 1], i, before).normal;
      if (a.cross(surface.At(u, vs[k], i, k).normal).norm() > kCrease) return true;
    }
  }
  return false;
}

/// Least distance of the outlines from the line through their middles.
double InnerRadius(const Surface& surface) {
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  double least = 1e300;
  for (int i = 0; i < surface.span_count(); ++i) {
    for (int n = 0; n <= kSamples; ++n) {
      const double u = us[i] + (us[i + 1] - us[i]) * n / kSamples;
      std::vector<Vec3> outline;
      Vec3 middle = Vec3::Zero();
      double weight = 0.0;
      for (int k = 0; k < surface.piece_count(); ++k) {
        for (int m = 0; m < kSamples; ++m) {
          const double v = vs[k] + (vs[k + 1] - vs[k]) * (m + 0.5) / kSamples;
          const SkinPoint x = surface.At(u, v, i, k);
          const double w = x.dv.norm() * (vs[k + 1] - vs[k]);
          outline.push_back(x.position);
          middle += w * x.position;
          weight += w;
        }
      }
      middle /= weight;
      for (const Vec3& x : outline) least = std::min(least, (x - middle).norm());
    }
  }
  return least;
}

/// Sum over the table's rows of the least distance across a row: |x_u| square to the outline.
std::vector<double> Advance(const Surface& surface, const std::vector<double>& lines) {
  std::vector<double> sum = {0.0};
  for (std::size_t i = 0; i + 1 < lines.size(); ++i) {
    const int span = static_cast<int>(i) / SurfaceTable::kParts;
    double least = 1e300;
    for (int k = 0; k < surface.piece_count(); ++k) {
      for (int n = 0; n <= 2; ++n) {
        const double a = surface.v_breaks()[k], b = surface.v_breaks()[k + 1];
        const SkinPoint x =
            surface.At(0.5 * (lines[i] + lines[i + 1]), a + 0.5 * n * (b - a), span, k);
        least = std::min(least, x.du.cross(x.dv).norm() / x.dv.norm());
      }
    }
    sum.push_back(sum.back() + kLoopMargin * least * (lines[i + 1] - lines[i]));
  }
  return sum;
}

std::vector<double> Divided(const std::vector<double>& breaks, int parts) {
  std::vector<double> lines;
  for (std::size_t i = 0; i + 1 < breaks.size(); ++i) {
    for (int n = 0; n < parts; ++n) {
      lines.push_back(breaks[i] + (breaks[i + 1] - breaks[i]) * n / parts);
    }
  }
  lines.push_back(breaks.back());
  return lines;
}

int LineBefore(const std::vector<double>& lines, double x) {
  const auto it = std::upper_bound(lines.begin() + 1, lines.end() - 1, x);
  return static_cast<int>(it - lines.begin()) - 1;
}

}  // namespace

SurfaceTable SurfaceTable::Of(const Surface& surface) {
  SurfaceTable table;
  table.u_ = Divided(surface.u_breaks(), kParts);
  table.v_ = Divided(surface.v_breaks(), kParts);
  table.closed_ = surface.v_closed();
  for (std::size_t i = 0; i < table.u_.size(); ++i) {
    const int span = std::min(static_cast<int>(i) / kParts, surface.span_count() - 1);
    for (std::size_t k = 0; k < table.v_.size(); ++k) {
      const int piece = std::min(static_cast<int>(k) / kParts, surface.piece_count() - 1);
      table.x_.push_back(surface.At(table.u_[i], table.v_[k], span, piece).position);
    }
  }
  return table;
}

SurfaceTable::Place SurfaceTable::At(const SkinPlace& place) const {
  double v = place.v;
  if (closed_) {
    const double period = v_.back() - v_.front();
    v -= period * std::floor((v - v_.front()) / period);
  }
  const int i = LineBefore(u_, place.u);
  const int k = LineBefore(v_, v);
  const double hu = u_[i + 1] - u_[i];
  const double hv = v_[k + 1] - v_[k];
  const double s = (place.u - u_[i]) / hu;
  const double t = (v - v_[k]) / hv;
  const Vec3& a = x_[Index(i, k)];
  const Vec3& b = x_[Index(i, k + 1)];
  const Vec3& c = x_[Index(i + 1, k)];
  const Vec3& d = x_[Index(i + 1, k + 1)];
  const Vec3 near = (1 - t) * a + t * b;
  const Vec3 far = (1 - t) * c + t * d;
  return {(1 - s) * near + s * far, (far - near) / hu, ((1 - s) * (b - a) + s * (d - c)) / hv};
}

SurfaceFacts SurfaceFacts::Of(const Surface& surface) {
  SurfaceFacts facts;
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  const auto rows = static_cast<std::size_t>(surface.span_count() * SurfaceTable::kParts);
  facts.curvature_max.assign(rows, 0.0);
  facts.curvature_total.assign(rows, 0.0);
  facts.girth.push_back(0.0);
  for (int k = 0; k < surface.piece_count(); ++k) {
    double length = 0.0;
    for (int i = 0; i < surface.span_count(); ++i) {
      length += AddCell(surface, {us[i], us[i + 1], vs[k], vs[k + 1], i, k}, &facts);
    }
    facts.girth.push_back(facts.girth.back() + length / surface.span_count());
  }
  facts.creased = Creased(surface);
  facts.table = SurfaceTable::Of(surface);
  facts.advance = Advance(surface, facts.table.u_lines());
  if (surface.v_closed()) facts.least_loop = kLoopMargin * 2.0 * kPi * InnerRadius(surface);
  return facts;
}

double SurfaceFacts::AdvanceTo(double u) const {
  const auto& lines = table.u_lines();
  const int i = LineBefore(lines, u);
  const double t = std::clamp((u - lines[i]) / (lines[i + 1] - lines[i]), 0.0, 1.0);
  return advance[i] + t * (advance[i + 1] - advance[i]);
}

double SurfaceFacts::LeastAdvance(double u_from, double u_to) const {
  return std::abs(AdvanceTo(u_to) - AdvanceTo(u_from));
}

double SurfaceFacts::LeastHelix(double u_from, double u_to) const {
  return std::hypot(least_loop, LeastAdvance(u_from, u_to));
}

SurfaceFacts::Curvature SurfaceFacts::Within(const TapeReach& reach) const {
  const double b = AdvanceTo(reach.u_to);
  const double a = reach.from_line ? b : AdvanceTo(reach.u_from);
  const double detour =
      reach.from_line ? reach.longest : std::max(0.5 * (reach.longest - std::abs(b - a)), 0.0);
  const double low = std::min(a, b) - detour;
  const double high = std::max(a, b) + detour;
  Curvature within;
  for (std::size_t row = 0; row < curvature_max.size(); ++row) {
    if (advance[row + 1] < low || advance[row] > high) continue;
    within.greatest = std::max(within.greatest, curvature_max[row]);
    within.total += curvature_total[row];
  }
  if (least_loop > 0) within.total *= std::max(1.0, reach.longest / least_loop);
  return within;
}

bool SurfaceFacts::PathIsUnique(const TapeReach& reach) const {
  if (creased) return false;
  const Curvature k = Within(reach);
  return k.greatest <= 0.0 || (k.total < kPi && reach.length * std::sqrt(k.greatest) < kPi);
}

bool SurfaceFacts::FootIsUnique(const TapeReach& reach, double bend, double total_bend) const {
  if (creased) return false;
  const Curvature k = Within(reach);
  const double turns = least_loop > 0 ? std::max(1.0, reach.longest / least_loop) : 1.0;
  if (k.total + turns * total_bend >= kPi) return false;
  const double root = std::sqrt(k.greatest);
  if (bend <= kFlat) return reach.length * root < 0.5 * kPi;
  const double focal = root > 0 ? std::atan(root / bend) / root : 1.0 / bend;
  return reach.length < focal;
}

bool SurfaceFacts::OtherWayRoundIsLonger(double length, int turns) const {
  return 2.0 * length < turns * least_loop;
}

}  // namespace holeward
