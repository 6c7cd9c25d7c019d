#include "geometry/develop_flaps.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "geometry/develop_shape.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

constexpr double kLongest = 60.0;     // of a flap along its border, mm
constexpr double kShortest = 10.0;    // shorter ones are of no use, mm
constexpr double kRoundRim = 12.0;    // over the rim of a round part paper bends both ways, mm
constexpr double kRoundApart = 60.0;  // flaps round a rim are so far apart, mm
constexpr double kTaper = 0.35;       // of its depth, at either end
constexpr double kGuard = 24.0;       // length of a flap made against a wrong place, mm
constexpr double kGuardStep = 8.0;    // such flaps are tried this far apart, mm
constexpr double kInside = 0.5;       // a flap begins so far inside the sheet, mm
constexpr double kFittingClear = 1.0;
constexpr int kSteps = 24;

// A border of the sheet: u = at or v = at, outward where the parameter grows or falls.
struct Border {
  bool along = false;
  double at = 0.0;
  double from = 0.0, to = 0.0;
  bool upward = true;
};

class Maker {
 public:
  Maker(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch)
      : r_(r), skin_(*r.part->skin), layout_(layout), patch_(patch) {
    const SkinPlace corners[] = {{patch.u_from(), patch.v_from()},
                                 {patch.u_to(), patch.v_from()},
                                 {patch.u_to(), patch.v_to()},
                                 {patch.u_from(), patch.v_to()}};
    for (int side = 0; side < 4; ++side) {
      const SkinPlace &a = corners[side], &b = corners[(side + 1) % 4];
      for (int k = 0; k < kSteps; ++k) {
        const double t = static_cast<double>(k) / kSteps;
        sheet_.push_back(patch.At(a.u + t * (b.u - a.u), a.v + t * (b.v - a.v)).at);
      }
    }
  }

  std::vector<Flap> Run() {
    for (const AlignLine& line : layout_.align) {
      line.along ? AlongEdge(line) : AtEnd(line);
    }
    return std::move(out_);
  }

  std::vector<Flap> RunEverywhere() {
    for (const double at : {layout_.core_from, layout_.core_to}) {
      const AlignLine line{"", {}, true, at, patch_.u_from(), patch_.u_to()};
      const std::optional<Border> border = CornerBorder(line);
      if (!border) continue;
      const double longest = std::min(kGuard, StraightOver(*border));
      const double length = Length(*border);
      if (longest < kShortest || length < longest) continue;
      for (double s = 0.5 * longest; s <= length - 0.5 * longest; s += kGuardStep) {
        Put(*border, s / length, longest, CornerLeft(*border, s / length, at));
      }
    }
    return std::move(out_);
  }

 private:
  // Over the rim of an end: in the middle of a flat, or short ones round a round part.
  void AtEnd(const AlignLine& line) {
    const bool finish = line.name == r_.part->finish && line.at >= skin_.u_end() - 1e-9;
    if (!finish && (line.name != r_.part->start || line.at > 1e-9)) return;
    const Border border{false, line.at, layout_.core_from, layout_.core_to, finish};
    const double length = Length(border);
    if (skin_.round()) {
      const int count = std::max(1, static_cast<int>(length / kRoundApart));
      for (int k = 0; k < count; ++k) Put(border, (k + 0.5) / count, kRoundRim, 0.0);
      return;
    }
    for (int k = static_cast<int>(std::floor(layout_.core_from)); k < layout_.core_to; ++k) {
      Border flat = border;
      flat.from = std::max(border.from, static_cast<double>(k));
      flat.to = std::min(border.to, k + 1.0);
      const int piece = skin_.PieceOf(skin_.Wrapped(0.5 * (flat.from + flat.to)));
      if (!(flat.to > flat.from) || skin_.KindOf(piece) != PieceKind::flat) continue;
      Put(flat, 0.5, std::min(kLongest, 0.5 * Length(flat)), 0.0);
    }
  }

  // The border of the sheet beside a line along the part, if that is a corner or a lip.
  [[nodiscard]] std::optional<Border> CornerBorder(const AlignLine& line) const {
    const bool upward = std::abs(line.at - layout_.core_to) < 1e-9;
    if (!upward && std::abs(line.at - layout_.core_from) > 1e-9) return std::nullopt;
    if (skin_.round() || std::abs(line.at - std::round(line.at)) > 1e-9) return std::nullopt;
    const double at = upward ? patch_.v_to() : patch_.v_from();
    return Border{true, at, std::max(line.from, patch_.u_from()), std::min(line.to, patch_.u_to()),
                  upward};
  }

  // Past a corner or a lip that is the border of the sheet.
  void AlongEdge(const AlignLine& line) {
    const std::optional<Border> found = CornerBorder(line);
    if (!found) return;
    const Border& border = *found;
    const double length = Length(border);
    const double longest = std::min({kLongest, 0.5 * length, StraightOver(border)});
    if (longest < kShortest) return;
    const int count = std::clamp(static_cast<int>(length / (2.0 * longest)), 1, 3);
    for (int k = 0; k < count; ++k) {
      const double share = (k + 0.5) / count;
      Put(border, share, longest, CornerLeft(border, share, line.at));
    }
  }

  // Outline length from the border to the end of the corner; 0 past a sharp one and at a lip.
  [[nodiscard]] double CornerLeft(const Border& border, double share, double edge) const {
    const double u = border.from + share * (border.to - border.from);
    const double end = border.upward ? edge + 1.0 : edge - 1.0;
    if (!skin_.closed() && (end < 0.0 || end > skin_.piece_count())) return 0.0;
    const double left = OutlineTo(skin_, u, end) - OutlineTo(skin_, u, border.at);
    return std::max(0.0, border.upward ? left : -left);
  }

  [[nodiscard]] Vec2 At(const Border& border, double t) const {
    return border.along ? patch_.At(t, border.at).at : patch_.At(border.at, t).at;
  }
  [[nodiscard]] double Length(const Border& border) const {
    double length = 0.0;
    for (int k = 0; k < kSteps; ++k) {
      const double step = (border.to - border.from) / kSteps;
      length +=
          (At(border, border.from + (k + 1) * step) - At(border, border.from + k * step)).norm();
    }
    return length;
  }
  // How long a flap may be for its border to be straight within kFlapSag: 8 sag = length^2 /
  // radius.
  [[nodiscard]] double StraightOver(const Border& border) const {
    const double length = Length(border);
    const Vec2 a = At(border, border.from), b = At(border, border.to);
    const Vec2 run = (b - a).normalized();
    double sag = 0.0;
    for (int k = 1; k < kSteps; ++k) {
      const Vec2 off = At(border, border.from + k * (border.to - border.from) / kSteps) - a;
      sag = std::max(sag, std::abs(run.x() * off.y() - run.y() * off.x()));
    }
    return sag > kFlapSag ? length * std::sqrt(kFlapSag / sag) : length;
  }

  // A flap of `length` about a share of a border, `corner` mm of which lie on the corner.
  void Put(const Border& border, double share, double length, double corner) {
    if (length < kShortest) return;
    const double span = (border.to - border.from) * length / Length(border);
    const double middle = border.from + share * (border.to - border.from);
    const double from = middle - 0.5 * span, to = middle + 0.5 * span;
    const Vec2 a = At(border, from), b = At(border, to);
    const Vec2 run = (b - a).normalized();
    Vec2 out(-run.y(), run.x());
    const FlatJet jet = border.along ? patch_.At(middle, border.at) : patch_.At(border.at, middle);
    const Vec2 grows = border.along ? jet.dv : jet.du;
    if (out.dot(border.upward ? grows : Vec2(-grows)) < 0.0) out = -out;
    const double depth = corner + kFlapReach;
    const double taper = std::min(kTaper * depth, 0.25 * length);
    const Vec2 tip_a = a + depth * out + taper * run, tip_b = b + depth * out - taper * run;
    if (OnSheet(tip_a) || OnSheet(tip_b) || OnSheet(0.5 * (tip_a + tip_b))) return;
    if (border.along ? Meets(from, to, border, depth) : EyeNear(border, from, to)) return;
    Flap flap;
    flap.out = out;
    flap.depth = depth;
    flap.over_end = !border.along;
    flap.outline = {a - kInside * out, a, tip_a, tip_b, b, b - kInside * out};
    const double slope = taper / depth;
    const Vec2 at = corner * out;
    const bool fold = corner < 1e-6;
    flap.line = {
        fold ? FlatLineKind::fold : FlatLineKind::tangent,
        {a + at + corner * slope * run, b + at - corner * slope * run},
        false,
        Phrase(fold ? Told("flap, folds over the edge") : Told("flap, runs over the corner"))};
    const bool first = std::none_of(out_.begin(), out_.end(),
                                    [&](const Flap& f) { return f.line.words == flap.line.words; });
    if (!first) flap.line.words = Phrase();
    out_.push_back(std::move(flap));
  }

  [[nodiscard]] bool OnSheet(const Vec2& p) const { return IsInside(sheet_, p); }

  // Would a flap over a corner lie on a fitting of the next face?
  [[nodiscard]] bool Meets(double u_from, double u_to, const Border& border, double depth) const {
    const double u = 0.5 * (u_from + u_to);
    const double beyond = VAtOutline(skin_, u, border.at, border.upward ? depth : -depth);
    const double low = OutlineTo(skin_, u, std::min(border.at, beyond));
    const double high = OutlineTo(skin_, u, std::max(border.at, beyond));
    const double round = skin_.closed() ? skin_.Perimeter(u) : 1e9;
    const auto& all = r_.part->fittings;
    return std::any_of(all.begin(), all.end(), [&](const Fitting& f) {
      if (f.shape == FittingShape::eye || f.shape == FittingShape::hole) return false;
      const double per_u = skin_.At(f.centre).du.norm();
      const Footprint& foot = f.footprint;
      const double half = foot.disc ? foot.radius : 0.5 * foot.around;
      const double from = foot.disc ? f.centre.u - half / per_u : foot.u_from;
      const double to = foot.disc ? f.centre.u + half / per_u : foot.u_to;
      const double clear = kFittingClear / per_u;
      if (u_to < from - clear || u_from > to + clear) return false;
      const double off = OutlineTo(skin_, u, f.centre.v) - 0.5 * (low + high);
      return std::abs(std::remainder(off, round)) < half + 0.5 * (high - low) + kFittingClear;
    });
  }

  // Does an eye stand in the end where a flap would fold in?
  [[nodiscard]] bool EyeNear(const Border& border, double v_from, double v_to) const {
    for (const Fitting& f : r_.part->fittings) {
      if (f.shape != FittingShape::eye) continue;
      const Vec3 axis = f.cylinder_to - f.cylinder_from;
      for (int k = 0; k <= kSteps; ++k) {
        const SkinPoint p = skin_.At(border.at, v_from + k * (v_to - v_from) / kSteps);
        const Vec3 off = p.position - f.cylinder_from;
        const double along = off.dot(axis) / axis.squaredNorm();
        const double away = (off - along * axis).norm();
        const double ends = kFlapReach / axis.norm();
        if (away < 0.5 * f.diameter + kFlapReach && along > -ends && along < 1.0 + ends)
          return true;
      }
    }
    return false;
  }

  const PieceRequest& r_;
  const Skin& skin_;
  const PieceLayout& layout_;
  const DevelopedPatch& patch_;
  std::vector<Vec2> sheet_;
  std::vector<Flap> out_;
};

}  // namespace

std::vector<Flap> FlapsOf(const PieceRequest& request, const PieceLayout& layout,
                          const DevelopedPatch& patch) {
  return Maker(request, layout, patch).Run();
}

std::vector<std::string> EdgesWithoutFlap(const PieceRequest& request, const PieceLayout& layout,
                                          const DevelopedPatch& patch,
                                          const std::vector<Flap>& flaps) {
  const Skin& skin = *request.part->skin;
  std::vector<std::string> out;
  for (const AlignLine& line : layout.align) {
    const bool upper = std::abs(line.at - layout.core_to) < 1e-9;
    const bool border = upper || std::abs(line.at - layout.core_from) < 1e-9;
    if (!line.along || !border || skin.round()) continue;
    if (std::abs(line.at - std::round(line.at)) > 1e-9) continue;
    const int corner = static_cast<int>(std::lround(line.at)) + (upper ? 0 : -1);
    const int count = skin.piece_count();
    // A lip and a sharp edge are seen and felt.
    if (!skin.closed() && (corner < 0 || corner >= count)) continue;
    if (IsSharp(skin, (corner + count) % count, patch.u_from())) continue;
    std::vector<Vec2> places;
    const double v = upper ? patch.v_to() : patch.v_from();
    for (int k = 0; k <= kSteps; ++k) {
      const double share = static_cast<double>(k) / kSteps;
      places.push_back(patch.At(patch.u_from() + share * (patch.u_to() - patch.u_from()), v).at);
    }
    const bool flapped = std::any_of(flaps.begin(), flaps.end(), [&](const Flap& flap) {
      return !flap.over_end && OffBorder(places, 0.5 * (flap.outline[1] + flap.outline[4])) < 1.0;
    });
    if (!flapped) out.push_back(line.name);
  }
  return out;
}

std::vector<Flap> PossibleFlaps(const PieceRequest& request, const PieceLayout& layout,
                                const DevelopedPatch& patch) {
  std::vector<Flap> out = Maker(request, layout, patch).RunEverywhere();
  for (Flap& flap : out) flap.line.words = Phrase();
  return out;
}

bool AreApart(const Flap& a, const Flap& b, double apart) {
  return OffBorder(a.outline, b.outline[1]) >= apart &&
         OffBorder(a.outline, b.outline[4]) >= apart &&
         OffBorder(b.outline, a.outline[1]) >= apart &&
         OffBorder(b.outline, a.outline[4]) >= apart &&
         !IsInside(a.outline, 0.5 * (b.outline[1] + b.outline[2])) &&
         !IsInside(b.outline, 0.5 * (a.outline[1] + a.outline[2]));
}

bool AddFlaps(const std::vector<Flap>& flaps, DevelopedPiece& piece) {
  if (flaps.empty()) return true;
  std::vector<std::vector<Vec2>> added;
  for (const Flap& flap : flaps) added.push_back(flap.outline);
  const std::vector<ClippedRegion> joined = JoinedTo(piece.lines.front().points, added);
  // A flap that hangs together with another one would close a hole: then the sheet does without.
  if (joined.size() != 1 || !joined.front().holes.empty()) return false;
  piece.lines.front().points = joined.front().outline;
  for (const Flap& flap : flaps) piece.lines.push_back(flap.line);
  return true;
}

}  // namespace holeward
