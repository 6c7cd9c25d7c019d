#include "geometry/measure.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "geometry/nearest_on_curve.h"

namespace holeward {
namespace {

// Below this a reading has no direction, mm.
constexpr double kNoLength = 1e-9;
// Step of central differences in u (mm) and v (pieces): the laws are smooth on this scale.
constexpr double kStepU = 1e-3;
constexpr double kStepV = 1e-5;

double Cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

// The tangent vector g with g.X_u = by_u and g.X_v = by_v.
Vec3 TangentFrom(const SkinPoint& at, double by_u, double by_v) {
  const double e = at.du.dot(at.du);
  const double f = at.du.dot(at.dv);
  const double g = at.dv.dot(at.dv);
  const double det = e * g - f * f;
  if (!(det > 1e-14 * e * e)) return Vec3::Zero();
  const double cu = (g * by_u - f * by_v) / det;
  const double cv = (e * by_v - f * by_u) / det;
  return cu * at.du + cv * at.dv;
}

Vec3 InSkin(const SkinPoint& at, const Vec3& direction) {
  return direction - direction.dot(at.normal) * at.normal;
}

// One-sided evaluation: all places on the cell of the place itself, so differences do not straddle
// the border of a piece.
struct Cell {
  const Skin& skin;
  int span;
  int piece;
  Cell(const Skin& s, const SkinPlace& p) : skin(s), span(s.SpanOf(p.u)), piece(s.PieceOf(p.v)) {}
  [[nodiscard]] SkinPoint At(double u, double v) const { return skin.At(u, v, span, piece); }
};

using ParamFunction = std::function<double(double u, double v)>;

// Gradient of a function of (u, v) by central differences kept inside the piece of v.
Vec3 Gradient(const Skin& skin, const SkinPlace& place, const SkinPoint& at,
              const ParamFunction& f) {
  const double v = skin.Wrapped(place.v);
  const double floor = std::floor(v);
  const double low = std::max(v - kStepV, floor);
  const double high = std::min(v + kStepV, floor + 1.0 - 1e-12);
  const double by_u = (f(place.u + kStepU, v) - f(place.u - kStepU, v)) / (2.0 * kStepU);
  const double by_v = (f(place.u, high) - f(place.u, low)) / (high - low);
  return TangentFrom(at, by_u, by_v);
}

// A mitred part's lines have a kink at each of its stations, which no slope leads to.
double OrAKink(const Skin& skin, const Curve& curve, const Vec3& x, double t) {
  if (skin.law().smooth) return t;
  for (int i = 1; i < skin.span_count(); ++i) {
    const double kink = skin.span_start(i);
    if ((curve(kink).p - x).squaredNorm() < (curve(t).p - x).squaredNorm()) t = kink;
  }
  return t;
}

// A sharp corner is a piece of no width: a place on it is taken at the border of the nearer flat.
SkinPlace OffSharpCorner(const Skin& skin, SkinPlace place) {
  const int piece = skin.PieceOf(place.v);
  if (skin.KindOf(piece) != PieceKind::corner) return place;
  const int vertex = skin.closed() ? piece / 2 : piece / 2 + 1;
  if (skin.CornerRadiusAt(place.u, vertex) > kNoLength) return place;
  const double local = skin.Wrapped(place.v) - piece;
  place.v = skin.Wrapped(local < 0.5 ? piece - 1e-9 : piece + 1.0 + 1e-9);
  return place;
}

// A tangent line at a sharp corner borders a piece of no width: it is taken a hair inside its flat.
SkinLine OnFlat(const Skin& skin, const Origin& origin) {
  constexpr double kHair = 1e-9;  // of the flat's width: far below the tape's own accuracy
  SkinLine line = origin.line;
  if (origin.flat < 0 || origin.corner < 0) return line;
  if (skin.CornerRadiusAt(0.5 * skin.u_end(), origin.corner) > kNoLength) return line;
  const bool upper = CornersOf(skin, origin.flat).upper == origin.corner;
  line.v += upper ? -kHair : kHair;
  return line;
}

/// The tape of a reading nearby to begin from, if there is one.
const TapePath* SeedOf(const Sample* warm) { return warm && warm->path ? &*warm->path : nullptr; }

}  // namespace

Vec2 RoundDirection(double v) { return {std::sin(0.5 * kPi * v), -std::cos(0.5 * kPi * v)}; }

MeasureReader::MeasureReader(std::shared_ptr<const Skin> skin)
    : skin_(std::move(skin)),
      tape_(std::make_shared<TapeSolver>(std::make_shared<SkinSurface>(skin_))) {}

std::optional<Sample> MeasureReader::Read(const Measure& measure, const SkinPlace& wanted,
                                          const Sample* warm) const {
  if (!std::isfinite(wanted.u) || !std::isfinite(wanted.v)) return std::nullopt;
  const SkinPlace place = OffSharpCorner(*skin_, wanted);
  std::optional<Sample> sample;
  switch (measure.form) {
    case Measure::Form::tape:
      sample = ReadTape(measure.origin, place, SeedOf(warm));
      if (sample) sample->residual = sample->value - measure.value;
      break;
    case Measure::Form::rule: sample = ReadRule(measure, place, warm); break;
    case Measure::Form::square: sample = ReadSquare(measure, place); break;
    case Measure::Form::angle: sample = ReadAngle(measure, place); break;
    case Measure::Form::across:
    case Measure::Form::station: sample = ReadCoordinate(measure, place); break;
    case Measure::Form::middle: sample = ReadMiddle(measure, place, warm); break;
  }
  if (sample && !(std::isfinite(sample->residual) && sample->gradient.allFinite()))
    return std::nullopt;
  return sample;
}

// ---------------------------------------------------------------- tape

std::optional<Sample> MeasureReader::ReadTape(const Origin& origin, const SkinPlace& place,
                                              const TapePath* seed) const {
  Result<TapePath> path = Fail(ErrorKind::computed, "");
  switch (origin.kind) {
    case Origin::Kind::place: path = tape_->Path(origin.place, place, seed); break;
    case Origin::Kind::section:
      path = tape_->FromSection(origin.place.u, place, std::nullopt, seed);
      break;
    case Origin::Kind::line:
    case Origin::Kind::corner:
      path = tape_->FromLine(ToTapeLine(skin_, OnFlat(*skin_, origin)), place, std::nullopt, seed);
      break;
  }
  if (!path || path->length < kNoLength) return std::nullopt;
  Sample s;
  s.value = path->length;
  s.gradient = path->arrive;
  s.start_u = path->foot.u;
  s.start = skin_->At(path->foot.u, path->foot.v).position;
  if (origin.kind == Origin::Kind::corner) {
    const double u = path->foot.u;
    s.value += skin_->SetBackAt(u, origin.corner);
    s.start = skin_->SharpCornerAt(u, origin.corner);
    const double slope = (skin_->SetBackAt(u + kStepU, origin.corner) -
                          skin_->SetBackAt(u - kStepU, origin.corner)) /
                         (2.0 * kStepU);
    if (std::abs(slope) > 1e-12) {
      // The foot follows the place along the part; only a taper's second order is left out.
      const SkinPoint at = skin_->At(place.u, place.v);
      const Vec3 along = at.normal.cross(path->arrive);
      const double speed = skin_->At(u, path->foot.v).du.norm();
      s.gradient += slope * (along.dot(at.du) > 0.0 ? 1.0 : -1.0) / speed * along;
    }
  }
  s.path = std::move(*path);
  return s;
}

std::optional<Sample> MeasureReader::ReadMiddle(const Measure& m, const SkinPlace& place,
                                                const Sample* warm) const {
  auto first = ReadTape(m.origin, place, SeedOf(warm));
  auto second =
      ReadTape(m.second, place, warm && warm->second_path ? &*warm->second_path : nullptr);
  if (!first || !second) return std::nullopt;
  Sample s = *first;
  const double keep = 1.0 - m.fraction;
  const Vec3 gradient = keep * first->gradient - m.fraction * second->gradient;
  const double steep = gradient.norm();
  if (!(steep > 1e-6)) return std::nullopt;
  s.residual = (keep * first->value - m.fraction * second->value) / steep;
  s.gradient = gradient / steep;
  s.second_path = second->path;
  s.second_value = second->value;
  s.second_start = second->start;
  s.second_u = second->start_u;
  return s;
}

// ---------------------------------------------------------------- rule

std::optional<Sample> MeasureReader::ReadRule(const Measure& m, const SkinPlace& place,
                                              const Sample* warm) const {
  const SkinPoint at = skin_->At(place.u, place.v);
  const Skin& skin = *skin_;
  Sample s;
  const CurveRange along{0.0, skin.u_end()};
  switch (m.origin.kind) {
    case Origin::Kind::place: {
      s.start = skin.At(m.origin.place).position;
      s.start_u = m.origin.place.u;
      break;
    }
    case Origin::Kind::section: {
      const double u0 = m.origin.place.u;
      const Curve curve = [&](double v) {
        const SkinJet j = skin.JetAt(u0, v);
        return CurvePoint{j.position, j.dv, j.dvv};
      };
      const double turn = skin.piece_count();
      const CurveRange range =
          skin.closed() ? CurveRange{-turn, 2.0 * turn} : CurveRange{0.0, turn};
      s.foot = warm ? NearestOnCurve(curve, at.position, warm->foot, range)
                    : NearestRoundCurve(curve, at.position, skin.Wrapped(place.v), range);
      s.start = skin.At(u0, s.foot).position;
      s.start_u = u0;
      break;
    }
    case Origin::Kind::line: {
      const Curve curve = [&](double u) {
        const double v = VOfLine(skin, m.origin.line, u);
        const double v_u =
            (VOfLine(skin, m.origin.line, u + kStepU) - VOfLine(skin, m.origin.line, u - kStepU)) /
            (2.0 * kStepU);
        const SkinJet j = skin.JetAt(u, v);
        return CurvePoint{j.position, j.du + v_u * j.dv,
                          j.duu + 2.0 * v_u * j.duv + v_u * v_u * j.dvv};
      };
      s.foot = NearestOnCurve(curve, at.position, warm ? warm->foot : place.u, along);
      s.foot = OrAKink(skin, curve, at.position, s.foot);
      s.start = skin.At(s.foot, VOfLine(skin, m.origin.line, s.foot)).position;
      s.start_u = s.foot;
      break;
    }
    case Origin::Kind::corner: {
      const Curve curve = [&](double u) {
        constexpr double kStep = 1e-2;
        const Vec3 p = skin.SharpCornerAt(u, m.origin.corner);
        const Vec3 before = skin.SharpCornerAt(u - kStep, m.origin.corner);
        const Vec3 after = skin.SharpCornerAt(u + kStep, m.origin.corner);
        return CurvePoint{p, (after - before) / (2.0 * kStep),
                          (after - 2.0 * p + before) / (kStep * kStep)};
      };
      s.foot = NearestOnCurve(curve, at.position, warm ? warm->foot : place.u, along);
      s.foot = OrAKink(skin, curve, at.position, s.foot);
      s.start = skin.SharpCornerAt(s.foot, m.origin.corner);
      s.start_u = s.foot;
      break;
    }
  }
  const Vec3 step = at.position - s.start;
  s.value = step.norm();
  if (s.value < kNoLength) return std::nullopt;
  s.residual = s.value - m.value;
  s.gradient = InSkin(at, step / s.value);
  return s;
}

// ---------------------------------------------------------------- square

SectionLine SquareLine(const Skin& skin, const Origin& origin, double u) {
  SectionLine line;
  if (origin.kind == Origin::Kind::corner) {
    const int n = skin.vertex_count();
    const FlatCorners ends = CornersOf(skin, origin.flat);
    const bool at_lower = ends.lower == origin.corner;
    const int beyond = at_lower ? origin.corner - 1 : origin.corner + 1;
    line.foot = skin.VertexAt(u, origin.corner);
    const Vec2 across = skin.VertexAt(u, at_lower ? ends.upper : ends.lower) - line.foot;
    line.normal = across.normalized();
    if (!skin.closed() && (beyond < 0 || beyond >= n)) return line;
    // The try square's stock lies on the other flat.
    const Vec2 other = skin.VertexAt(u, (beyond + n) % n) - line.foot;
    const Vec2 normal = Vec2(-other.y(), other.x()).normalized();
    line.normal = normal.dot(across) < 0.0 ? Vec2(-normal) : normal;
    return line;
  }
  const double v = VOfLine(skin, origin.line, u);
  // A tangent line borders its flat: the flat it is read on counts, not the corner beside it.
  const int piece = origin.flat >= 0 ? origin.flat : skin.PieceOf(v);
  line.foot = skin.OutlineAt(u, v);
  if (skin.KindOf(piece) == PieceKind::flat) {
    const FlatCorners ends = CornersOf(skin, piece);
    line.normal = (skin.VertexAt(u, ends.upper) - skin.VertexAt(u, ends.lower)).normalized();
  } else {
    const Vec2 out = line.foot.normalized();
    line.normal = {-out.y(), out.x()};
  }
  return line;
}

std::optional<Sample> MeasureReader::ReadSquare(const Measure& m, const SkinPlace& place) const {
  const Skin& skin = *skin_;
  const SkinPoint at = skin.At(place.u, place.v);
  Sample s;
  double signed_value = 0.0;
  if (m.origin.kind == Origin::Kind::section) {
    const SectionFrame frame = skin.FrameAt(m.origin.place.u);
    signed_value = (at.position - frame.centre).dot(frame.tangent);
    s.start = at.position - signed_value * frame.tangent;
    s.start_u = m.origin.place.u;
    s.gradient = InSkin(at, frame.tangent);
  } else {
    const auto f = [&](double u, double v) {
      const SectionLine line = SquareLine(skin, m.origin, u);
      return (skin.OutlineAt(u, v) - line.foot).dot(line.normal);
    };
    signed_value = f(place.u, place.v);
    s.gradient = Gradient(skin, place, at, f);
    s.start_u = place.u;
    s.start = m.origin.kind == Origin::Kind::corner
                  ? skin.SharpCornerAt(place.u, m.origin.corner)
                  : skin.At(place.u, VOfLine(skin, m.origin.line, place.u)).position;
  }
  // A corner's reading is negative on the far side of its flat: no reading there.
  const bool one_sided = m.origin.kind == Origin::Kind::corner;
  const double sign = signed_value < 0.0 && !one_sided ? -1.0 : 1.0;
  s.value = sign * signed_value;
  s.gradient *= sign;
  s.residual = s.value - m.value;
  return s;
}

// ---------------------------------------------------------------- angle and coordinates

std::optional<Sample> MeasureReader::ReadAngle(const Measure& m, const SkinPlace& place) const {
  const Skin& skin = *skin_;
  const SkinPoint at = skin.At(place.u, place.v);
  const Vec2 p = skin.OutlineAt(place.u, place.v);
  const Vec2& from = m.angle_from;
  Sample s;
  const double angle = m.sense * std::atan2(Cross(from, p), from.dot(p));
  s.residual = std::remainder(angle - m.value, 2.0 * kPi);
  s.value = m.value + s.residual;
  // Measured about the direction of the place itself, so that no difference straddles the cut.
  const auto f = [&](double u, double v) {
    const Vec2 q = skin.OutlineAt(u, v);
    return m.sense * std::atan2(Cross(p, q), p.dot(q));
  };
  s.gradient = Gradient(skin, place, at, f);
  const Vec2 start = from * p.norm();
  s.start = skin.ToWorld(place.u, start);
  s.start_u = place.u;
  return s;
}

std::optional<Sample> MeasureReader::ReadCoordinate(const Measure& m,
                                                    const SkinPlace& place) const {
  const Skin& skin = *skin_;
  const SkinPoint at = skin.At(place.u, place.v);
  Sample s;
  double residual = 0.0;
  Vec3 gradient = Vec3::Zero();
  if (m.form == Measure::Form::station) {
    residual = skin.StationOf(place.u) - skin.StationOf(m.origin.place.u);
    const double rate =
        (skin.StationOf(place.u + kStepU) - skin.StationOf(place.u - kStepU)) / (2.0 * kStepU);
    gradient = TangentFrom(at, rate, 0.0);
    s.start = skin.At(m.origin.place.u, place.v).position;
    s.start_u = m.origin.place.u;
  } else if (m.origin.line.flat >= 0) {
    const SkinLine& line = m.origin.line;
    const auto f = [&](double u, double v) { return FractionAcross(skin, u, v, line.flat); };
    residual = f(place.u, place.v) - line.fraction;
    gradient = Gradient(skin, place, at, f);
  } else {
    residual = place.v - m.origin.line.v;
    if (skin.closed()) residual = std::remainder(residual, skin.piece_count());
    gradient = TangentFrom(at, 0.0, 1.0);
  }
  if (m.form == Measure::Form::across) {
    s.start = skin.At(place.u, VOfLine(skin, m.origin.line, place.u)).position;
    s.start_u = place.u;
  }
  const double steep = gradient.norm();
  if (!(steep > 1e-9)) return std::nullopt;
  s.residual = residual / steep;
  s.value = s.residual;
  s.gradient = gradient / steep;
  return s;
}

// ---------------------------------------------------------------- the side asked for

bool MeasureReader::OnRightSide(const Measure& measure, const Sample& sample,
                                const SkinPlace& place) const {
  if (!measure.toward) return true;
  const Toward& toward = *measure.toward;
  const bool middle = measure.form == Measure::Form::middle;
  if (toward.end != 0) {
    const bool before_second = (sample.second_u - place.u) * toward.end > 0.0;
    return (place.u - sample.start_u) * toward.end > 0.0 && (!middle || before_second);
  }
  const Vec3 position = skin_->At(place.u, place.v).position;
  const bool away = (position - sample.start).dot(toward.direction) > 0.0;
  if (!middle) return away;
  // Between the two, not beyond one of them, nor on the far side of a closed section.
  const bool near_side = !skin_->closed() || sample.value + sample.second_value <=
                                                 (0.5 + 1e-9) * skin_->Perimeter(place.u);
  return away && near_side && (sample.second_start - position).dot(toward.direction) > 0.0;
}

}  // namespace holeward
