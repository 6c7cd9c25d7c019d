#include "geometry/develop_skin.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace holeward {
namespace {

// A corner of less radius is sharp, mm.
constexpr double kSharp = 1e-6;
// A sheet folds at a sharp corner with this much radius, so that the cell of the fold has a width.
constexpr double kLeastBend = 1e-7;
// Less strain than this is rounding: the unrolled patch is exact.
constexpr double kExact = 1e-8;
constexpr int kExactOrder = 8;
constexpr int kRelaxOrder = 6;
constexpr int kCoarseOrder = 4;
// Cells are made smaller until the lengths between the places of Probes() differ by less than this
// between the two orders, mm: a hundredth of what a marked length may be off.
constexpr double kSettled = 2e-3;
constexpr int kMostCells = 4;
// A patch stretched this much over its area is refused anyway: it is not worth finer cells.
constexpr double kHopeless = 0.02;
// Unrolled worse than this, there is nothing to start from.
constexpr double kWild = 0.25;

int PieceAt(const Skin& skin, double v_middle) {
  const int count = skin.piece_count();
  const int k = static_cast<int>(std::floor(v_middle));
  if (!skin.closed()) return std::clamp(k, 0, count - 1);
  return ((k % count) + count) % count;
}

// Normals of a sharp corner fan from flat to flat; their rate by v and u.
struct Fan {
  Vec3 by_u, by_v;
};
Fan FanRates(const Skin& skin, const SkinPlace& p, int span, int piece) {
  const double step = 1e-3;
  auto normal = [&](double u, double v) { return skin.At(u, v, span, piece).normal; };
  const double lo = std::floor(p.v + 1e-9 - (p.v - std::floor(p.v) > 1.0 - 1e-9 ? 1.0 : 0.0));
  const Vec3 first = normal(p.u, lo + 1e-9), last = normal(p.u, lo + 1.0 - 1e-9);
  const double angle = std::atan2(first.cross(last).norm(), first.dot(last));
  const Vec3 axis = first.cross(last).normalized();
  return {(normal(p.u + step, p.v) - normal(p.u - step, p.v)) / (2.0 * step),
          angle * axis.cross(normal(p.u, p.v))};
}

void AddBreaks(std::vector<double>& breaks, double to, int cells) {
  const double from = breaks.back();
  for (int k = 1; k <= cells; ++k) breaks.push_back(from + (to - from) * k / cells);
  breaks.back() = to;
}

// Flat distances between nine places spread over the patch, flaps left out.
std::vector<double> Probes(const DevelopedPatch& patch, double v_from, double v_to) {
  std::vector<Vec2> at;
  for (int k = 0; k < 9; ++k) {
    const double a = 0.5 * (k % 3), b = 0.5 * (k / 3);
    at.push_back(
        patch.At((1.0 - a) * patch.u_from() + a * patch.u_to(), (1.0 - b) * v_from + b * v_to).at);
  }
  std::vector<double> out;
  for (std::size_t i = 0; i < at.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) out.push_back((at[i] - at[j]).norm());
  }
  return out;
}

}  // namespace

bool IsSharp(const Skin& skin, int piece, double u) {
  if (skin.KindOf(piece) != PieceKind::corner) return false;
  const int k = skin.closed() ? piece / 2 : piece / 2 + 1;
  return skin.CornerRadiusAt(u, k) < kSharp;
}

SkinPoint OffsetPoint(const Skin& skin, const SkinPlace& place, int span, int piece,
                      double distance) {
  const bool sharp = IsSharp(skin, piece, place.u);
  if (distance == 0.0 && !sharp) return skin.At(place.u, place.v, span, piece);
  const SkinJet s = skin.JetAt(place.u, place.v, span, piece);
  SkinPoint out = s;
  if (sharp) {
    distance = std::max(distance, kLeastBend);
    out.position += distance * s.normal;
    const Fan fan = FanRates(skin, place, span, piece);
    out.du += distance * fan.by_u;
    out.dv += distance * fan.by_v;
    return out;
  }
  out.position += distance * s.normal;
  // n = N / |N| with N = du x dv; its rates are those of N without their share along n.
  const Vec3 cross = s.du.cross(s.dv);
  const double scale = (cross.dot(s.normal) < 0.0 ? -1.0 : 1.0) / cross.norm();
  const Vec3 cross_u = scale * (s.duu.cross(s.dv) + s.du.cross(s.duv));
  const Vec3 cross_v = scale * (s.duv.cross(s.dv) + s.du.cross(s.dvv));
  out.du += distance * (cross_u - s.normal * s.normal.dot(cross_u));
  out.dv += distance * (cross_v - s.normal * s.normal.dot(cross_v));
  return out;
}

PatchSurface SkinPatch(std::shared_ptr<const Skin> skin, const SkinRange& range,
                       const SkinPatchOptions& options) {
  PatchSurface patch;
  std::vector<int> spans, pieces;
  patch.u_breaks.push_back(range.u_from);
  const bool straight = skin->is_straight() && skin->is_prismatic();
  for (int i = 0; i < skin->span_count(); ++i) {
    const bool last = i + 1 == skin->span_count();
    const double end = last ? range.u_to : std::min(range.u_to, skin->span_start(i + 1));
    if (end <= patch.u_breaks.back() + 1e-9 || (straight && !last)) continue;
    AddBreaks(patch.u_breaks, end, options.cells);
    spans.insert(spans.end(), options.cells, i);
  }
  patch.v_breaks.push_back(range.v_from);
  for (double lo = range.v_from; lo < range.v_to - 1e-9;) {
    const double hi = std::min(range.v_to, std::floor(lo + 1e-9) + 1.0);
    const int piece = PieceAt(*skin, 0.5 * (lo + hi));
    const bool curved = skin->KindOf(piece) != PieceKind::flat;
    // Across, cells are small already: a flat is straight, a corner turns little.
    const int cells = (options.cells + 1) / 2 * (curved && hi - lo > 0.6 ? 2 : 1);
    AddBreaks(patch.v_breaks, hi, cells);
    pieces.insert(pieces.end(), cells, piece);
    const double middle = 0.5 * (lo + hi);
    const bool core = options.core_to <= options.core_from ||
                      (middle > options.core_from && middle < options.core_to);
    patch.v_weights.insert(patch.v_weights.end(), cells, core ? 1.0 : options.flap_weight);
    lo = hi;
  }
  const double offset = options.offset;
  patch.at = [skin = std::move(skin), spans, pieces, offset](double u, double v, int cu, int cv) {
    return OffsetPoint(*skin, {u, v}, spans[cu], pieces[cv], offset);
  };
  return patch;
}

double OutlineTo(const Skin& skin, double u, double v) {
  if (!skin.closed()) return skin.OutlineLength(u, std::clamp(v, 0.0, 1.0 * skin.piece_count()));
  const double turns = std::floor(v / skin.piece_count());
  return turns * skin.Perimeter(u) + skin.OutlineLength(u, v - turns * skin.piece_count());
}

double VAtOutline(const Skin& skin, double u, double v, double distance) {
  const double goal = OutlineTo(skin, u, v) + distance;
  const double origin = skin.OutlineLength(u, skin.law().girth_origin_v);
  const double round = skin.Perimeter(u);
  if (!skin.closed()) return skin.VOfGirth(u, std::clamp(goal, 0.0, round) - origin);
  const double found = skin.VOfGirth(u, goal - origin);
  return found + skin.piece_count() * std::round((goal - OutlineTo(skin, u, found)) / round);
}

DevelopedPatch Develop(std::shared_ptr<const Skin> skin, const SkinRange& range,
                       const SkinPatchOptions& options) {
  SkinPatchOptions finer = options;
  DevelopedPatch exact = DevelopedPatch::Unroll(SkinPatch(skin, range, finer), kExactOrder);
  const StretchOfPatch unrolled = exact.Measured();
  if (unrolled.max < kExact || unrolled.rms > kWild) return exact;
  const bool cored = options.core_to > options.core_from;
  const double v_from = cored ? options.core_from : range.v_from;
  const double v_to = cored ? options.core_to : range.v_to;
  auto relaxed = [&](int order) {
    return DevelopedPatch::Unroll(SkinPatch(skin, range, finer), order).Relaxed();
  };
  for (;; ++finer.cells) {
    const DevelopedPatch coarse = relaxed(kCoarseOrder);
    const StretchOfPatch first = coarse.Measured();
    if (!(first.rms < kHopeless) || first.max > options.give_up) return coarse;
    DevelopedPatch best = relaxed(kRelaxOrder);
    if (best.Measured().max > 0.5 * options.give_up) return best;
    const std::vector<double> before = Probes(coarse, v_from, v_to);
    const std::vector<double> now = Probes(best, v_from, v_to);
    double moved = 0.0;
    for (std::size_t k = 0; k < now.size(); ++k) {
      moved = std::max(moved, std::abs(now[k] - before[k]));
    }
    if (moved < kSettled || finer.cells >= kMostCells) return best;
  }
}

}  // namespace holeward
