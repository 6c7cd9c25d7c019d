#include "geometry/develop_align.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

namespace holeward {
namespace {

// How far a piece reaches past the side of a fitting it is aligned to, mm.
constexpr double kHook = 12.0;

// What is needed along the part: the marks with their margin, held to the part.
PieceExtent NeededU(const PieceRequest& r) {
  const PieceExtent marked = MarkedU(r);
  return {std::max(0.0, marked.from - r.margin),
          std::min(r.part->skin->u_end(), marked.to + r.margin)};
}

// The edge of a fitting on its side that faces `away`, with a place for its name.
const char* EdgePattern(const Vec3& away, double outboard_y) {
  const Vec3 size = away.cwiseAbs();
  if (size.z() >= size.x() && size.z() >= size.y()) {
    return away.z() > 0.0 ? Told("upper edge of the {}") : Told("lower edge of the {}");
  }
  if (size.x() >= size.y()) {
    return away.x() > 0.0 ? Told("front edge of the {}") : Told("rear edge of the {}");
  }
  return away.y() * outboard_y > 0.0 ? Told("outboard edge of the {}")
                                     : Told("inboard edge of the {}");
}

// Where a fitting's footprint lies: u range, and v range at its middle (v near `v_near`).
struct Footing {
  PieceExtent u;
  PieceExtent v;
};
Footing FootingOf(const Skin& skin, const Fitting& f, double v_near) {
  double v = f.centre.v;
  if (skin.closed()) v += skin.piece_count() * std::round((v_near - v) / skin.piece_count());
  const Footprint& p = f.footprint;
  const double half = p.disc ? p.radius : 0.5 * p.around;
  Footing out;
  out.u = p.disc ? PieceExtent{f.centre.u - p.radius, f.centre.u + p.radius}
                 : PieceExtent{p.u_from, p.u_to};
  out.v = {VAtOutline(skin, f.centre.u, v, -half), VAtOutline(skin, f.centre.u, v, half)};
  return out;
}

}  // namespace

void PieceExtent::Add(double x) {
  from = std::min(from, x);
  to = std::max(to, x);
}

PieceExtent MarkedU(const PieceRequest& r) {
  PieceExtent u{r.marks.front().place.u, r.marks.front().place.u};
  for (const PieceMark& m : r.marks) u.Add(m.place.u);
  return u;
}

double OutboardAt(const PieceRequest& request, const Vec3& position_world) {
  if (!request.part->shared) return request.outboard_y;
  return position_world.y() < 0.0 ? -1.0 : 1.0;
}

const NamedPlace* ShownAs(const PieceRequest& request, const std::string& name,
                          NamedPlace::Form form) {
  const auto found =
      std::find_if(request.shown.begin(), request.shown.end(),
                   [&](const NamedPlace& one) { return one.name == name && one.form == form; });
  return found == request.shown.end() ? nullptr : &*found;
}

Aligner::Aligner(const PieceRequest& request, const PieceExtent& v_marked)
    : r_(request),
      skin_(*request.part->skin),
      u_(NeededU(request)),
      v_marked_(v_marked),
      v_(v_marked) {}

bool Aligner::AlignToEnd(const std::string& name) {
  const bool start = name == r_.part->start;
  if (!start && name != r_.part->finish) return false;
  (start ? u_.from : u_.to) = start ? 0.0 : skin_.u_end();
  Across(name, Phrase(Told("cut edge flush with the {}"), {name}), start ? 0.0 : skin_.u_end());
  return true;
}

bool Aligner::AlignToFitting(const std::string& name, const std::string& only_face) {
  const auto& all = r_.part->fittings;
  const auto f = std::find_if(all.begin(), all.end(),
                              [&](const Fitting& x) { return x.name == name && !x.mirrored; });
  if (f == all.end()) return false;
  if (f->face.empty() || f->shape == FittingShape::eye) {
    u_.Add(f->centre.u);
    Across(name, Phrase(Told("lay this line level with the centre of the {}"), {name}),
           f->centre.u);
    return true;
  }
  if (!only_face.empty() && f->face != only_face) return false;
  f->footprint.disc ? AlignToDisc(*f) : AlignToSides(*f);
  return true;
}

bool Aligner::AlignToSection(const std::string& name) {
  const NamedPlace* const shown = ShownAs(r_, name, NamedPlace::Form::section);
  if (shown == nullptr) return false;
  u_.Add(shown->place.u);
  Across(name, Phrase(Told("lay this line level with the {}"), {name}), shown->place.u);
  return true;
}

void Aligner::Along(const std::string& name, Phrase words, double v) {
  v_.Add(v);
  lines_.push_back({name, std::move(words), true, v, 0.0, 0.0});
}
void Aligner::Across(const std::string& name, Phrase words, double u) {
  lines_.push_back({name, std::move(words), false, u, 0.0, 0.0});
}

void Aligner::Finish(PieceLayout& out) {
  for (AlignLine& line : lines_) {
    if (line.from == line.to) {
      line.from = line.along ? out.range.u_from : out.core_from;
      line.to = line.along ? out.range.u_to : out.core_to;
    }
  }
  out.align = lines_;
}

// Bracket, plate, seam: the sides that face the marks.
void Aligner::AlignToSides(const Fitting& f) {
  const Footing at = FootingOf(skin_, f, 0.5 * (v_marked_.from + v_marked_.to));
  const PieceExtent marked = MarkedU(r_);
  const SkinPoint middle = skin_.At(f.centre.u, f.centre.v);
  auto add = [&](bool along, double where, const PieceExtent& over, const Vec3& away) {
    const Phrase words(EdgePattern(away, OutboardAt(r_, middle.position)), {f.name});
    lines_.push_back({f.name, words, along, where, over.from, over.to});
  };
  const double hook_u = std::min(kHook, 0.5 * (at.u.to - at.u.from));
  const bool beside = marked.from > at.u.from && marked.to < at.u.to;
  const bool low_is_near = marked.from - at.u.from <= at.u.to - marked.to;
  if (marked.from <= at.u.from || (beside && low_is_near)) {
    u_.Add(std::clamp(at.u.from + hook_u, 0.0, skin_.u_end()));
    u_.Add(std::max(0.0, at.u.from - hook_u));
    add(false, at.u.from, at.v, -middle.du);
  }
  if (marked.to >= at.u.to || (beside && !low_is_near)) {
    u_.Add(std::clamp(at.u.to - hook_u, 0.0, skin_.u_end()));
    u_.Add(std::min(skin_.u_end(), at.u.to + hook_u));
    add(false, at.u.to, at.v, middle.du);
  }
  const double hook_v = std::min(kHook, 0.25 * f.footprint.around);
  if (v_marked_.to <= at.v.from) {
    v_.Add(VAtOutline(skin_, f.centre.u, at.v.from, hook_v));
    add(true, at.v.from, at.u, -middle.dv);
  } else if (v_marked_.from >= at.v.to) {
    v_.Add(VAtOutline(skin_, f.centre.u, at.v.to, -hook_v));
    add(true, at.v.to, at.u, middle.dv);
  }
}

// Stud, hole: their whole outline.
void Aligner::AlignToDisc(const Fitting& f) {
  const Footing at = FootingOf(skin_, f, 0.5 * (v_marked_.from + v_marked_.to));
  u_.Add(std::max(0.0, at.u.from - 3.0));
  u_.Add(std::min(skin_.u_end(), at.u.to + 3.0));
  v_.Add(at.v.from);
  v_.Add(at.v.to);
  const double v_middle = 0.5 * (at.v.from + at.v.to);
  const Phrase words(Told("cross on the centre of the {}"), {f.name});
  lines_.push_back({f.name, words, false, f.centre.u, at.v.from, at.v.to});
  lines_.push_back({f.name, words, true, v_middle, at.u.from, at.u.to});
}

}  // namespace holeward
