#include "geometry/misfit_search.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <tuple>

#include "geometry/develop_lines.h"
#include "geometry/misfit_fit.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

// A sheet must cover that much of a fitting before it stops the sheet: twice the limit, as a fit
// may be off by the limit and the fitting's outline again. mm
constexpr double kCovers = 2.0 * kMisfitWithin;
// Of a fitting, what lies this far inside its outline surely is there, mm.
constexpr double kSurely = 2.0;
constexpr int kFootPlaces = 7;
constexpr int kFlapPlaces = 5;
// On the other side, marks this near to the right places do no harm, mm.
constexpr double kHarmless = 0.5;
constexpr int kLinePlaces = 9;

using Line = std::vector<Vec2>;

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
    out.push_back({KindOf(*r.part, line), DrawnOn(made.patch, a, b, kLinePlaces)});
  }
  // Flaps are folded over edges.
  if (!skin.round()) {
    for (const double v : {layout.core_from, layout.core_to}) {
      if (v <= range.v_from + 1e-9 || v >= range.v_to - 1e-9) continue;
      out.push_back({FeatureKind::edge,
                     DrawnOn(made.patch, {range.u_from, v}, {range.u_to, v}, kLinePlaces)});
    }
  }
  // Openings for what stands on the skin are seen empty where it does not.
  for (const Fitting& f : r.part->fittings) {
    if (!IsRaised(f) || f.centre.u < range.u_from || f.centre.u > range.u_to) continue;
    const auto v = BroughtInto(skin, f.centre.v, layout.core_from, layout.core_to);
    if (v) out.push_back({FeatureKind::fitting_middle, {made.patch.At(f.centre.u, *v).at}});
  }
  return out;
}

Vec2 Flipped(const Vec2& p) { return {-p.x(), p.y()}; }

// How far inside the sheet a place is: from its border and from everything cut out; negative off
// it.
double DepthIn(const DevelopedPiece& piece, const Vec2& p) {
  const FlatLine& outline = piece.lines.front();
  if (!IsInside(outline.points, p)) return -1.0;
  double depth = OffBorder(outline.points, p);
  for (std::size_t k = 1; k < piece.lines.size(); ++k) {
    const FlatLine& line = piece.lines[k];
    if (line.kind != FlatLineKind::cut || !line.closed) continue;
    if (IsInside(line.points, p)) return -1.0;
    depth = std::min(depth, OffBorder(line.points, p));
  }
  return depth;
}

// Distance of a place from an eye's cylinder, mm; negative inside.
double OffEye(const Fitting& f, const Vec3& p) {
  const Vec3 axis = f.cylinder_to - f.cylinder_from;
  const double along = (p - f.cylinder_from).dot(axis) / axis.norm();
  const double away = ((p - f.cylinder_from) - along * axis.normalized()).norm();
  return std::max({away - 0.5 * f.diameter, -along, along - axis.norm()});
}

// Places of the skin where surely something stands that no sheet lies over.
std::vector<SkinPlace> StandingPlaces(const Skin& skin, const Fitting& f) {
  std::vector<SkinPlace> out;
  const bool eye = f.shape == FittingShape::eye;
  if (!eye && !IsRaised(f)) return out;
  const Footprint& foot = f.footprint;
  const double half = eye ? 0.5 * f.diameter : (foot.disc ? foot.radius : 0.5 * foot.around);
  const bool long_sided = !eye && !foot.disc;
  const double from = long_sided ? foot.u_from : f.centre.u - half;
  const double to = long_sided ? foot.u_to : f.centre.u + half;
  const int flats = eye ? skin.piece_count() / 2 : 1;
  for (int flat = 0; flat < flats; ++flat) {
    const double middle = eye ? 2.0 * flat + 0.5 : f.centre.v;
    for (int i = 0; i < kFootPlaces * kFootPlaces; ++i) {
      const double along = static_cast<double>(i % kFootPlaces) / (kFootPlaces - 1);
      const double around = 2.0 * (i / kFootPlaces) / (kFootPlaces - 1) - 1.0;
      const double u = from + along * (to - from);
      if (u < 0.0 || u > skin.u_end()) continue;
      const SkinPlace p{u, VAtOutline(skin, u, middle, around * half)};
      const bool stands = eye ? OffEye(f, skin.At(p.u, skin.Wrapped(p.v)).position) < -kSurely
                              : Covers(skin, f, {p.u, skin.Wrapped(p.v)}, -kSurely);
      if (stands) out.push_back(p);
    }
  }
  return out;
}

// ---- Laying

class Search {
 public:
  Search(const PieceRequest& r, const PieceResult& made)
      : r_(r), made_(made), skin_(*r.part->skin), features_(FeaturesOf(r, made)) {
    for (const Fitting& f : r.part->fittings) {
      const std::vector<SkinPlace> places = StandingPlaces(skin_, f);
      standing_.insert(standing_.end(), places.begin(), places.end());
    }
  }

  std::vector<WrongPlace> Run(bool mirror_too) {
    const int faces = skin_.round() ? 1 : (skin_.piece_count() + 1) / 2;
    for (int k = 0; k < faces; ++k) {
      const SkinRange range = TargetRange(skin_, made_.layout, Shift(k));
      if (!(range.v_to > range.v_from + 0.5)) continue;
      const auto target = std::make_shared<const MisfitTarget>(TargetOf(r_, range));
      TryOn(target, false);
      if (mirror_too) TryOn(target, true);
    }
    return std::move(out_);
  }

 private:
  using TargetPtr = std::shared_ptr<const MisfitTarget>;

  // From the piece's own flat to the k-th of the part; an open chain is gone round as far as it is.
  [[nodiscard]] int Shift(int k) const {
    if (skin_.closed()) return 2 * k;
    return 2 * k - 2 * static_cast<int>(std::floor(0.5 * (made_.layout.core_from + 1e-6)));
  }

  void TryOn(const TargetPtr& target, bool mirrored) {
    std::vector<Feature> features = features_;
    for (Feature& f : features) {
      for (Vec2& p : f.points) p = mirrored ? Flipped(p) : p;
    }
    for (const RigidFit& fit : FitLines(features, target->features, kMisfitWithin)) {
      Judge(target, fit, mirrored);
    }
  }

  void Judge(const TargetPtr& target, const RigidFit& fit, bool mirrored) {
    const auto lay = [&](const Vec2& p) { return fit.motion(mirrored ? Flipped(p) : p); };
    std::vector<SkinPlace> places;
    for (const FlatMark& mark : made_.piece.marks) {
      const std::optional<SkinPlace> p = target->patch.Inverse(lay(mark.at), kMisfitWithin);
      if (!p) return;
      places.push_back(*p);
    }
    if (places.empty() || MarksAreRight(places, mirrored ? kHarmless : kMisfitWithin)) return;
    if (LiesOnSomething(*target, fit.motion, mirrored)) return;
    out_.push_back(
        {Described(*target, fit, mirrored, places.front()), fit.motion, mirrored, target});
  }

  [[nodiscard]] bool MarksAreRight(const std::vector<SkinPlace>& places, double within) const {
    for (std::size_t k = 0; k < places.size(); ++k) {
      const Vec3 off = skin_.At(places[k].u, skin_.Wrapped(places[k].v)).position -
                       skin_.At(r_.marks[k].place).position;
      if (off.norm() > within) return false;
    }
    return true;
  }

  // True where the sheet would lie over something that stands up and has no opening of its own.
  [[nodiscard]] bool LiesOnSomething(const MisfitTarget& target, const RigidMotion& motion,
                                     bool mirrored) const {
    const DevelopedPatch& patch = target.patch;
    const double turn = skin_.closed() ? skin_.piece_count() : 1e9;
    return std::any_of(standing_.begin(), standing_.end(), [&](const SkinPlace& p) {
      for (int k = skin_.closed() ? -2 : 0; k <= (skin_.closed() ? 2 : 0); ++k) {
        const double v = p.v + k * turn;
        if (v < patch.v_from() || v > patch.v_to()) continue;
        const Vec2 back = motion.Back(patch.At(p.u, v).at);
        if (DepthIn(made_.piece, mirrored ? Flipped(back) : back) >= kCovers) return true;
      }
      return false;
    });
  }

  [[nodiscard]] Misfit Described(const MisfitTarget& target, const RigidFit& fit, bool mirrored,
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

  const PieceRequest& r_;
  const PieceResult& made_;
  const Skin& skin_;
  std::vector<Feature> features_;
  std::vector<SkinPlace> standing_;
  std::vector<WrongPlace> out_;
};

// ---- Flaps at a wrong place

// Would paper that folds over the end from `at` be in an eye's way?
bool EyeStopsFold(const Part& part, const SkinPoint& at) {
  return std::any_of(part.fittings.begin(), part.fittings.end(), [&](const Fitting& f) {
    return f.shape == FittingShape::eye && OffEye(f, at.position) < -kMisfitWithin;
  });
}

// Would a flap from `at` lie over something that stands on the next face?
bool FittingStopsFlap(const Part& part, const SkinPlace& at, double reach) {
  const Skin& skin = *part.skin;
  for (int k = 1; k <= kFlapPlaces; ++k) {
    const double v = VAtOutline(skin, at.u, at.v, reach * k / kFlapPlaces);
    const SkinPlace p{at.u, skin.Wrapped(v)};
    const bool stands =
        std::any_of(part.fittings.begin(), part.fittings.end(),
                    [&](const Fitting& f) { return IsRaised(f) && Covers(skin, f, p, -kCovers); });
    if (stands) return true;
  }
  return false;
}

}  // namespace

std::vector<WrongPlace> PlacesWhereItFits(const PieceRequest& request, const PieceResult& made) {
  return Search(request, made).Run(request.sides > 1 && !request.part->shared);
}

bool IsStopped(const PieceRequest& request, const Flap& flap, const WrongPlace& place) {
  const DevelopedPatch& patch = place.target->patch;
  const auto lay = [&](const Vec2& p) { return place.motion(place.mirrored ? Flipped(p) : p); };
  for (int k = 1; k < kFlapPlaces; ++k) {
    const double share = static_cast<double>(k) / kFlapPlaces;
    const Vec2 foot = flap.outline[1] + share * (flap.outline[4] - flap.outline[1]);
    const std::optional<SkinPlace> at = patch.Inverse(lay(foot), kMisfitWithin);
    if (!at) continue;
    const SkinPlace on{std::clamp(at->u, 0.0, request.part->skin->u_end()), at->v};
    if (flap.over_end) {
      if (EyeStopsFold(*request.part, patch.SurfaceAt(on.u, on.v))) return true;
      continue;
    }
    const Vec2 out = place.motion.Turned(place.mirrored ? Flipped(flap.out) : flap.out);
    const bool upward = out.dot(patch.At(on).dv) > 0.0;
    if (FittingStopsFlap(*request.part, on, upward ? flap.depth : -flap.depth)) return true;
  }
  return false;
}

std::vector<Misfit> MisfitsAt(const std::vector<WrongPlace>& places) {
  std::vector<Misfit> out;
  for (const WrongPlace& place : places) {
    const Misfit& m = place.misfit;
    const auto known = std::find_if(out.begin(), out.end(), [&](const Misfit& o) {
      return o.other_side == m.other_side && o.turned == m.turned && o.face == m.face;
    });
    if (known == out.end()) {
      out.push_back(m);
    } else if (m.deviation < known->deviation) {
      *known = m;
    }
  }
  std::sort(out.begin(), out.end(), [](const Misfit& a, const Misfit& b) {
    return std::tuple(!a.other_side, !a.own_face, a.turned, a.face) <
           std::tuple(!b.other_side, !b.own_face, b.turned, b.face);
  });
  return out;
}

std::vector<Misfit> FindMisfits(const PieceRequest& request, const PieceResult& made) {
  std::vector<WrongPlace> places = PlacesWhereItFits(request, made);
  std::erase_if(places, [&](const WrongPlace& place) {
    return std::any_of(made.flaps.begin(), made.flaps.end(),
                       [&](const Flap& flap) { return IsStopped(request, flap, place); });
  });
  return MisfitsAt(places);
}

}  // namespace holeward
