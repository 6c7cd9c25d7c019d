// The volume of a hollow part by its law, independent of the kernel.
#include <algorithm>
#include <array>
#include <cmath>

#include <Eigen/LU>

#include "geometry/solid_law.h"

namespace holeward {
namespace {

// Steps of the central differences along the part, mm, and around a piece.
constexpr double kStep = 1e-3;
constexpr double kAroundStep = 1e-4;

// Gauss-Legendre on [0, 1] (Abramowitz and Stegun, table 25.4): two points along, four around.
constexpr std::array<double, 2> kAlong{0.211324865405187, 0.788675134594813};
constexpr std::array<double, 4> kAround{0.0694318442029737, 0.330009478207572, 0.669990521792428,
                                        0.930568155797026};
constexpr std::array<double, 4> kAroundWeight{0.173927422568727, 0.326072577431273,
                                              0.326072577431273, 0.173927422568727};

}  // namespace

// Panels of the quadrature along a segment: the law is smooth only inside a span.
std::vector<double> HollowLaw::Panels(const Segment& segment, const Range& range,
                                      int intervals) const {
  std::vector<double> panels{range.from};
  for (int span = segment.first_span; span <= segment.last_span; ++span) {
    const double from = std::max(range.from, skin_->span_start(span));
    const double to = std::min(range.to, skin_->span_start(span + 1));
    const int n = std::max(2, intervals / skin_->span_count());
    for (int i = 1; i <= n && to > from; ++i) {
      panels.push_back(from + (to - from) * i / n);
    }
  }
  return panels;
}

double HollowLaw::Flux(int segment, int piece, bool inner, int intervals) const {
  const Segment& seg = segments_[static_cast<std::size_t>(segment)];
  const Range range =
      inner ? InnerRange(segment)
            : Range{skin_->span_start(seg.first_span), skin_->span_start(seg.last_span + 1), 0.0};
  const Vec3 reference = skin_->law().centres.front();
  const SkinPoint p = skin_->At(0.5 * skin_->u_end(), piece + 0.5);
  const double sign = p.du.cross(p.dv).dot(p.normal) < 0.0 ? -1.0 : 1.0;
  const std::vector<double> panels = Panels(seg, range, intervals);
  double flux = 0.0;
  for (std::size_t g = 0; g < kAround.size(); ++g) {
    std::array<Column, 3> c;
    for (int i = 0; inner && i < 3; ++i) {
      c[static_cast<std::size_t>(i)] =
          MakeColumn(segment, range, piece, kAround[g] + kAroundStep * (i - 1));
    }
    for (std::size_t i = 0; i < 2 * (panels.size() - 1); ++i) {
      const double h = panels[i / 2 + 1] - panels[i / 2];
      const double s = panels[i / 2] + h * kAlong[i % 2];
      const int span = SpanIn(seg, s);
      Vec3 at, ds, dt;
      if (inner) {
        at = InnerAt(c[1], range, s, span);
        ds = (InnerAt(c[1], range, s + kStep, span) - InnerAt(c[1], range, s - kStep, span)) /
             (2.0 * kStep);
        dt = (InnerAt(c[2], range, s, span) - InnerAt(c[0], range, s, span)) / (2.0 * kAroundStep);
      } else {
        const SkinPoint q = skin_->At(s, piece + kAround[g], span, piece);
        at = q.position;
        ds = q.du;
        dt = q.dv;
      }
      flux += kAroundWeight[g] * 0.5 * h * sign * (at - reference).dot(ds.cross(dt));
    }
  }
  return flux;
}

// Flux through the flat cap at an end: its area, taken round its edge, times its plane's offset.
double HollowLaw::CapFlux(int end, bool inner) const {
  const int segment = end == 0 ? 0 : static_cast<int>(segments_.size()) - 1;
  const Segment& seg = segments_[static_cast<std::size_t>(segment)];
  const Plane plane = EndPlane(end, inner);
  const Range range = inner ? InnerRange(segment) : Range{0.0, skin_->u_end(), 0.0};
  const double s = end == 0 ? range.from : range.to;
  const int span = SpanIn(seg, s);
  double area = 0.0;
  for (int piece = 0; piece < skin_->piece_count(); ++piece) {
    if (!Present(piece, inner)) continue;
    auto at = [&](double t) {
      if (!inner) return skin_->At(s, piece + t, span, piece).position;
      return InnerAt(MakeColumn(segment, range, piece, t), range, s, span);
    };
    for (std::size_t g = 0; g < kAround.size(); ++g) {
      const Vec3 dt =
          (at(kAround[g] + kAroundStep) - at(kAround[g] - kAroundStep)) / (2.0 * kAroundStep);
      area += 0.5 * kAroundWeight[g] * (at(kAround[g]) - plane.origin).cross(dt).dot(plane.normal);
    }
  }
  const double offset = (plane.origin - skin_->law().centres.front()).dot(plane.normal);
  return (end == 0 ? -1.0 : 1.0) * std::abs(area) * offset;
}

double HollowLaw::VolumeByLaw(int intervals) const {
  double volume = 0.0;
  for (const bool inner : {false, true}) {
    double flux = CapFlux(0, inner) + CapFlux(1, inner);
    for (int segment = 0; segment < static_cast<int>(segments_.size()); ++segment) {
      for (int piece = 0; piece < skin_->piece_count(); ++piece) {
        if (Present(piece, inner)) flux += Flux(segment, piece, inner, intervals);
      }
    }
    volume += (inner ? -1.0 : 1.0) * flux / 3.0;
  }
  return volume;
}

double HollowLaw::VolumeBySweep(int intervals) const {
  double volume = 0.0;
  for (const Segment& seg : segments_) {
    const std::vector<double> panels =
        Panels(seg, {skin_->span_start(seg.first_span), skin_->span_start(seg.last_span + 1), 0.0},
               intervals);
    for (int piece = 0; piece < skin_->piece_count(); ++piece) {
      if (!Present(piece, false)) continue;
      for (std::size_t i = 0; i < 2 * (panels.size() - 1); ++i) {
        const double h = panels[i / 2 + 1] - panels[i / 2];
        const double u = panels[i / 2] + h * kAlong[i % 2];
        for (std::size_t g = 0; g < kAround.size(); ++g) {
          const SkinJet s = skin_->JetAt(u, piece + kAround[g], SpanIn(seg, u), piece);
          Eigen::Matrix2d first;
          first << s.du.dot(s.du), s.du.dot(s.dv), s.du.dot(s.dv), s.dv.dot(s.dv);
          Eigen::Matrix2d second;
          second << s.duu.dot(s.normal), s.duv.dot(s.normal), s.duv.dot(s.normal),
              s.dvv.dot(s.normal);
          // Curvatures counted positive where the skin is convex.
          const Eigen::Matrix2d shape = -first.inverse() * second;
          const double swept = wall_ - 0.5 * shape.trace() * wall_ * wall_ +
                               shape.determinant() * wall_ * wall_ * wall_ / 3.0;
          volume += kAroundWeight[g] * 0.5 * h * std::sqrt(first.determinant()) * swept;
        }
      }
    }
  }
  return volume;
}

}  // namespace holeward
