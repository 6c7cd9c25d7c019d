#include "geometry/develop_cutout.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "geometry/develop_shape.h"
#include "geometry/polygon.h"

namespace holeward {
namespace {

constexpr int kSideSteps = 40;
constexpr int kCircleSteps = 90;
// A footprint that reaches less than this onto the piece is not in its way, mm.
constexpr double kTouches = 0.01;
// An alignment line on a cut edge is drawn straight in the skin's parameters, the edge by girth: on
// a tapered part they differ by less than this, mm.
constexpr double kOnEdge = 0.3;
// Lines are cut at places this far apart, mm.
constexpr double kLineStep = 0.25;
// A slit keeps this far from the outline of a hole or foot, mm; more where there is room.
constexpr double kSlitClear = 5.0;
// A millimetre of slit across a line costs as much as so many beside it.
constexpr double kAcrossLine = 30.0;

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

// Makes one cut-out, or says what is wrong.
void AddCutOut(const PieceRequest& r, const PieceLayout& layout, const OnSheet& on,
               const Fitting& f, const std::vector<FlatMark>& marks, CutOuts& out) {
  CutOut cut;
  cut.fitting = f.name;
  cut.toe = on.Outline({0.0, 0.0, 0.0, 0.0});
  cut.tall = f.kind == "bracket" || f.shape == FittingShape::stud;
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
  const std::array<bool, 4> held = on.Held(layout);
  std::array<double, 4> gaps{};
  for (std::size_t k = 0; k < 4; ++k) gaps[k] = held[k] ? 0.0 : gap;
  const bool any = std::find(held.begin(), held.end(), true) != held.end();
  cut.words = WordsFor(f.name, gap, any);
  cut.outline = on.Outline(gaps);
  out.all.push_back(std::move(cut));
}

// ---- Cutting

// True where the sheet is cut away, or is no more.
bool IsGone(const std::vector<CutOut>& cuts, const SheetRegion& left, const Vec2& p) {
  const bool cut = std::any_of(cuts.begin(), cuts.end(), [&](const CutOut& c) {
    return IsInside(c.outline, p) && OffBorder(c.outline, p) > kOnEdge;
  });
  return cut || (!IsInside(left.outline, p) && OffBorder(left.outline, p) > kOnEdge);
}

// The parts of a polyline that are still on the sheet.
std::vector<std::vector<Vec2>> Kept(const std::vector<Vec2>& line, const std::vector<CutOut>& cuts,
                                    const SheetRegion& left) {
  std::vector<std::vector<Vec2>> out;
  bool open = false;
  auto add = [&](const Vec2& p) {
    const bool gone = IsGone(cuts, left, p);
    if (!gone && !open) out.emplace_back();
    if (!gone) out.back().push_back(p);
    open = !gone;
  };
  for (std::size_t k = 0; k + 1 < line.size(); ++k) {
    const int steps =
        std::max(1, static_cast<int>(std::ceil((line[k + 1] - line[k]).norm() / kLineStep)));
    for (int i = k == 0 ? 0 : 1; i <= steps; ++i) {
      add(line[k] + (line[k + 1] - line[k]) * (static_cast<double>(i) / steps));
    }
  }
  std::erase_if(out, [](const std::vector<Vec2>& part) { return part.size() < 2; });
  return out;
}

double LengthOf(const std::vector<Vec2>& line) {
  double length = 0.0;
  for (std::size_t k = 1; k < line.size(); ++k) length += (line[k] - line[k - 1]).norm();
  return length;
}

// A polyline without the places between that lie on it.
std::vector<Vec2> Straightened(const std::vector<Vec2>& line) {
  std::vector<Vec2> out;
  for (const Vec2& p : line) {
    while (out.size() > 1) {
      const Vec2 a = out[out.size() - 2], b = out.back();
      const Vec2 run = (p - a).normalized();
      const Vec2 off = b - a;
      if (std::abs(run.x() * off.y() - run.y() * off.x()) > 1e-6) break;
      out.pop_back();
    }
    out.push_back(p);
  }
  return out;
}

// Does a segment cross a polyline?
bool Crosses(const Vec2& a, const Vec2& b, const std::vector<Vec2>& line, bool closed) {
  auto side = [](const Vec2& p, const Vec2& q, const Vec2& x) {
    return (q.x() - p.x()) * (x.y() - p.y()) - (q.y() - p.y()) * (x.x() - p.x());
  };
  const std::size_t n = line.size();
  for (std::size_t k = 0; k + (closed ? 0 : 1) < n; ++k) {
    const Vec2 &c = line[k], &d = line[(k + 1) % n];
    if (side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0) return true;
  }
  return false;
}

double OffSegment(const Vec2& a, const Vec2& b, const Vec2& p) {
  const Vec2 run = b - a;
  const double share = std::clamp((p - a).dot(run) / std::max(run.squaredNorm(), 1e-300), 0.0, 1.0);
  return (a + share * run - p).norm();
}

bool ClearOfMarks(const Vec2& a, const Vec2& b, const std::vector<FlatMark>& marks) {
  return std::none_of(marks.begin(), marks.end(), [&](const FlatMark& mark) {
    double reach = 0.0;
    for (const Vec2& p : mark.outline) reach = std::max(reach, (p - mark.at).norm());
    return OffSegment(a, b, mark.at) < reach + kSlitClear;
  });
}

// Places of a closed polygon at most 2 mm apart.
std::vector<Vec2> Along(const std::vector<Vec2>& polygon) {
  std::vector<Vec2> out;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Vec2 &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
    const int steps = std::max(1, static_cast<int>(std::ceil((b - a).norm() / 2.0)));
    for (int i = 0; i < steps; ++i) out.push_back(a + (b - a) * (static_cast<double>(i) / steps));
  }
  return out;
}

// The cheapest straight slit from a hole to the border, clear of marks and of other holes.
std::optional<FlatLine> SlitFrom(std::size_t hole, const SheetRegion& left,
                                 const DevelopedPiece& piece) {
  std::optional<FlatLine> best;
  double least = 1e300;
  const std::vector<Vec2> border = Along(left.outline);
  for (const Vec2& a : Along(left.holes[hole])) {
    for (const Vec2& b : border) {
      double cost = (b - a).norm();
      if (cost >= least) continue;
      if (!ClearOfMarks(a, b, piece.marks) || Crosses(a, b, left.outline, true)) continue;
      const bool through = std::any_of(left.holes.begin(), left.holes.end(),
                                       [&](const auto& h) { return Crosses(a, b, h, true); });
      if (through) continue;
      for (const FlatLine& line : piece.lines) {
        if (line.kind == FlatLineKind::align && Crosses(a, b, line.points, line.closed))
          cost += kAcrossLine;
      }
      if (cost >= least) continue;
      least = cost;
      best = FlatLine{FlatLineKind::cut, {a, b}, false, {}};
    }
  }
  return best;
}

// Adds what is left of a line; the longest part keeps its words. Returns the length left.
double AddKept(const std::vector<std::vector<Vec2>>& parts, const FlatLine& line,
               std::vector<FlatLine>& out) {
  double length = 0.0, longest = -1.0;
  std::size_t worded = out.size();
  for (const std::vector<Vec2>& part : parts) {
    const double own = LengthOf(part);
    length += own;
    if (own > longest) worded = out.size();
    longest = std::max(longest, own);
    out.push_back({line.kind, Straightened(part), false, {}});
  }
  if (worded < out.size()) out[worded].words = line.words;
  return length;
}

// Whose cut-out a hole is.
const CutOut* Around(const std::vector<CutOut>& cuts, const std::vector<Vec2>& hole) {
  const CutOut* best = nullptr;
  double nearest = 1e300;
  for (const CutOut& cut : cuts) {
    const double off = OffBorder(cut.outline, hole.front());
    if (off >= nearest) continue;
    nearest = off;
    best = &cut;
  }
  return best;
}

// The lines of a piece that are left; takes lost alignment lines out of the layout.
std::vector<FlatLine> LeftLines(const std::vector<CutOut>& cuts, const SheetRegion& left,
                                const DevelopedPiece& piece, PieceLayout& layout) {
  std::vector<FlatLine> out;
  std::vector<bool> lost(layout.align.size(), false);
  std::size_t align = 0;
  for (std::size_t k = 1; k < piece.lines.size(); ++k) {
    const FlatLine& line = piece.lines[k];
    if (line.kind == FlatLineKind::fitting) {
      out.push_back(line);
      for (const CutOut& cut : cuts) {
        if (line.words == Phrase("{}", {cut.fitting})) out.back().words = cut.words;
      }
      continue;
    }
    const std::size_t first = out.size();
    const double length = AddKept(Kept(line.points, cuts, left), line, out);
    if (line.kind != FlatLineKind::align) continue;
    while (align < layout.align.size() && layout.align[align].words != line.words) ++align;
    if (align >= layout.align.size()) continue;
    const bool on_fitting = std::any_of(cuts.begin(), cuts.end(), [&](const CutOut& c) {
      return c.fitting == layout.align[align].name;
    });
    lost[align] = !on_fitting && length < kLeastAlign;
    if (lost[align]) out.resize(first);
    ++align;
  }
  std::vector<AlignLine> kept;
  for (std::size_t k = 0; k < lost.size(); ++k) {
    if (lost[k]) layout.not_shown.push_back(layout.align[k].name);
    if (!lost[k]) kept.push_back(layout.align[k]);
  }
  layout.align = std::move(kept);
  return out;
}

}  // namespace

CutOuts CutOutsOf(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                  const std::vector<FlatMark>& marks) {
  CutOuts out;
  const Skin& skin = *r.part->skin;
  const int count = skin.piece_count();
  const double middle = 0.5 * (layout.range.v_from + layout.range.v_to);
  for (const Fitting& f : r.part->fittings) {
    const bool stands =
        f.shape == FittingShape::stud || (f.shape == FittingShape::block && f.footprint.around > 0);
    if (!stands) continue;
    const double turns = skin.closed() ? std::round((middle - f.centre.v) / count) * count : 0.0;
    for (const double turn : {turns - count, turns, turns + count}) {
      if (turn != turns && !skin.closed()) continue;
      const OnSheet on(r, f, turn, patch);
      if (on.Touches()) AddCutOut(r, layout, on, f, marks, out);
      if (!out.wrong.empty()) return out;
    }
  }
  return out;
}

std::string CutSheet(const std::vector<CutOut>& cuts, PieceLayout& layout, DevelopedPiece& piece) {
  if (cuts.empty()) return "";
  std::vector<std::vector<Vec2>> removed;
  for (const CutOut& cut : cuts) removed.push_back(cut.outline);
  std::optional<SheetRegion> left;
  for (SheetRegion& region : CutFrom(piece.lines.front().points, removed)) {
    const auto has = [&](const FlatMark& m) { return IsInside(region.outline, m.at); };
    if (std::none_of(piece.marks.begin(), piece.marks.end(), has)) continue;
    if (left)
      return fmt::format("the cut-out round the {} would cut it apart", cuts.front().fitting);
    left = std::move(region);
  }
  if (!left) return fmt::format("the cut-out round the {} leaves nothing", cuts.front().fitting);
  piece.lines.front().points = left->outline;
  std::vector<FlatLine> rest = LeftLines(cuts, *left, piece, layout);
  piece.lines.resize(1);
  piece.lines.insert(piece.lines.end(), rest.begin(), rest.end());
  std::vector<FlatLine> holes;
  for (std::size_t k = 0; k < left->holes.size(); ++k) {
    holes.push_back({FlatLineKind::cut, left->holes[k], true, {}});
    const CutOut* cut = Around(cuts, left->holes[k]);
    if (cut == nullptr || !cut->tall) continue;
    if (const std::optional<FlatLine> slit = SlitFrom(k, *left, piece)) holes.push_back(*slit);
  }
  piece.lines.insert(piece.lines.begin() + 1, holes.begin(), holes.end());
  return "";
}

std::vector<Vec2> LeftOf(const std::vector<Vec2>& outline, const std::vector<CutOut>& cuts) {
  std::vector<std::vector<Vec2>> removed;
  for (const CutOut& cut : cuts) removed.push_back(cut.outline);
  const std::vector<SheetRegion> left = CutFrom(outline, removed);
  return left.empty() ? outline : left.front().outline;
}

}  // namespace holeward
