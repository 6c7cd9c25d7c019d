#include "geometry/tape_facts.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

constexpr int kSamples = 6;  // each way in a cell
constexpr double kCurvatureMargin = 1.5;
constexpr double kTotalMargin = 1.2;
constexpr double kLoopMargin = 0.9;
constexpr double kFlat = 1e-12;   // 1/mm²: rounding of a developable surface
constexpr double kCrease = 1e-6;  // radians

struct CellSample {
  double u0, u1, v0, v1;
  int span, piece;
};

void AddCell(const Surface& surface, const CellSample& c, SurfaceFacts* facts,
             double* area_length) {
  const double du = (c.u1 - c.u0) / kSamples;
  const double dv = (c.v1 - c.v0) / kSamples;
  double length = 0.0;
  for (int i = 0; i < kSamples; ++i) {
    for (int k = 0; k < kSamples; ++k) {
      const SkinJet x =
          surface.JetAt(c.u0 + (i + 0.5) * du, c.v0 + (k + 0.5) * dv, c.span, c.piece);
      const double det = x.du.cross(x.dv).squaredNorm();
      const double m = x.duv.dot(x.normal);
      const double gauss = (x.duu.dot(x.normal) * x.dvv.dot(x.normal) - m * m) / det;
      if (gauss > kFlat) {
        facts->curvature_max = std::max(facts->curvature_max, kCurvatureMargin * gauss);
        facts->total_positive_curvature += kTotalMargin * gauss * std::sqrt(det) * du * dv;
      }
      length += x.dv.norm() * dv / kSamples;
    }
  }
  *area_length += length;
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

}  // namespace

SurfaceFacts SurfaceFacts::Of(const Surface& surface) {
  SurfaceFacts facts;
  const auto& us = surface.u_breaks();
  const auto& vs = surface.v_breaks();
  facts.girth.push_back(0.0);
  for (int k = 0; k < surface.piece_count(); ++k) {
    double length = 0.0;
    for (int i = 0; i < surface.span_count(); ++i) {
      AddCell(surface, {us[i], us[i + 1], vs[k], vs[k + 1], i, k}, &facts, &length);
    }
    facts.girth.push_back(facts.girth.back() + length / surface.span_count());
  }
  facts.creased = Creased(surface);
  if (surface.v_closed()) facts.least_loop = kLoopMargin * 2.0 * kPi * InnerRadius(surface);
  return facts;
}

bool SurfaceFacts::PathIsUnique(double length) const {
  if (creased) return false;
  if (curvature_max <= 0.0) return true;
  // A disc may lie over the part more than once; two layers are allowed for.
  return 2.0 * total_positive_curvature < kPi && length * std::sqrt(curvature_max) < kPi;
}

bool SurfaceFacts::FootIsUnique(double length, double bend, double total_bend) const {
  if (creased || 2.0 * (total_positive_curvature + total_bend) >= kPi) return false;
  if (bend <= kFlat) return PathIsUnique(2.0 * length);  // focal length: half the conjugate one
  const double root = std::sqrt(curvature_max);
  const double focal = root > 0 ? std::atan(root / bend) / root : 1.0 / bend;
  return length < focal;
}

bool SurfaceFacts::OtherWayRoundIsLonger(double length, int turns) const {
  return 2.0 * length < turns * least_loop;
}

}  // namespace holeward
