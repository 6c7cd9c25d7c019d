#include "geometry/develop_layout.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "geometry/develop_align.h"

namespace holeward {
namespace {

// A border nearer than this to what a piece needs is reached: no thin strip is left, mm.
constexpr double kSnap = 15.0;
// A flap is no wider than this round a corner, and this wide past a sharp one, mm.
constexpr double kWidestFlap = 12.0;
constexpr double kSharpFlap = 6.0;
// A joined piece that would leave less than this share of the girth, or this much, goes all round.
constexpr double kOpenShare = 0.2;
constexpr double kLeastOpen = 30.0;

double MeanU(const PieceRequest& r) {
  double sum = 0.0;
  for (const PieceMark& m : r.marks) sum += m.place.u;
  return sum / static_cast<double>(r.marks.size());
}

// Ends that are nearly reached are reached.
void SnapU(const PieceRequest& r, PieceExtent& u) {
  if (u.from < kSnap) u.from = 0.0;
  if (r.part->skin->u_end() - u.to < kSnap) u.to = r.part->skin->u_end();
}

Phrase EdgeWords(const Skin& skin, const std::string& name, int corner_piece) {
  const bool lip = !skin.closed() && (corner_piece < 0 || corner_piece >= skin.piece_count());
  if (lip) return Phrase(Told("cut edge flush with the {}"), {name});
  const int count = skin.piece_count();
  if (IsSharp(skin, (corner_piece + count) % count, 0.0)) {
    return Phrase(Told("lay this fold on the {}"), {name});
  }
  return Phrase(Told("lay this line on the tangent line of the {}"), {name});
}

// How far a flap past the border of a flat goes; the border itself where there is none.
double FlapEnd(const Skin& skin, double u, double border, bool upward) {
  const int count = skin.piece_count();
  int corner = static_cast<int>(std::lround(border)) + (upward ? 0 : -1);
  if (!skin.closed() && (corner < 0 || corner >= count)) return border;
  const int piece = (corner + count) % count;
  if (IsSharp(skin, piece, u)) {
    const double past = upward ? border + 1.0 : border - 1.0;
    return VAtOutline(skin, u, past, upward ? kSharpFlap : -kSharpFlap);
  }
  const double length = OutlineTo(skin, u, corner + 1.0) - OutlineTo(skin, u, corner);
  const double share = std::min(0.5, kWidestFlap / length);
  return upward ? border + share : border - share;
}

// A joined piece's edge called `name`, the one nearest the marks; nothing if no face has it.
struct FoundEdge {
  double v = 0.0;
  int corner = 0;
};
std::optional<FoundEdge> FindEdge(const PieceRequest& r, const std::string& name) {
  std::optional<FoundEdge> best;
  double nearest = 1e9;
  const double round = r.part->skin->closed() ? r.part->skin->piece_count() : 1e9;
  for (const Face& face : r.part->faces) {
    for (const bool second : {false, true}) {
      if ((second ? face.second_edge : face.first_edge) != name) continue;
      const double v = face.piece + (second ? 1.0 : 0.0);
      for (const PieceMark& m : r.marks) {
        const double off = std::abs(std::remainder(m.place.v - v, round));
        if (off >= nearest) continue;
        nearest = off;
        best = {v, second ? face.piece + 1 : face.piece - 1};
      }
    }
  }
  return best;
}

std::string JoinedName(const PieceRequest& r, const PieceLayout& layout) {
  const Part& part = *r.part;
  if (part.skin->round()) {
    if (layout.closed) return "all round";
    const double middle = part.skin->Wrapped(0.5 * (layout.range.v_from + layout.range.v_to));
    std::string best = "round";
    double nearest = 1e9;
    for (const NamedLine& line : part.lines) {
      const double off = std::abs(std::remainder(line.v - middle, part.skin->piece_count()));
      if (off < nearest) {
        nearest = off;
        best = line.name;
      }
    }
    return best;
  }
  std::string name;
  const int count = part.skin->piece_count();
  for (int k = static_cast<int>(std::floor(layout.range.v_from)); k < layout.range.v_to; ++k) {
    for (const Face& f : part.faces) {
      const bool here = f.piece == ((k % count) + count) % count;
      if (here && name.find(f.name) == std::string::npos)
        name += (name.empty() ? "" : ", ") + f.name;
    }
  }
  return name;
}

// v of everything a joined piece needs, in [0, count), sorted.
std::vector<double> Sorted(std::vector<double> v) {
  std::sort(v.begin(), v.end());
  return v;
}

}  // namespace

SkinPlace OnLayout(const PieceRequest& request, const PieceLayout& layout, SkinPlace place) {
  const Skin& skin = *request.part->skin;
  while (skin.closed() && place.v < layout.range.v_from) place.v += skin.piece_count();
  while (skin.closed() && place.v > layout.range.v_to) place.v -= skin.piece_count();
  return place;
}

PieceLayout LayoutOnFace(const PieceRequest& r, const Face& face, bool flaps) {
  const Skin& skin = *r.part->skin;
  const double lo = face.piece, hi = face.piece + 1.0;
  PieceLayout out;
  out.name = face.name;
  PieceExtent v{hi, lo}, marked{hi, lo};
  for (const PieceMark& m : r.marks) {
    marked.Add(m.place.v);
    v.Add(VAtOutline(skin, m.place.u, m.place.v, -r.margin));
    v.Add(VAtOutline(skin, m.place.u, m.place.v, r.margin));
  }
  Aligner lay(r, marked);
  lay.v() = {std::max(lo, v.from), std::min(hi, v.to)};
  for (const std::string& name : r.align) {
    if (lay.AlignToEnd(name) || lay.AlignToFitting(name, face.name) || lay.AlignToSection(name)) {
      continue;
    }
    const NamedPlace* const line = ShownAs(r, name, NamedPlace::Form::line);
    if (name == face.first_edge) {
      lay.Along(name, EdgeWords(skin, name, face.piece - 1), lo);
    } else if (name == face.second_edge) {
      lay.Along(name, EdgeWords(skin, name, face.piece + 1), hi);
    } else if (name == "middle") {
      lay.Along(name, Phrase(Told("lay this line on the middle of the {} face"), {face.name}),
                lo + 0.5);
    } else if (line != nullptr && line->place.v >= lo && line->place.v <= hi) {
      lay.Along(name, Phrase(Told("lay this line along the {} of the {}"), {name, r.part->name}),
                line->place.v);
    } else {
      out.not_shown.push_back(name);
    }
  }
  SnapU(r, lay.u());
  const double u = MeanU(r);
  v = {std::max(lo, lay.v().from), std::min(hi, lay.v().to)};
  const double before = OutlineTo(skin, u, lo);
  if (OutlineTo(skin, u, v.from) - before < kSnap) v.from = lo;
  if (OutlineTo(skin, u, hi) - OutlineTo(skin, u, v.to) < kSnap) v.to = hi;
  out.core_from = v.from;
  out.core_to = v.to;
  out.range = {lay.u().from, lay.u().to, v.from, v.to};
  if (flaps && v.from == lo) out.range.v_from = FlapEnd(skin, u, lo, false);
  if (flaps && v.to == hi) out.range.v_to = FlapEnd(skin, u, hi, true);
  lay.Finish(out);
  return out;
}

namespace {

// Puts a joined piece's v range round the marks: the widest gap is left out, or holds the seam.
void PlaceRange(const PieceRequest& r, std::vector<double> needed, PieceLayout& out) {
  const Skin& skin = *r.part->skin;
  const double u = MeanU(r);
  const int count = skin.piece_count();
  for (double& v : needed) v = skin.Wrapped(v);
  needed = Sorted(needed);
  if (!skin.closed()) {
    out.range.v_from = VAtOutline(skin, u, needed.front(), -r.margin);
    out.range.v_to = VAtOutline(skin, u, needed.back(), r.margin);
    return;
  }
  std::size_t widest = 0;
  double gap = -1.0;
  for (std::size_t k = 0; k < needed.size(); ++k) {
    const double next = k + 1 < needed.size() ? needed[k + 1] : needed[0] + count;
    const double wide = OutlineTo(skin, u, next) - OutlineTo(skin, u, needed[k]);
    if (wide > gap) {
      gap = wide;
      widest = k;
    }
  }
  const double girth = skin.Perimeter(u);
  const double left_out = gap - 2.0 * r.margin;
  out.closed = left_out < std::max(kLeastOpen, kOpenShare * girth) ||
               (skin.round() && girth <= r.wrap_up_to);
  if (!out.closed) {
    out.range.v_from = VAtOutline(skin, u, needed[(widest + 1) % needed.size()], -r.margin);
    out.range.v_to = VAtOutline(skin, u, needed[widest], r.margin);
    if (out.range.v_to < out.range.v_from) out.range.v_to += count;
    return;
  }
  double seam = VAtOutline(skin, u, needed[widest], 0.5 * gap);
  const bool corner = skin.KindOf(skin.PieceOf(seam)) == PieceKind::corner;
  if (corner) {
    // Two edges that meet on a flat hold better than on a corner.
    const double before = std::floor(seam) - 0.25;
    const double after = std::floor(seam) + 1.25;
    const bool fits = OutlineTo(skin, u, before) - OutlineTo(skin, u, needed[widest]) > 5.0;
    seam = fits ? before : after;
  }
  seam = skin.Wrapped(seam);
  out.range.v_from = seam;
  out.range.v_to = seam + count;
}

}  // namespace

PieceLayout LayoutJoined(const PieceRequest& r) {
  const Skin& skin = *r.part->skin;
  PieceLayout out;
  std::vector<double> needed;
  for (const PieceMark& m : r.marks) needed.push_back(m.place.v);
  // First round the marks alone, so that fittings are seen from where the marks are.
  PlaceRange(r, needed, out);
  auto unwrapped = [&](double v) {
    while (skin.closed() && v < out.range.v_from) v += skin.piece_count();
    while (skin.closed() && v > out.range.v_from + skin.piece_count()) v -= skin.piece_count();
    return v;
  };
  PieceExtent marked{unwrapped(needed[0]), unwrapped(needed[0])};
  for (const double v : needed) marked.Add(unwrapped(v));
  Aligner lay(r, marked);
  for (const std::string& name : r.align) {
    if (lay.AlignToEnd(name) || lay.AlignToFitting(name, "") || lay.AlignToSection(name)) continue;
    const auto& lines = r.part->lines;
    const auto line = std::find_if(lines.begin(), lines.end(),
                                   [&](const NamedLine& l) { return l.name == name; });
    const std::optional<FoundEdge> edge = FindEdge(r, name);
    const NamedPlace* const shown = ShownAs(r, name, NamedPlace::Form::line);
    if (line != lines.end()) {
      lay.Along(name, Phrase(Told("lay this line along the {} of the {}"), {name, r.part->name}),
                unwrapped(line->v));
    } else if (edge) {
      lay.Along(name, EdgeWords(skin, name, edge->corner), unwrapped(edge->v));
    } else if (shown != nullptr) {
      lay.Along(name, Phrase(Told("lay this line along the {} of the {}"), {name, r.part->name}),
                unwrapped(shown->place.v));
    } else {
      out.not_shown.push_back(name);
    }
  }
  needed.push_back(lay.v().from);
  needed.push_back(lay.v().to);
  out.closed = false;
  PlaceRange(r, needed, out);
  SnapU(r, lay.u());
  out.range.u_from = lay.u().from;
  out.range.u_to = lay.u().to;
  out.core_from = out.range.v_from;
  out.core_to = out.range.v_to;
  out.name = JoinedName(r, out);
  lay.Finish(out);
  for (AlignLine& line : out.align) {
    if (line.along) line.at = unwrapped(line.at);
    if (line.along || !skin.closed()) continue;
    const double turn = skin.piece_count() *
                        std::round((0.5 * (out.core_from + out.core_to - line.from - line.to)) /
                                   skin.piece_count());
    line.from = std::max(out.range.v_from, line.from + turn);
    line.to = std::min(out.range.v_to, line.to + turn);
  }
  return out;
}

}  // namespace holeward
