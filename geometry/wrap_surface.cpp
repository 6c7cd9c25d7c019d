#include "geometry/wrap_surface.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

namespace holeward {
namespace {

// Steps of the differences that give the second derivatives of the normal: in u mm, in v pieces.
// They are multiplied by the sheet's offset: under a coating of 2 mm they lack some 1e-8 per mm.
constexpr double kStepU = 1e-2;
constexpr double kStepV = 1e-3;
// A corner whose outline is shorter than this a piece is sharp, mm.
constexpr double kNoWidth = 1e-6;

std::vector<double> Spans(const Skin& skin) {
  std::vector<double> breaks;
  for (int i = 0; i <= skin.span_count(); ++i) breaks.push_back(skin.span_start(i));
  return breaks;
}

std::vector<double> Pieces(const Skin& skin) {
  std::vector<double> breaks;
  for (int k = 0; k <= skin.piece_count(); ++k) breaks.push_back(k);
  return breaks;
}

// The normal's first derivatives by the surface's second ones: n = N / |N| with N = du x dv; its
// rates are those of N without their share along n.
struct NormalRates {
  Vec3 by_u, by_v;
};
NormalRates RatesOf(const SkinJet& s) {
  const Vec3 cross = s.du.cross(s.dv);
  const double scale = (cross.dot(s.normal) < 0.0 ? -1.0 : 1.0) / cross.norm();
  const auto across = [&](const Vec3& rate) {
    return Vec3(scale * (rate - s.normal * s.normal.dot(rate)));
  };
  return {across(s.duu.cross(s.dv) + s.du.cross(s.duv)),
          across(s.duv.cross(s.dv) + s.du.cross(s.dvv))};
}

// The normal of a sharp corner, which turns evenly from flat to flat, with its derivatives.
struct FanJet {
  Vec3 n, u, v, uu, uv, vv;
};
FanJet FanAt(const Skin& skin, double u, double v, int span, int piece) {
  struct Turn {
    Vec3 n, v;
    double angle;
  };
  const double lo = piece + skin.piece_count() * std::round((v - piece - 0.5) / skin.piece_count());
  const double t = v - lo;
  const auto at = [&](double u_at) {
    const Vec3 first = skin.At(u_at, lo, span, piece).normal;
    const Vec3 last = skin.At(u_at, lo + 1.0, span, piece).normal;
    const double angle = std::atan2(first.cross(last).norm(), first.dot(last));
    const double sine = std::sin(angle);
    return Turn{(std::sin((1.0 - t) * angle) * first + std::sin(t * angle) * last) / sine,
                angle * (std::cos(t * angle) * last - std::cos((1.0 - t) * angle) * first) / sine,
                angle};
  };
  const Turn here = at(u), up = at(u + kStepU), down = at(u - kStepU);
  return {here.n,
          (up.n - down.n) / (2.0 * kStepU),
          here.v,
          (up.n - 2.0 * here.n + down.n) / (kStepU * kStepU),
          (up.v - down.v) / (2.0 * kStepU),
          -here.angle * here.angle * here.n};
}

bool HasNoWidth(const Skin& skin, int piece, const SkinJet& s) {
  return skin.KindOf(piece) == PieceKind::corner && s.dv.norm() < kNoWidth;
}

}  // namespace

WrapSurface::WrapSurface(std::shared_ptr<const Skin> skin, double distance)
    : Surface(Spans(*skin), Pieces(*skin), skin->closed()),
      skin_(std::move(skin)),
      distance_(distance) {}

SkinJet WrapSurface::JetAt(double u, double v, int span, int piece) const {
  SkinJet s = skin_->JetAt(u, v, span, piece);
  if (HasNoWidth(*skin_, piece, s)) {
    const double d = std::max(distance_, kLeastWrapBend);
    const FanJet n = FanAt(*skin_, u, v, span, piece);
    s.position += d * n.n;
    s.du += d * n.u;
    s.dv = d * n.v;
    s.duu += d * n.uu;
    s.duv = d * n.uv;
    s.dvv = d * n.vv;
    return s;
  }
  if (distance_ == 0.0) return s;
  const auto rates = [&](double du, double dv) {
    return RatesOf(skin_->JetAt(u + du, v + dv, span, piece));
  };
  const NormalRates here = RatesOf(s);
  const NormalRates up = rates(kStepU, 0.0), down = rates(-kStepU, 0.0);
  const NormalRates left = rates(0.0, kStepV), right = rates(0.0, -kStepV);
  s.position += distance_ * s.normal;
  s.du += distance_ * here.by_u;
  s.dv += distance_ * here.by_v;
  s.duu += distance_ / (2.0 * kStepU) * (up.by_u - down.by_u);
  s.duv += distance_ / (2.0 * kStepU) * (up.by_v - down.by_v);
  s.dvv += distance_ / (2.0 * kStepV) * (left.by_v - right.by_v);
  return s;
}

SkinPoint WrapSurface::At(double u, double v, int span, int piece) const {
  SkinJet s = skin_->JetAt(u, v, span, piece);
  if (distance_ == 0.0 || HasNoWidth(*skin_, piece, s)) return JetAt(u, v, span, piece);  // NOLINT
  const NormalRates here = RatesOf(s);
  s.position += distance_ * s.normal;
  s.du += distance_ * here.by_u;
  s.dv += distance_ * here.by_v;
  return s;  // NOLINT(cppcoreguidelines-slicing): first derivatives
}

}  // namespace holeward
