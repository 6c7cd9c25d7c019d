#include "geometry/misfit_search.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

#include "geometry/develop_lines.h"
#include "geometry/misfit_fit.h"
#include "geometry/polygon.h"
#include "geometry/wrap_piece.h"

namespace holeward {
namespace {

// A fitting this high keeps a sheet from lying down, mm.
constexpr double kRaised = 3.0;
// A sheet must cover that much of a fitting before it stops the sheet: twice the limit, as a fit
// may be off by the limit and the fitting's outline again. mm
constexpr double kCovers = 2.0 * kMisfitWithin;
// On the other side, marks this near to the right places do no harm, mm.
constexpr double kHarmless = 0.5;
constexpr int kOrder = 6;
constexpr int kLinePlaces = 9;
constexpr int kTargetPlaces = 17;

using Line = std::vector<Vec2>;

Line Drawn(const DevelopedPatch& patch, const SkinPlace& a, const SkinPlace& b, int places) {
  Line out;
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

// True if a place lies within a fitting's footprint grown by `grow` mm.
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

// v of a place brought into a range, if it can be.
std::optional<double> Into(const Skin& skin, double v, double from, double to) {
  const double slack = 1e-9;
  if (skin.closed()) v += skin.piece_count() * std::ceil((from - slack - v) / skin.piece_count());
  if (v < from - slack || v > to + slack) return std::nullopt;
  return v;
}

// ---- The piece

FeatureKind KindOf(const Part& part, const AlignLine& line) {
  if (line.name == part.start || line.name == part.finish) return FeatureKind::end;
  for (const Fitting& f : part.fittings) {
    if (f.name == line.name) return FeatureKind::fitting;
  }
  return part.skin->round() || line.name == "middle" ? FeatureKind::line : FeatureKind::edge;
}

std::vector<Feature> FeaturesOf(const PieceRequest& r, const PieceResult& made) {
  const PieceLayout& layout = made.layout;
  const SkinRange& range = layout.range;
  const Skin& skin = *r.part->skin;
  std::vector<Feature> out;
  for (const AlignLine& line : layout.align) {
    const double from = std::max(line.from, line.along ? range.u_from : range.v_from);
    const double to = std::min(line.to, line.along ? range.u_to : range.v_to);
    if (!(to > from)) continue;
    const SkinPlace a = line.along ? SkinPlace{from, line.at} : SkinPlace{line.at, from};
    const SkinPlace b = line.along ? SkinPlace{to, line.at} : SkinPlace{line.at, to};
    out.push_back({KindOf(*r.part, line), Drawn(made.patch, a, b, kLinePlaces)});
  }
  // Flaps are folded over edges.
  if (!skin.round()) {
    for (const double v : {layout.core_from, layout.core_to}) {
      if (v <= range.v_from + 1e-9 || v >= range.v_to - 1e-9) continue;
      out.push_back(
          {FeatureKind::edge, Drawn(made.patch, {range.u_from, v}, {range.u_to, v}, kLinePlaces)});
    }
  }
  // Openings for what stands on the skin are seen empty where it does not.
  for (const Fitting& f : r.part->fittings) {
    if (!IsRaised(f) || f.centre.u < range.u_from || f.centre.u > range.u_to) continue;
    const auto v = Into(skin, f.centre.v, layout.core_from, layout.core_to);
    if (v) out.push_back({FeatureKind::fitting_middle, {made.patch.At(f.centre.u, *v).at}});
  }
  return out;
}

Vec2 Flipped(const Vec2& p) { return {-p.x(), p.y()}; }

// ---- The part

// The stretch of skin a piece may be laid on: its own, moved on by `shift` pieces; a piece of one
// flat gets the whole flat and half of each corner beside it, a wrap the whole girth twice.
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

// A part's skin laid flat there, with its lines.
struct Target {
  DevelopedPatch patch;
  std::vector<Feature> features;
  Line outline;
};

void AddFitting(const Skin& skin, const Fitting& f, const DevelopedPatch& patch,
                std::vector<Feature>& out) {
  const auto line = [&](const SkinPlace& a, const SkinPlace& b) {
    const bool within = std::min(a.v, b.v) >= patch.v_from() && std::max(a.v, b.v) <= patch.v_to();
    if (within) out.push_back({FeatureKind::fitting, Drawn(patch, a, b, kTargetPlaces)});
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

Target TargetOf(const PieceRequest& r, const SkinRange& range) {
  const Skin& skin = *r.part->skin;
  SkinPatchOptions options;
  options.offset = r.Offset();
  Target out{DevelopedPatch::Unroll(SkinPatch(r.part->skin, range, options), kOrder), {}, {}};
  const auto along = [&](FeatureKind kind, double v) {
    out.features.push_back({kind, Drawn(out.patch, {0.0, v}, {skin.u_end(), v}, kTargetPlaces)});
  };
  for (const double u : {0.0, skin.u_end()}) {
    out.features.push_back(
        {FeatureKind::end, Drawn(out.patch, {u, range.v_from}, {u, range.v_to}, kTargetPlaces)});
  }
  for (double v = std::ceil(range.v_from - 1e-9); v <= range.v_to + 1e-9; v += 1.0) {
    along(skin.round() ? FeatureKind::line : FeatureKind::edge, std::min(v, range.v_to));
  }
  if (!skin.round()) {
    for (const Face& f : r.part->faces) {
      const auto v = Into(skin, f.piece + 0.5, range.v_from, range.v_to);
      if (v) along(FeatureKind::line, *v);
    }
  }
  for (const Fitting& f : r.part->fittings) AddFitting(skin, f, out.patch, out.features);
  out.outline = CutLine(out.patch).points;
  return out;
}

double DepthIn(const Line& outline, const Vec2& p) {
  return IsInside(outline, p) ? OffBorder(outline, p) : -1.0;
}

// ---- Laying

class Search {
 public:
  Search(const PieceRequest& r, const PieceResult& made)
      : r_(r), made_(made), skin_(*r.part->skin), features_(FeaturesOf(r, made)) {
    outline_ = CutLine(made.patch).points;
  }

  std::vector<Misfit> Run(bool mirror_too) {
    const int faces = skin_.round() ? 1 : (skin_.piece_count() + 1) / 2;
    for (int k = 0; k < faces; ++k) {
      const SkinRange range = TargetRange(skin_, made_.layout, Shift(k));
      if (!(range.v_to > range.v_from + 0.5)) continue;
      const Target target = TargetOf(r_, range);
      TryOn(target, false);
      if (mirror_too) TryOn(target, true);
    }
    std::sort(out_.begin(), out_.end(), [](const Misfit& a, const Misfit& b) {
      return std::tuple(!a.other_side, !a.own_face, a.turned, a.face) <
             std::tuple(!b.other_side, !b.own_face, b.turned, b.face);
    });
    return out_;
  }

 private:
  // From the piece's own flat to the k-th of the part; an open chain is gone round as far as it is.
  [[nodiscard]] int Shift(int k) const {
    if (skin_.closed()) return 2 * k;
    return 2 * k - 2 * static_cast<int>(std::floor(0.5 * (made_.layout.core_from + 1e-6)));
  }

  void TryOn(const Target& target, bool mirrored) {
    std::vector<Feature> features = features_;
    for (Feature& f : features) {
      for (Vec2& p : f.points) p = mirrored ? Flipped(p) : p;
    }
    for (const RigidFit& fit : FitLines(features, target.features, kMisfitWithin)) {
      Judge(target, fit, mirrored);
    }
  }

  void Judge(const Target& target, const RigidFit& fit, bool mirrored) {
    const auto lay = [&](const Vec2& p) { return fit.motion(mirrored ? Flipped(p) : p); };
    std::vector<SkinPlace> places;
    for (const FlatMark& mark : made_.piece.marks) {
      const std::optional<SkinPlace> p = target.patch.Inverse(lay(mark.at), kMisfitWithin);
      if (!p) return;
      places.push_back(*p);
    }
    if (places.empty() || MarksAreRight(places, mirrored ? kHarmless : kMisfitWithin)) return;
    if (LiesOnFitting(target, fit.motion, mirrored)) return;
    Add(Described(target, fit, mirrored, places.front()));
  }

  [[nodiscard]] bool MarksAreRight(const std::vector<SkinPlace>& places, double within) const {
    for (std::size_t k = 0; k < places.size(); ++k) {
      const Vec3 off = skin_.At(places[k].u, skin_.Wrapped(places[k].v)).position -
                       skin_.At(r_.marks[k].place).position;
      if (off.norm() > within) return false;
    }
    return true;
  }

  // True where the sheet would lie over something raised and has no opening of its own there.
  [[nodiscard]] bool LiesOnFitting(const Target& target, const RigidMotion& motion,
                                   bool mirrored) const {
    for (const Feature& f : target.features) {
      if (f.kind != FeatureKind::fitting_middle) continue;
      Vec2 back = motion.Back(f.points.front());
      if (mirrored) back = Flipped(back);
      if (DepthIn(outline_, back) < kCovers) continue;
      const std::optional<SkinPlace> own = made_.patch.Inverse(back, kCovers);
      const bool open =
          own &&
          std::any_of(r_.part->fittings.begin(), r_.part->fittings.end(), [&](const Fitting& g) {
            return IsRaised(g) && Covers(skin_, g, {own->u, skin_.Wrapped(own->v)}, kCovers);
          });
      if (!open) return true;
    }
    return false;
  }

  [[nodiscard]] Misfit Described(const Target& target, const RigidFit& fit, bool mirrored,
                                 const SkinPlace& first) const {
    Misfit out;
    const double v = skin_.Wrapped(first.v);
    const Vec3 there = skin_.At(first.u, v).position;
    const Vec3 meant = skin_.At(r_.marks.front().place).position;
    out.other_side = r_.part->shared ? there.y() * meant.y() < 0.0 : mirrored;
    const SkinRange& range = made_.layout.range;
    Vec2 along =
        made_.patch.At(0.5 * (range.u_from + range.u_to), 0.5 * (range.v_from + range.v_to)).du;
    if (mirrored) along = Flipped(along);
    out.turned = fit.motion.Turned(along).dot(target.patch.At(first).du) < 0.0;
    out.face = FaceAt(v);
    out.own_face = out.face == FaceAt(skin_.Wrapped(r_.marks.front().place.v));
    out.deviation = fit.worst;
    return out;
  }

  [[nodiscard]] std::string FaceAt(double v) const {
    std::string best;
    double nearest = 1e9;
    const auto see = [&](const std::string& name, double at) {
      double off = std::abs(at - v);
      if (skin_.closed()) off = std::abs(std::remainder(at - v, skin_.piece_count()));
      if (off >= nearest) return;
      nearest = off;
      best = name;
    };
    for (const Face& f : r_.part->faces) see(f.name, f.piece + 0.5);
    for (const NamedLine& l : r_.part->lines) see(l.name, l.v);
    return best;
  }

  void Add(const Misfit& m) {
    for (Misfit& known : out_) {
      if (known.other_side != m.other_side || known.turned != m.turned || known.face != m.face) {
        continue;
      }
      if (m.deviation < known.deviation) known = m;
      return;
    }
    out_.push_back(m);
  }

  const PieceRequest& r_;
  const PieceResult& made_;
  const Skin& skin_;
  std::vector<Feature> features_;
  Line outline_;
  std::vector<Misfit> out_;
};

}  // namespace

std::vector<Misfit> FindMisfits(const PieceRequest& request, const PieceResult& made) {
  return Search(request, made).Run(request.sides > 1 && !request.part->shared);
}

}  // namespace holeward
