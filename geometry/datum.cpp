#include "geometry/datum.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

// Two ways a direction may point are told apart only when they differ by more than this share.
constexpr double kSameShare = 0.25;
// A direction with less than this component along something does not follow it.
constexpr double kFollows = 0.05;

double Nearest(double v, double about, const Skin& skin) {
  if (!skin.closed()) return v;
  const double turn = skin.piece_count();
  return v - turn * std::round((v - about) / turn);
}

}  // namespace

FlatCorners CornersOf(const Skin& skin, int flat) {
  const int n = skin.vertex_count();
  const int k = flat / 2;
  if (!skin.closed()) return {k, k + 1};
  return {(k + n - 1) % n, k};
}

double FlatWidth(const Skin& skin, double u, int flat) {
  const FlatCorners ends = CornersOf(skin, flat);
  return (skin.VertexAt(u, ends.upper) - skin.VertexAt(u, ends.lower)).norm();
}

double FractionAcross(const Skin& skin, double u, double v, int flat) {
  const FlatCorners ends = CornersOf(skin, flat);
  const Vec2 lower = skin.VertexAt(u, ends.lower);
  const Vec2 across = skin.VertexAt(u, ends.upper) - lower;
  return (skin.OutlineAt(u, v) - lower).dot(across) / across.squaredNorm();
}

double WalkAround(const Skin& skin, double u, double v, double girth_mm) {
  const double origin = skin.OutlineLength(u, skin.law().girth_origin_v);
  const double girth = skin.OutlineLength(u, skin.Wrapped(v)) - origin + girth_mm;
  return Nearest(skin.VOfGirth(u, girth), v, skin);
}

double WalkAlong(const Skin& skin, const SkinPlace& from, double length_mm) {
  // Runge-Kutta of order four on du/ds = 1 / |X_u|; the steps are short against any bend.
  auto rate = [&](double u) { return 1.0 / skin.At(u, from.v).du.norm(); };
  const int steps = std::max(4, static_cast<int>(std::ceil(std::abs(length_mm) / 2.0)));
  const double h = length_mm / steps;
  double u = from.u;
  for (int i = 0; i < steps; ++i) {
    const double k1 = rate(u);
    const double k2 = rate(u + 0.5 * h * k1);
    const double k3 = rate(u + 0.5 * h * k2);
    const double k4 = rate(u + h * k3);
    u += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
  }
  return u;
}

double VOfLine(const Skin& skin, const SkinLine& line, double u) {
  double v = line.v;
  if (line.flat >= 0) {
    const FlatCorners ends = CornersOf(skin, line.flat);
    const double width = FlatWidth(skin, u, line.flat);
    const double before = skin.SetBackAt(u, ends.lower);
    const double straight = width - before - skin.SetBackAt(u, ends.upper);
    v = line.flat + (line.fraction * width - before) / std::max(straight, 1e-9);
  }
  return line.offset == 0.0 ? v : WalkAround(skin, u, v, line.offset);
}

SkinLine LineThrough(const Skin& skin, const SkinPlace& place) {
  SkinLine line;
  line.v = skin.Wrapped(place.v);
  const int piece = skin.PieceOf(place.v);
  if (skin.KindOf(piece) == PieceKind::flat) {
    line.flat = piece;
    line.fraction = FractionAcross(skin, place.u, place.v, piece);
  }
  return line;
}

TapeLine ToTapeLine(const std::shared_ptr<const Skin>& skin, const SkinLine& line) {
  if (line.flat < 0 && line.offset == 0.0) return TapeLine::Constant(line.v);
  if (skin->is_prismatic()) return TapeLine::Constant(VOfLine(*skin, line, 0.5 * skin->u_end()));
  TapeLine curve;
  curve.curve = [skin, line](double u) {
    constexpr double kStep = 1e-3;
    const double before = VOfLine(*skin, line, u - kStep);
    const double here = VOfLine(*skin, line, u);
    const double after = VOfLine(*skin, line, u + kStep);
    return TapeLine::Value{here, (after - before) / (2.0 * kStep),
                           (after - 2.0 * here + before) / (kStep * kStep)};
  };
  return curve;
}

// ---------------------------------------------------------------- datums

Result<Run> RunOf(const Skin& skin, const Datum& datum, const Toward& toward) {
  if (toward.end != 0) {
    if (datum.kind == Datum::Kind::edge || datum.kind == Datum::Kind::line) {
      return Fail(ErrorKind::job,
                  fmt::format("\"{}\" runs along the part and is read around it; toward = \"{}\" "
                              "goes along it",
                              datum.name, toward.word));
    }
    return Run::along;
  }
  const SectionFrame frame = skin.FrameAt(datum.place.u);
  const double along = std::abs(toward.direction.dot(frame.tangent));
  const double around =
      (toward.direction - toward.direction.dot(frame.tangent) * frame.tangent).norm();
  const double more = std::max(along, around);
  const bool alike = std::abs(along - around) <= kSameShare * more;
  const Run run = along > around ? Run::along : Run::around;
  const bool only_along = datum.kind == Datum::Kind::end;
  const bool only_around = datum.kind == Datum::Kind::edge || datum.kind == Datum::Kind::line;
  if ((only_along && run == Run::around && !alike) ||
      (only_around && run == Run::along && !alike)) {
    return Fail(
        ErrorKind::job,
        fmt::format("\"{}\" is read {} the part; toward = \"{}\" goes {} it there", datum.name,
                    only_along ? "along" : "around", toward.word, only_along ? "around" : "along"));
  }
  if (only_along) return Run::along;
  if (only_around) return Run::around;
  if (alike) {
    return Fail(
        ErrorKind::job,
        fmt::format("toward = \"{}\" follows the part at \"{}\" along ({:.2f}) about as much "
                    "as around ({:.2f}); name an end of the part, or a direction across it",
                    toward.word, datum.name, along, around));
  }
  return run;
}

namespace {

// +1 where the wish goes with u (along) or with v (around) at the datum, -1 against, 0 neither.
int SideOf(const Skin& skin, const Datum& datum, const OriginWish& wish) {
  if (wish.end != 0) return wish.end;
  const SkinPoint at = skin.At(datum.place.u, datum.place.v);
  const Vec3 way = wish.run == Run::along ? at.du.normalized() : at.dv.normalized();
  const double component = wish.direction.dot(way);
  if (std::abs(component) < kFollows) return 0;
  return component > 0.0 ? 1 : -1;
}

}  // namespace

Result<Origin> OriginOf(const Skin& skin, const Datum& datum, const OriginWish& wish) {
  Origin origin;
  origin.place = datum.place;
  origin.line = datum.line;
  origin.corner = datum.corner;
  origin.flat = datum.flat;
  const bool along = wish.run == Run::along;
  switch (datum.kind) {
    case Datum::Kind::end: origin.kind = Origin::Kind::section; return origin;
    case Datum::Kind::edge:
      origin.kind = wish.sharp ? Origin::Kind::corner : Origin::Kind::line;
      return origin;
    case Datum::Kind::line: origin.kind = Origin::Kind::line; return origin;
    case Datum::Kind::point: origin.kind = Origin::Kind::place; return origin;
    case Datum::Kind::centre:
      origin.kind = along ? Origin::Kind::section : Origin::Kind::line;
      return origin;
    case Datum::Kind::outline: break;
  }
  const int side = SideOf(skin, datum, wish);
  if (side == 0) {
    return Fail(ErrorKind::job,
                fmt::format("\"{}\" has no side that way; measure toward where its outline faces",
                            datum.name));
  }
  if (along) {
    origin.kind = Origin::Kind::section;
    origin.place.u = side > 0 ? datum.u_to : datum.u_from;
    return origin;
  }
  origin.kind = Origin::Kind::line;
  origin.line.offset += side * datum.around_half;
  return origin;
}

}  // namespace holeward
