#include "geometry/misfit_target.h"

#include <algorithm>
#include <cmath>

#include "geometry/develop_lines.h"

namespace holeward {
namespace {

// A fitting this high keeps a sheet from lying down, mm.
constexpr double kRaised = 3.0;
constexpr int kOrder = 6;
constexpr int kTargetPlaces = 17;

void AddFitting(const Skin& skin, const Fitting& f, const DevelopedPatch& patch,
                std::vector<Feature>& out) {
  const auto line = [&](const SkinPlace& a, const SkinPlace& b) {
    const bool within = std::min(a.v, b.v) >= patch.v_from() && std::max(a.v, b.v) <= patch.v_to();
    if (within) out.push_back({FeatureKind::fitting, DrawnOn(patch, a, b, kTargetPlaces)});
  };
  const double u = f.centre.u;
  if (f.face.empty() || f.shape == FittingShape::eye) {
    line({u, patch.v_from()}, {u, patch.v_to()});
    return;
  }
  for (int turn = -2; turn <= 2; ++turn) {
    if (turn != 0 && !skin.closed()) continue;
    const double v = f.centre.v + turn * skin.piece_count();
    if (v < patch.v_from() || v > patch.v_to()) continue;
    const Footprint& foot = f.footprint;
    const double half = foot.disc ? foot.radius : 0.5 * foot.around;
    const double u_from = foot.disc ? u - half : foot.u_from,
                 u_to = foot.disc ? u + half : foot.u_to;
    const double low = VAtOutline(skin, u, v, -half), high = VAtOutline(skin, u, v, half);
    if (foot.disc) {
      line({u, low}, {u, high});
      line({u_from, v}, {u_to, v});
    } else {
      line({u_from, low}, {u_from, high});
      line({u_to, low}, {u_to, high});
      line({u_from, low}, {u_to, low});
      line({u_from, high}, {u_to, high});
    }
    if (IsRaised(f)) out.push_back({FeatureKind::fitting_middle, {patch.At(u, v).at}});
  }
}

}  // namespace

std::vector<Vec2> DrawnOn(const DevelopedPatch& patch, const SkinPlace& a, const SkinPlace& b,
                          int places) {
  std::vector<Vec2> out;
  for (int k = 0; k < places; ++k) {
    const double t = static_cast<double>(k) / (places - 1);
    out.push_back(patch.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).at);
  }
  return out;
}

bool IsRaised(const Fitting& f) {
  return f.shape != FittingShape::hole && f.shape != FittingShape::eye && !f.face.empty() &&
         f.height.value_or(0.0) > kRaised;
}

bool Covers(const Skin& skin, const Fitting& f, const SkinPlace& at, double grow) {
  const Footprint& foot = f.footprint;
  if (foot.disc) {
    return (skin.At(at).position - skin.At(f.centre).position).norm() <= foot.radius + grow;
  }
  if (at.u < foot.u_from - grow || at.u > foot.u_to + grow) return false;
  double off = OutlineTo(skin, at.u, at.v) - OutlineTo(skin, at.u, f.centre.v);
  if (skin.closed()) off = std::remainder(off, skin.Perimeter(at.u));
  return std::abs(off) <= 0.5 * foot.around + grow;
}

std::optional<double> BroughtInto(const Skin& skin, double v, double from, double to) {
  const double slack = 1e-9;
  if (skin.closed()) v += skin.piece_count() * std::ceil((from - slack - v) / skin.piece_count());
  if (v < from - slack || v > to + slack) return std::nullopt;
  return v;
}

SkinRange TargetRange(const Skin& skin, const PieceLayout& layout, int shift) {
  SkinRange out{0.0, skin.u_end(), layout.range.v_from + shift, layout.range.v_to + shift};
  if (skin.round()) {
    const double middle = 0.5 * (out.v_from + out.v_to);
    return {0.0, skin.u_end(), middle - skin.piece_count(), middle + skin.piece_count()};
  }
  const double flat = std::floor(layout.core_from + 1e-6);
  if (layout.core_to <= flat + 1.0 + 1e-6) {
    out.v_from = flat + shift - 0.5;
    out.v_to = flat + shift + 1.5;
  } else if (layout.closed) {
    out.v_from -= 2.0;
    out.v_to += 2.0;
  }
  if (!skin.closed()) {
    out.v_from = std::max(out.v_from, 0.0);
    out.v_to = std::min(out.v_to, 1.0 * skin.piece_count());
  }
  return out;
}

MisfitTarget TargetOf(const PieceRequest& r, const SkinRange& range) {
  const Skin& skin = *r.part->skin;
  SkinPatchOptions options;
  options.offset = r.Offset();
  MisfitTarget out{DevelopedPatch::Unroll(SkinPatch(r.part->skin, range, options), kOrder), {}, {}};
  const auto along = [&](FeatureKind kind, double v) {
    out.features.push_back({kind, DrawnOn(out.patch, {0.0, v}, {skin.u_end(), v}, kTargetPlaces)});
  };
  for (const double u : {0.0, skin.u_end()}) {
    out.features.push_back(
        {FeatureKind::end, DrawnOn(out.patch, {u, range.v_from}, {u, range.v_to}, kTargetPlaces)});
  }
  for (double v = std::ceil(range.v_from - 1e-9); v <= range.v_to + 1e-9; v += 1.0) {
    along(skin.round() ? FeatureKind::line : FeatureKind::edge, std::min(v, range.v_to));
  }
  if (!skin.round()) {
    for (const Face& f : r.part->faces) {
      const auto v = BroughtInto(skin, f.piece + 0.5, range.v_from, range.v_to);
      if (v) along(FeatureKind::line, *v);
    }
  }
  for (const Fitting& f : r.part->fittings) AddFitting(skin, f, out.patch, out.features);
  out.outline = CutLine(out.patch).points;
  return out;
}

}  // namespace holeward
