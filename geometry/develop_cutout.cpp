#include "geometry/develop_cutout.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <utility>

#include <fmt/format.h>

#include "geometry/polygon.h"

namespace holeward {
namespace {

constexpr int kSideSteps = 40;
constexpr int kCircleSteps = 90;
// A footprint that reaches less than this onto the piece is not in its way, mm.
constexpr double kTouches = 0.01;
// The outline of an eye: rays, their first step and how often it is halved, mm.
constexpr int kEyeRays = 72;
constexpr double kEyeStep = 2.0;
constexpr int kEyeHalvings = 24;
// An eye is looked for at so many places each way on each piece of the outline.
constexpr int kEyePlaces = 16;

// Flat place of (u, v); beyond the patch straight on, which is good enough for what is cut off.
Vec2 FlatAt(const DevelopedPatch& patch, double u, double v) {
  const double at_u = std::clamp(u, patch.u_from(), patch.u_to());
  const double at_v = std::clamp(v, patch.v_from(), patch.v_to());
  const FlatJet f = patch.At(at_u, at_v);
  return f.at + (u - at_u) * f.du + (v - at_v) * f.dv;
}

// A fitting as it lies on the turn of v that the piece is on.
class OnSheet {
 public:
  OnSheet(const PieceRequest& r, const Fitting& f, double turn, const DevelopedPatch& patch)
      : skin_(*r.part->skin), f_(f), v_(f.centre.v + turn), patch_(patch) {
    const Footprint& foot = f.footprint;
    per_u_ = skin_.At(f.centre).du.norm();
    half_ = foot.disc ? foot.radius : 0.5 * foot.around;
    u_from_ = foot.disc ? f.centre.u - foot.radius / per_u_ : foot.u_from;
    u_to_ = foot.disc ? f.centre.u + foot.radius / per_u_ : foot.u_to;
  }

  [[nodiscard]] bool Touches() const {
    const double slack = kTouches / per_u_;
    return u_to_ > patch_.u_from() + slack && u_from_ < patch_.u_to() - slack &&
           VAt(f_.centre.u, half_ - kTouches) > patch_.v_from() &&
           VAt(f_.centre.u, kTouches - half_) < patch_.v_to();
  }

  // Its outline grown by `gap` on the sides u_from, u_to, lower v, upper v.
  [[nodiscard]] std::vector<Vec2> Outline(const std::array<double, 4>& gap) const {
    if (f_.footprint.disc) return Circle(f_.footprint.radius + gap[0]);
    const double from = u_from_ - gap[0] / per_u_, to = u_to_ + gap[1] / per_u_;
    std::vector<Vec2> out;
    for (int k = 0; k < 4 * kSideSteps; ++k) {
      const double t = static_cast<double>(k % kSideSteps) / kSideSteps;
      const double low = -half_ - gap[2], high = half_ + gap[3];
      const std::array<std::pair<double, double>, 4> at{{{from + t * (to - from), low},
                                                         {to, low + t * (high - low)},
                                                         {to + t * (from - to), high},
                                                         {from, high + t * (low - high)}}};
      const auto& [u, girth] = at[static_cast<std::size_t>(k / kSideSteps)];
      out.push_back(FlatAt(patch_, u, VAt(u, girth)));
    }
    return out;
  }

  // Sides that the piece is aligned to, in the order of Outline().
  [[nodiscard]] std::array<bool, 4> Held(const PieceLayout& layout) const {
    std::array<bool, 4> held{};
    const double count = skin_.closed() ? skin_.piece_count() : 1e9;
    for (const AlignLine& line : layout.align) {
      if (line.name != f_.name) continue;
      if (f_.footprint.disc) return {true, true, true, true};
      if (!line.along) {
        held[0] = held[0] || std::abs(line.at - u_from_) < 1e-9;
        held[1] = held[1] || std::abs(line.at - u_to_) < 1e-9;
        continue;
      }
      const auto is = [&](double side) {
        return std::abs(std::remainder(line.at - VAt(f_.centre.u, side), count)) < 1e-6;
      };
      held[2] = held[2] || is(-half_);
      held[3] = held[3] || is(half_);
    }
    return held;
  }

 private:
  // v that lies `girth` mm from the fitting's middle line, at u.
  [[nodiscard]] double VAt(double u, double girth) const {
    return VAtOutline(skin_, std::clamp(u, 0.0, skin_.u_end()), v_, girth);
  }
  // By tape from the centre, which the sheet keeps: a circle when flat.
  [[nodiscard]] std::vector<Vec2> Circle(double radius) const {
    const Vec2 middle = FlatAt(patch_, f_.centre.u, v_);
    std::vector<Vec2> out;
    for (int k = 0; k < kCircleSteps; ++k) {
      const double angle = 2.0 * kPi * k / kCircleSteps;
      // Through the corners of a polygon round the circle: nowhere nearer than the radius.
      const double reach = radius / std::cos(kPi / kCircleSteps);
      out.push_back(middle + reach * Vec2(std::cos(angle), std::sin(angle)));
    }
    return out;
  }

  const Skin& skin_;
  const Fitting& f_;
  double v_;
  const DevelopedPatch& patch_;
  double per_u_ = 1.0, half_ = 0.0, u_from_ = 0.0, u_to_ = 0.0;
};

// An eye's cylinder where it comes through one piece of the outline.
class EyeOnSheet {
 public:
  EyeOnSheet(const Fitting& f, int piece, const DevelopedPatch& patch) : f_(f), patch_(patch) {
    const double per_u = patch.SurfaceAt(patch.u_from(), patch.v_from()).du.norm();
    const double reach = 0.75 * f.diameter / per_u;
    const double from = std::max(patch.u_from(), f.centre.u - reach);
    const double to = std::min(patch.u_to(), f.centre.u + reach);
    const double low = std::max(patch.v_from(), 1.0 * piece);
    const double high = std::min(patch.v_to(), piece + 1.0);
    if (!(to > from) || !(high > low)) return;
    for (int i = 0; i <= kEyePlaces; ++i) {
      for (int j = 0; j <= kEyePlaces; ++j) {
        const SkinPlace p{from + i * (to - from) / kEyePlaces, low + j * (high - low) / kEyePlaces};
        const double off = Off(p, 0.0);
        if (off >= deepest_) continue;
        deepest_ = off;
        middle_ = p;
      }
    }
  }

  [[nodiscard]] bool Touches() const { return deepest_ < -kTouches; }
  [[nodiscard]] Vec2 Middle() const { return patch_.At(middle_).at; }

  // Its outline grown by `gap`, by rays from its deepest place: its section is convex but for the
  // skin's own bend.
  [[nodiscard]] std::vector<Vec2> Outline(double gap) const {
    const SkinPoint s = patch_.SurfaceAt(middle_.u, middle_.v);
    std::vector<Vec2> out;
    for (int k = 0; k < kEyeRays; ++k) {
      const double angle = 2.0 * kPi * k / kEyeRays;
      const double du = std::cos(angle) / s.du.norm(), dv = std::sin(angle) / s.dv.norm();
      const auto at = [&](double t) { return SkinPlace{middle_.u + t * du, middle_.v + t * dv}; };
      double low = 0.0, high = kEyeStep;
      while (Off(at(high), gap) < 0.0 && high < 4.0 * f_.diameter) {
        low = high;
        high += kEyeStep;
      }
      for (int step = 0; step < kEyeHalvings; ++step) {
        const double half = 0.5 * (low + high);
        (Off(at(half), gap) < 0.0 ? low : high) = half;
      }
      const SkinPlace p = at(high);
      out.push_back(FlatAt(patch_, p.u, p.v));
    }
    return out;
  }

 private:
  // Distance from the cylinder grown by `gap`, mm; beyond the patch of the surface straight on.
  [[nodiscard]] double Off(const SkinPlace& p, double gap) const {
    const double u = std::clamp(p.u, patch_.u_from(), patch_.u_to());
    const double v = std::clamp(p.v, patch_.v_from(), patch_.v_to());
    const SkinPoint s = patch_.SurfaceAt(u, v);
    const Vec3 at = s.position + (p.u - u) * s.du + (p.v - v) * s.dv;
    const Vec3 axis = f_.cylinder_to - f_.cylinder_from;
    const double along = (at - f_.cylinder_from).dot(axis) / axis.norm();
    const double away = (at - f_.cylinder_from - along * axis.normalized()).norm();
    return std::max({away - 0.5 * f_.diameter, -along, along - axis.norm()}) - gap;
  }

  const Fitting& f_;
  const DevelopedPatch& patch_;
  SkinPlace middle_;
  double deepest_ = 1e300;
};

// Room between a fitting's outline and the nearest printed hole or foot; negative over it.
struct Room {
  double mm = 1e300;
  std::string mark;
};
Room RoomBeside(const std::vector<Vec2>& toe, const std::vector<FlatMark>& marks) {
  Room least;
  for (const FlatMark& mark : marks) {
    std::vector<Vec2> places = mark.outline;
    places.push_back(mark.at);
    for (const Vec2& p : places) {
      const double off = IsInside(toe, p) ? -OffBorder(toe, p) : OffBorder(toe, p);
      if (off < least.mm) least = {off, mark.name};
    }
  }
  return least;
}

Phrase WordsFor(const std::string& name, double gap, bool held) {
  if (held) return Phrase(Told("cut edge against the {}"), {name});
  return Phrase(Told("{}: cut out {} mm clear all round"), {name, fmt::format("{:.1f}", gap)});
}

// Something that stands in a piece's way; its outline grown by a gap.
struct Standing {
  const Fitting& fitting;
  bool held = false;
  std::function<std::vector<Vec2>(double gap)> outline;
};

// Makes one cut-out, or says what is wrong.
void AddCutOut(const PieceRequest& r, const Standing& stands, const std::vector<FlatMark>& marks,
               CutOuts& out) {
  const Fitting& f = stands.fitting;
  CutOut cut;
  cut.fitting = f.name;
  cut.eye = f.shape == FittingShape::eye;
  cut.toe = stands.outline(0.0);
  cut.tall = f.kind == "bracket" || f.shape == FittingShape::stud || cut.eye;
  cut.held = stands.held;
  const Room room = RoomBeside(cut.toe, marks);
  if (room.mm < 0.0) {
    out.wrong =
        fmt::format("the outline of {} lies over the {} by {:.1f} mm", room.mark, f.name, -room.mm);
    return;
  }
  const double gap = std::clamp(room.mm - kMarkKeeps, 0.0, r.gap);
  if (gap < r.gap) {
    out.remarks.push_back(
        fmt::format("the cut-out round the {} is only {:.1f} mm clear of it, so "
                    "that {} stays whole",
                    f.name, gap, room.mark));
  }
  cut.words = WordsFor(f.name, gap, stands.held);
  cut.outline = stands.outline(gap);
  out.all.push_back(std::move(cut));
}

// On one turn of the outline.
void AddFitting(const PieceRequest& r, const PieceLayout& layout, const OnSheet& on,
                const Fitting& f, const std::vector<FlatMark>& marks, CutOuts& out) {
  const std::array<bool, 4> held = on.Held(layout);
  const bool any = std::find(held.begin(), held.end(), true) != held.end();
  const auto outline = [&](double gap) {
    std::array<double, 4> gaps{};
    for (std::size_t k = 0; k < 4; ++k) gaps[k] = held[k] ? 0.0 : gap;
    return on.Outline(gaps);
  };
  AddCutOut(r, {f, any, outline}, marks, out);
}

// Wherever its cylinder comes through the sheet.
void AddEye(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
            const Fitting& f, const std::vector<FlatMark>& marks, CutOuts& out) {
  const bool held = std::any_of(layout.align.begin(), layout.align.end(),
                                [&](const AlignLine& line) { return line.name == f.name; });
  const int first = static_cast<int>(std::floor(patch.v_from()));
  for (int piece = first; piece < patch.v_to(); ++piece) {
    const EyeOnSheet on(f, piece, patch);
    if (!on.Touches()) continue;
    const bool known = std::any_of(out.all.begin(), out.all.end(), [&](const CutOut& c) {
      return c.eye && IsInside(c.outline, on.Middle());
    });
    if (known) continue;
    const auto outline = [&](double gap) { return on.Outline(held ? 0.0 : gap); };
    AddCutOut(r, {f, held, outline}, marks, out);
    if (!out.wrong.empty()) return;
  }
}

}  // namespace

CutOuts CutOutsOf(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                  const std::vector<FlatMark>& marks) {
  CutOuts out;
  const Skin& skin = *r.part->skin;
  const int count = skin.piece_count();
  const double middle = 0.5 * (layout.range.v_from + layout.range.v_to);
  for (const Fitting& f : r.part->fittings) {
    if (f.shape == FittingShape::eye && f.diameter > 0.0) {
      AddEye(r, layout, patch, f, marks, out);
      if (!out.wrong.empty()) return out;
      continue;
    }
    const bool stands =
        f.shape == FittingShape::stud || (f.shape == FittingShape::block && f.footprint.around > 0);
    if (!stands) continue;
    const double turns = skin.closed() ? std::round((middle - f.centre.v) / count) * count : 0.0;
    for (const double turn : {turns - count, turns, turns + count}) {
      if (turn != turns && !skin.closed()) continue;
      const OnSheet on(r, f, turn, patch);
      if (on.Touches()) AddFitting(r, layout, on, f, marks, out);
      if (!out.wrong.empty()) return out;
    }
  }
  return out;
}

}  // namespace holeward
