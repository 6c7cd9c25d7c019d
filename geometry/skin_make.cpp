// Making a skin from its law: knots, interpolation, mitres, and what no part may be.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/skin.h"

namespace holeward {
namespace {

// Below this a corner counts as sharp and a length as nothing, mm.
constexpr double kNothing = 1e-9;
// Two stations nearer than this are one, mm.
constexpr double kCoincident = 1e-3;
// `up` nearer to the centre line than this sine cannot be put into the section.
constexpr double kUpAlong = 0.05;

// Length of the parameter between station i - 1 and i at unit speed in both, so that the cubic
// meets the arc of their turn: its handles are 4/3 R tan(turn / 4), a third of this. Source:
// Goldapp, Comput. Aided Geom. Des. 8 (1991) 227 (the handle that touches at the middle).
double ArcSpan(const SkinLaw& law, std::size_t i, double chord) {
  const double turn = std::acos(std::clamp(law.tangents[i - 1].dot(law.tangents[i]), -1.0, 1.0));
  const double cosine = std::cos(0.25 * turn);
  return chord / (cosine * cosine);
}

Error Fault(std::string text) { return Error{ErrorKind::job, std::move(text)}; }

}  // namespace

// A box's edges keep their direction along a and b at every station; the outline then needs no
// roots and no angles, which halves the cost of a place.
void Skin::FindUprightEdges() {
  const std::size_t n = law_.vertices.front().size();
  fixed_edges_.assign(n, Vec2::Zero());
  upright_edges_ = true;
  const std::size_t edges = law_.closed ? n : n - 1;
  for (std::size_t k = 0; k < edges; ++k) {
    fixed_edges_[k] = (law_.vertices.front()[(k + 1) % n] - law_.vertices.front()[k]).normalized();
    for (const auto& outline : law_.vertices) {
      const Vec2 d = (outline[(k + 1) % n] - outline[k]).normalized();
      const bool along_axis = d.x() == 0.0 || d.y() == 0.0;
      upright_edges_ = upright_edges_ && along_axis && d.dot(fixed_edges_[k]) > 0.5;
    }
  }
  for (std::size_t k = 0; k < edges; ++k) {
    const bool turns = law_.closed || k + 1 < edges;
    if (turns && std::abs(fixed_edges_[k].dot(fixed_edges_[(k + 1) % n])) > 0.5) {
      upright_edges_ = false;
    }
  }
}

// At a bend the section lies in the plane that halves it; stretched along the bend so that the
// section square to either leg keeps its stated size.
void Skin::BuildMitres() {
  const std::size_t n = law_.centres.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vec3 before =
        i > 0 ? Vec3((law_.centres[i] - law_.centres[i - 1]).normalized()) : Vec3::Zero();
    const Vec3 after =
        i + 1 < n ? Vec3((law_.centres[i + 1] - law_.centres[i]).normalized()) : Vec3::Zero();
    SectionFrame f;
    f.centre = law_.centres[i];
    f.tangent = (before + after).normalized();
    f.b = (law_.up - law_.up.dot(f.tangent) * f.tangent).normalized();
    f.a = a_sign_ * f.tangent.cross(f.b);
    Eigen::Matrix3d stretch = Eigen::Matrix3d::Identity();
    if (i > 0 && i + 1 < n && (after - before).norm() > kNothing) {
      const Vec3 bend = (after - before).normalized();
      const double cosine = before.dot(f.tangent);
      stretch += (1.0 / cosine - 1.0) * bend * bend.transpose();
    }
    mitre_frames_.push_back(f);
    mitre_stretch_.push_back(stretch);
  }
}

// Takes the law over: the knots and the side axis a is on.
std::optional<Error> Skin::TakeLaw(SkinLaw law) {
  if (law.centres.size() < 2) {
    return Fault("a part needs at least two stations");
  }
  knots_.push_back(0.0);
  for (std::size_t i = 1; i < law.centres.size(); ++i) {
    const double chord = (law.centres[i] - law.centres[i - 1]).norm();
    if (!(chord > kCoincident)) {
      return Fault(fmt::format("stations {} and {} lie at the same place", i, i + 1));
    }
    knots_.push_back(knots_.back() + (law.tangents.empty() ? chord : ArcSpan(law, i, chord)));
  }
  law.up.normalize();
  const Vec3 chord = (law.centres.back() - law.centres.front()).normalized();
  if (chord.cross(law.up).norm() < kUpAlong) {
    return Fault("`up` runs along the part; give a direction across it");
  }
  const Vec3 b = (law.up - law.up.dot(chord) * chord).normalized();
  a_sign_ = chord.cross(b).dot(law.a_toward) < 0.0 ? -1.0 : 1.0;
  straight_line_ = std::all_of(law.centres.begin(), law.centres.end(), [&](const Vec3& p) {
    return (p - law.centres.front()).cross(chord).norm() < kNothing;
  });
  law_ = std::move(law);
  return std::nullopt;
}

template <class ValueAt>
PiecewiseCubic Skin::SizeLaw(ValueAt value_at) const {
  std::vector<double> values;
  for (std::size_t i = 0; i < law_.centres.size(); ++i) {
    values.push_back(value_at(i));
  }
  return law_.smooth ? PiecewiseCubic::Monotone(knots_, values)
                     : PiecewiseCubic::Linear(knots_, values);
}

template <class ValueAt, class SlopeAt>
PiecewiseCubic Skin::SlopedLaw(ValueAt value_at, SlopeAt slope_at) const {
  std::vector<double> values;
  std::vector<double> slopes;
  for (std::size_t i = 0; i < law_.centres.size(); ++i) {
    values.push_back(value_at(i));
    slopes.push_back(slope_at(i));
  }
  return PiecewiseCubic::WithSlopes(knots_, values, slopes);
}

void Skin::InterpolateCentres() {
  for (int c = 0; c < 3; ++c) {
    std::vector<double> values;
    for (const Vec3& centre : law_.centres) {
      values.push_back(centre[c]);
    }
    if (!law_.tangents.empty()) {
      std::vector<double> slopes;
      for (const Vec3& tangent : law_.tangents) slopes.push_back(tangent[c]);
      centre_[c] = PiecewiseCubic::WithSlopes(knots_, values, slopes);
      continue;
    }
    centre_[c] = law_.smooth ? PiecewiseCubic::Natural(knots_, values)
                             : PiecewiseCubic::Linear(knots_, values);
  }
}

void Skin::InterpolateSections() {
  if (law_.round) {
    radius_ = SizeLaw([&](std::size_t i) { return law_.radii[i]; });
    prismatic_ = radius_.IsConstant();
    piece_count_ = 4;
    return;
  }
  prismatic_ = true;
  const std::size_t n = law_.vertices.front().size();
  const bool sloped = !law_.vertex_slopes.empty();
  for (std::size_t k = 0; k < n; ++k) {
    const auto a = [&](std::size_t i) { return law_.vertices[i][k].x(); };
    const auto b = [&](std::size_t i) { return law_.vertices[i][k].y(); };
    const auto corner = [&](std::size_t i) { return law_.corner_radii[i][k]; };
    if (sloped) {
      const auto& slopes = law_.vertex_slopes;
      vertex_a_.push_back(SlopedLaw(a, [&](std::size_t i) { return slopes[i][k].x(); }));
      vertex_b_.push_back(SlopedLaw(b, [&](std::size_t i) { return slopes[i][k].y(); }));
      corner_.push_back(SlopedLaw(corner, [&](std::size_t i) { return law_.corner_slopes[i][k]; }));
    } else {
      vertex_a_.push_back(SizeLaw(a));
      vertex_b_.push_back(SizeLaw(b));
      corner_.push_back(SizeLaw(corner));
    }
    prismatic_ = prismatic_ && vertex_a_.back().IsConstant() && vertex_b_.back().IsConstant() &&
                 corner_.back().IsConstant();
  }
  FindUprightEdges();
  const int corners = static_cast<int>(n);
  piece_count_ = law_.closed ? 2 * corners : 2 * (corners - 1) - 1;
}

Result<Skin> Skin::MakeNearby(SkinLaw law) {
  Skin skin;
  if (auto fault = skin.TakeLaw(std::move(law))) {
    return tl::unexpected<Error>(std::move(*fault));
  }
  skin.InterpolateCentres();
  skin.InterpolateSections();
  skin.BuildMitres();
  skin.SumStations();
  return skin;
}

Result<Skin> Skin::Make(SkinLaw law) {
  Result<Skin> skin = MakeNearby(std::move(law));
  if (!skin) return skin;
  if (auto fault = skin->FirstFault()) {
    return tl::unexpected<Error>(std::move(*fault));
  }
  return skin;
}

// ---------------------------------------------------------------- faults

std::optional<Error> Skin::FirstFault() const {
  constexpr int kSteps = 12;
  if (auto fault = CornerFault()) {
    return fault;
  }
  for (int span = 0; span < span_count(); ++span) {
    for (int step = 0; step <= kSteps; ++step) {
      const double u = span_start(span) + (span_start(span + 1) - span_start(span)) * step / kSteps;
      if (auto fault = SectionFault(u, span)) {
        return fault;
      }
    }
  }
  return std::nullopt;
}

std::optional<Error> Skin::CornerFault() const {
  for (std::size_t k = 0; k < corner_.size(); ++k) {
    const bool rounded = law_.corner_radii.front()[k] > kNothing;
    for (const auto& radii : law_.corner_radii) {
      if ((radii[k] > kNothing) != rounded) {
        return Fault(
            "a corner is sharp (0) at one station and rounded at another; round it at all");
      }
    }
  }
  return std::nullopt;
}

std::optional<Error> Skin::SectionFault(double u, int span) const {
  const Vec3 tangent = TangentAt(u, span);
  for (int piece = 0; piece < piece_count_; ++piece) {
    const double length = PieceLength(u, span, piece);
    if (length < -kNothing || (law_.round && length <= kNothing)) {
      return Fault(fmt::format(
          "at station {:.1f} the corners are larger than the flat between them", StationOf(u)));
    }
    for (int q = 0; q < 4; ++q) {
      const SkinPoint p = At(u, piece + 0.25 * q + 0.01, span, piece);
      if (!(p.du.dot(tangent) > 1e-3) || !p.position.allFinite()) {
        return Fault(fmt::format(
            "at station {:.1f} the part bends so sharply that its sections cross inside the "
            "skin; the bend is tighter than the section is wide",
            StationOf(u)));
      }
    }
  }
  return std::nullopt;
}

}  // namespace holeward
