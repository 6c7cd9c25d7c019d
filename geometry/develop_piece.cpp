#include "geometry/develop_piece.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "geometry/develop_cut_sheet.h"
#include "geometry/develop_cutout.h"
#include "geometry/develop_hold.h"
#include "geometry/develop_lines.h"
#include "geometry/polygon.h"
#include "geometry/wrap_piece.h"

namespace holeward {
namespace {

// Flaps and joined pieces may stretch this much; paper creases beyond.
constexpr double kMostStretch = 0.01;
// Where there is no other piece to fall back to, the marked lengths alone decide.
constexpr double kAnyStretch = 1.0;
// Lengths in the flaps count this little against those of the face.
constexpr double kFlapWeight = 1e-3;
// A vehicle direction lies in the sheet when its share in the surface is at least this.
constexpr double kLiesIn = 0.5;
constexpr int kOutlinePlaces = 72;
// Even an exact sheet lands only this near, by rounding, mm.
constexpr double kWrapRounding = 1e-6;

DevelopedPatch PatchOf(const PieceRequest& r, const PieceLayout& layout, double most_stretch) {
  SkinPatchOptions options;
  options.offset = r.Offset();
  options.flap_weight = kFlapWeight;
  options.core_from = layout.core_from;
  options.core_to = layout.core_to;
  options.give_up = 3.0 * most_stretch;
  return Develop(r.part->skin, layout.range, options);
}

// ---- Which way the sheet lies

struct Compass {
  Vec2 front = Vec2::Zero();
  Vec2 up = Vec2::Zero();
  std::string front_word = Told("FRONT");
  std::string up_word = Told("UP");
};

// Where front and up are asked for: the middle of the piece; on a round part the named line nearest
// the middle of the marks, where one of them lies in the surface and the other does not.
SkinPlace CompassPlace(const PieceRequest& r, const PieceLayout& layout) {
  const SkinRange& range = layout.range;
  SkinPlace p{0.5 * (range.u_from + range.u_to), 0.5 * (range.v_from + range.v_to)};
  if (!r.part->skin->round()) return p;
  double sum = 0.0;
  for (const PieceMark& m : r.marks) sum += OnLayout(r, layout, m.place).v;
  const double middle = std::round(sum / static_cast<double>(r.marks.size()));
  p.v = std::clamp(middle, range.v_from, range.v_to);
  return p;
}

// Front and up where they lie in the surface at `middle`; outboard in place of what does not.
Compass CompassAt(const DevelopedPatch& patch, const SkinPlace& middle, double outboard_y) {
  Compass out;
  const Vec2 front = patch.DirectionAt(middle, Vec3::UnitX());
  const Vec2 up = patch.DirectionAt(middle, Vec3::UnitZ());
  const Vec2 outboard = patch.DirectionAt(middle, outboard_y * Vec3::UnitY());
  const bool has_front = front.norm() > kLiesIn, has_up = up.norm() > kLiesIn;
  if (has_front) out.front = front.normalized();
  if (has_up) out.up = up.normalized();
  if (outboard.norm() <= kLiesIn || (has_front && has_up)) return out;
  if (!has_front) {
    out.front = outboard.normalized();
    out.front_word = Told("OUTBOARD");
  } else {
    out.up = outboard.normalized();
    out.up_word = Told("OUTBOARD");
  }
  return out;
}

struct Box {
  Vec2 lo = Vec2::Zero();
  Vec2 hi = Vec2::Zero();
};
Box BoundsOf(const std::vector<Vec2>& points) {
  Box b{points.front(), points.front()};
  for (const Vec2& p : points) {
    b.lo = b.lo.cwiseMin(p);
    b.hi = b.hi.cwiseMax(p);
  }
  return b;
}

// Turned so that the part runs along x or y, with up (else front, else outboard) upward and, after
// that, the long way along x; shifted to begin at (0, 0).
DevelopedPatch Laid(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch) {
  const SkinRange& range = layout.range;
  const SkinPlace middle = CompassPlace(r, layout);
  const double outboard_y = OutboardAt(r, patch.SurfaceAt(middle.u, middle.v).position);
  const Vec2 chord = patch.At(range.u_to, middle.v).at - patch.At(range.u_from, middle.v).at;
  const double level = -std::atan2(chord.y(), chord.x());
  const std::vector<Vec2> outline = CutLine(patch).points;
  auto bounds = [&](double angle) {
    std::vector<Vec2> turned;
    for (const Vec2& p : outline) turned.push_back(Eigen::Rotation2Dd(angle) * p);
    return BoundsOf(turned);
  };
  double best_score = -1e9, best_angle = level;
  for (int quarter = 0; quarter < 4; ++quarter) {
    const double angle = level + quarter * kPi / 2.0;
    const DevelopedPatch turned = patch.Moved(angle, Vec2::Zero());
    const Compass compass = CompassAt(turned, middle, outboard_y);
    const bool up = compass.up.norm() > 0.0 && compass.up_word == "UP";
    const Vec2 main = up ? compass.up : compass.front;
    const Box box = bounds(angle);
    const Vec2 size = box.hi - box.lo;
    const double score = main.y() + (size.x() >= size.y() ? 0.6 : 0.0) + 0.1 * main.x();
    if (score > best_score + 1e-9) {
      best_score = score;
      best_angle = angle;
    }
  }
  const DevelopedPatch turned = patch.Moved(best_angle, Vec2::Zero());
  return turned.Moved(0.0, -bounds(best_angle).lo);
}

// ---- Marks and their lengths

std::vector<FlatMark> MarksOf(const PieceRequest& r, const PieceLayout& layout,
                              const DevelopedPatch& patch) {
  std::vector<FlatMark> out;
  for (const PieceMark& m : r.marks) {
    const SkinPlace place = OnLayout(r, layout, m.place);
    FlatMark mark;
    mark.name = m.name;
    mark.at = patch.At(place).at;
    mark.diameters = m.diameters;
    mark.test = m.test;
    mark.foot = m.foot;
    double widest = m.foot;
    for (const double d : m.diameters) widest = std::max(widest, d);
    if (widest > 0.0) {
      for (const SkinPlace& p : HoleOutline(*r.part->skin, place, widest, m.axis)) {
        mark.outline.push_back(patch.At(p).at);
      }
    }
    out.push_back(std::move(mark));
  }
  return out;
}

// The place of an alignment line that is nearest to a mark on the sheet, by golden section.
SkinPlace FootOn(const AlignLine& a, const DevelopedPatch& patch, const Vec2& mark) {
  auto place = [&](double t) { return a.along ? SkinPlace{t, a.at} : SkinPlace{a.at, t}; };
  auto off = [&](double t) { return (patch.At(place(t)).at - mark).squaredNorm(); };
  double lo = a.from, hi = a.to;
  const double golden = 0.3819660112501051;
  for (int step = 0; step < 40; ++step) {
    const double left = lo + golden * (hi - lo), right = hi - golden * (hi - lo);
    (off(left) < off(right) ? hi : lo) = off(left) < off(right) ? right : left;
  }
  return place(0.5 * (lo + hi));
}

struct WorstLength {
  double error = 0.0;
  std::string what = "no length";
};

// Every marked length on the sheet against the skin: mark to mark, mark to alignment line.
WorstLength CheckLengths(const PieceRequest& r, const PieceLayout& layout,
                         const DevelopedPatch& patch, std::vector<FlatMark>& marks) {
  WorstLength worst;
  auto note = [&](FlatMark& mark, const LengthPair& pair, const std::string& to) {
    const double error = std::abs(pair.flat - pair.surface);
    mark.length_error = std::max(mark.length_error, error);
    if (error >= worst.error) worst = {error, fmt::format("{} to {}", mark.name, to)};
  };
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const SkinPlace from = OnLayout(r, layout, r.marks[i].place);
    for (std::size_t j = 0; j < i; ++j) {
      const LengthPair pair = patch.LengthsBetween(from, OnLayout(r, layout, r.marks[j].place));
      note(marks[i], pair, marks[j].name);
      note(marks[j], pair, marks[i].name);
    }
    for (const AlignLine& a : layout.align) {
      note(marks[i], patch.LengthsBetween(from, FootOn(a, patch, marks[i].at)), a.name);
    }
  }
  return worst;
}

// Lays the piece back on the skin and notes where its marks land. Returns what is wrong, in words;
// nothing where every mark lands within the limit.
std::string CheckWrap(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                      const std::vector<CutOut>& cuts, DevelopedPiece& piece) {
  WrapSheet sheet = WrapSheetOf(r, layout, patch, piece.marks);
  if (!cuts.empty()) sheet.outline = LeftOf(sheet.outline, cuts);
  if (sheet.edges.empty()) return "";  // laid by nothing yet: the caller gives it datums
  const Result<std::vector<WrapError>> laid = WrapErrors(sheet);
  if (!laid) return laid.error().message;
  const WrapError* worst = &laid->front();
  for (std::size_t k = 0; k < laid->size(); ++k) {
    piece.marks[k].wrap_error = (*laid)[k].error;
    if ((*laid)[k].error > worst->error) worst = &(*laid)[k];
  }
  piece.worst_wrap_error = worst->error;
  if (worst->error <= r.wrap_limit + kWrapRounding) return "";
  return fmt::format(
      "laid by the {} and smoothed outward, the mark {} would land {:.2f} mm from its place; the "
      "limit wrap_error is {:g} mm",
      worst->edge, worst->mark, worst->error, r.wrap_limit);
}

// How well the alignment holds the sheet. @pre the lines of layout.align are on the patch
SheetFix FixOfPiece(const PieceRequest& r, const PieceLayout& layout, const DevelopedPatch& patch,
                    const std::vector<FlatMark>& marks) {
  constexpr int kPlaces = 24;
  SheetHold sheet;
  for (const AlignLine& a : layout.align) {
    const double lo = std::max(a.from, a.along ? patch.u_from() : patch.v_from());
    const double hi = std::min(a.to, a.along ? patch.u_to() : patch.v_to());
    if (!(hi > lo)) continue;
    sheet.lines.emplace_back();
    for (int k = 0; k <= kPlaces; ++k) {
      const double t = lo + k * (hi - lo) / kPlaces;
      sheet.lines.back().push_back(a.along ? patch.At(t, a.at).at : patch.At(a.at, t).at);
    }
  }
  for (const FlatMark& m : marks) sheet.marks.push_back(m.at);
  const SkinPlace first = OnLayout(r, layout, r.marks.front().place);
  sheet.along = patch.At(first).du.normalized();
  if (layout.closed) {
    sheet.girth =
        (patch.At(first.u, patch.v_to()).at - patch.At(first.u, patch.v_from()).at).norm();
  }
  return FixOf(sheet);
}

struct Attempt {
  PieceResult result;
  WorstLength worst;
  std::string astray;  ///< why cut-outs or the wrap-back proof fail; empty: they hold
  bool sound = true;   ///< nowhere folded over
  bool holds = true;   ///< sound, and within the tolerance and the stretch allowed
};

// The piece before anything is cut out or checked: lines, marks and the way it lies.
DevelopedPiece Drawn(const PieceRequest& r, const PieceLayout& layout,
                     const DevelopedPatch& patch) {
  DevelopedPiece piece;
  piece.name = layout.name;
  piece.lines = PieceLines(*r.part, layout, patch);
  piece.marks = MarksOf(r, layout, patch);
  const SkinPlace middle = CompassPlace(r, layout);
  const Compass compass =
      CompassAt(patch, middle, OutboardAt(r, patch.SurfaceAt(middle.u, middle.v).position));
  piece.front = compass.front;
  piece.up = compass.up;
  piece.front_word = compass.front_word;
  piece.up_word = compass.up_word;
  return piece;
}

// Cuts a piece, through thin bridges of sheet where no alignment is lost with them.
std::string Cut(CutOuts& cuts, PieceLayout& layout, DevelopedPiece& piece) {
  const PieceLayout layout_before = layout;
  const DevelopedPiece piece_before = piece;
  std::vector<std::string> remarks;
  std::vector<CutOut> wider = WithoutThinBridges(cuts.all, piece);
  std::string wrong = CutSheet(wider, layout, piece, remarks);
  if (wrong.empty() && layout.not_shown.size() == layout_before.not_shown.size()) {
    cuts.all = std::move(wider);
  } else {
    layout = layout_before;
    piece = piece_before;
    remarks.clear();
    wrong = CutSheet(cuts.all, layout, piece, remarks);
  }
  cuts.remarks.insert(cuts.remarks.end(), remarks.begin(), remarks.end());
  return wrong;
}

Attempt TryPiece(const PieceRequest& r, const PieceLayout& layout, double most_stretch) {
  const DevelopedPatch patch = Laid(r, layout, PatchOf(r, layout, most_stretch));
  DevelopedPiece piece = Drawn(r, layout, patch);
  const StretchOfPatch stretch = patch.Measured();
  piece.stretch_max = stretch.max;
  piece.stretch_rms = stretch.rms;
  const bool unfolded = stretch.least_area > 0.0 && !CrossesItself(piece.lines.front().points);
  std::vector<Flap> flaps;
  if (unfolded) flaps = FlapsOf(r, layout, patch);
  if (!AddFlaps(flaps, piece)) flaps.clear();
  PieceLayout shown = layout;
  CutOuts cuts = CutOutsOf(r, layout, patch, piece.marks);
  std::string astray = cuts.wrong;
  if (astray.empty() && unfolded) astray = Cut(cuts, shown, piece);
  std::erase_if(flaps, [&](const Flap& flap) {
    return !IsInside(piece.lines.front().points, flap.Middle());
  });
  std::vector<std::string> remarks = cuts.remarks;
  for (const std::string& edge : EdgesWithoutFlap(r, shown, patch, flaps)) {
    remarks.push_back(fmt::format(
        "no flap finds room past the {}: mark its tangent line with a straightedge first", edge));
  }
  const std::string held = astray.empty() && unfolded ? AddHold(r, shown, patch, piece) : "";
  if (!held.empty()) remarks.push_back(held);
  const WorstLength worst = CheckLengths(r, shown, patch, piece.marks);
  piece.worst_length_error = worst.error;
  const bool sound = unfolded && !CrossesItself(piece.lines.front().points);
  const bool flat = sound && worst.error <= r.tolerance && piece.stretch_max <= most_stretch;
  if (flat && astray.empty()) astray = CheckWrap(r, shown, patch, cuts.all, piece);
  const SheetFix fix = FixOfPiece(r, shown, patch, piece.marks);
  return {{std::move(piece), patch, shown, fix, std::move(flaps), std::move(remarks)},
          worst,
          astray,
          sound,
          flat && astray.empty()};
}

tl::unexpected<Error> Refuse(const PieceRequest& r, const Attempt& a) {
  const DevelopedPiece& piece = a.result.piece;
  if (!a.astray.empty()) {
    return Fail(ErrorKind::job, fmt::format("{}, {}: {}", r.part->name, piece.name, a.astray));
  }
  return Fail(
      ErrorKind::job,
      fmt::format("{}, {}: the skin cannot be laid flat within {:.1f} mm{}; it stretches by "
                  "up to {:.2f} % and the length {} would be off by {:.2f} mm{}{}",
                  r.part->name, piece.name, r.tolerance,
                  a.sound ? "" : ", the sheet would overlap itself", 100.0 * piece.stretch_max,
                  a.worst.what, a.worst.error, r.instead.empty() ? "" : "; ", r.instead));
}

}  // namespace

std::vector<SkinPlace> HoleOutline(const Skin& skin, const SkinPlace& centre, double diameter,
                                   const std::optional<Vec3>& axis) {
  const SkinPoint at = skin.At(centre);
  const Vec3 along = axis ? *axis : at.normal;
  const Vec3 e1 = at.du.normalized();
  const Vec3 e2 = at.normal.cross(e1);
  Eigen::Matrix2d frame;
  frame << at.du.norm(), e1.dot(at.dv), 0.0, e2.dot(at.dv);
  const Eigen::Matrix2d to_parameters = frame.inverse();
  std::vector<SkinPlace> out;
  for (int k = 0; k < kOutlinePlaces; ++k) {
    const double angle = 2.0 * kPi * k / kOutlinePlaces;
    const Vec2 rate = to_parameters * Vec2(std::cos(angle), std::sin(angle));
    auto radius = [&](double s) {
      const Vec3 r =
          skin.At(centre.u + s * rate.x(), centre.v + s * rate.y()).position - at.position;
      return (r - along * along.dot(r)).norm() - 0.5 * diameter;
    };
    // Secant from the flat answer; the distance from the axis grows steadily near the hole.
    double s0 = 0.45 * diameter, s1 = 0.5 * diameter, r0 = radius(s0), r1 = radius(s1);
    for (int step = 0; step < 30 && std::abs(r1) > 1e-11 && r1 != r0; ++step) {
      const double s2 = std::clamp(s1 - r1 * (s1 - s0) / (r1 - r0), 0.1 * diameter, 2.0 * diameter);
      s0 = std::exchange(s1, s2);
      r0 = std::exchange(r1, radius(s1));
    }
    out.push_back({centre.u + s1 * rate.x(), centre.v + s1 * rate.y()});
  }
  return out;
}

Result<PieceResult> DevelopFacePiece(const PieceRequest& request, const Face& face) {
  const Attempt flapped = TryPiece(request, LayoutOnFace(request, face, true), kMostStretch);
  if (flapped.holds) return flapped.result;
  const Attempt bare = TryPiece(request, LayoutOnFace(request, face, false), kAnyStretch);
  if (bare.holds) return bare.result;
  return Refuse(request, bare);
}

Result<PieceResult> DevelopJoinedPiece(const PieceRequest& request) {
  // A flat-sided part can be had a face a piece instead; a round one cannot.
  const double most_stretch = request.part->skin->round() ? kAnyStretch : kMostStretch;
  const PieceLayout layout = LayoutJoined(request);
  PieceRequest open_request = request;
  open_request.wrap_up_to = 0.0;
  const PieceLayout open_layout = LayoutJoined(open_request);
  const bool may_open = layout.closed && !open_layout.closed;
  const Attempt joined = TryPiece(request, layout, may_open ? kMostStretch : most_stretch);
  if (joined.holds) return joined.result;
  if (!may_open) return Refuse(request, joined);
  const Attempt open = TryPiece(open_request, open_layout, most_stretch);
  if (open.holds) return open.result;
  return Refuse(request, open);
}

}  // namespace holeward
