#include "geometry/solid_law.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/LU>
#include <fmt/format.h>

namespace holeward {
namespace {

// Lengths below this are nothing, mm.
constexpr double kNothing = 1e-9;
// An inner corner of a smaller radius than this is built sharp; the wall is then thicker there by
// at most (sqrt 2 - 1) of it, under half of what a built solid may deviate.
constexpr double kInnerSharp = 0.02;
// A law that departs from a straight line by less than this is one, mm.
constexpr double kStraight = 1e-9;
// Places along the part at which corners and flats are looked at.
constexpr int kPlaces = 48;

}  // namespace

Result<HollowLaw> HollowLaw::Make(const Skin& skin, double wall, std::array<bool, 2> closed) {
  if (!(wall > kNothing)) {
    return Fail(ErrorKind::job, fmt::format("a wall of {:g} mm leaves no metal", wall));
  }
  HollowLaw law(skin, wall, closed);
  if (!skin.closed() && (closed[0] || closed[1])) {
    return Fail(ErrorKind::job, "a channel is open at its ends; write ends = [\"open\", \"open\"]");
  }
  if (skin.length() <= wall * (closed[0] + closed[1] + 1.0)) {
    return Fail(ErrorKind::job,
                fmt::format("a wall of {:g} mm does not fit in a part {:.1f} mm long", wall,
                            skin.length()));
  }
  if (auto error = law.SortCorners()) {
    return tl::unexpected<Error>(*error);
  }
  law.FindSegments();
  return law;
}

double HollowLaw::TurnAt(int corner, double u) const {
  const int n = skin_->vertex_count();
  const Vec2 at = skin_->VertexAt(u, corner);
  const Vec2 before = at - skin_->VertexAt(u, (corner + n - 1) % n);
  const Vec2 after = skin_->VertexAt(u, (corner + 1) % n) - at;
  return std::atan2(before.x() * after.y() - before.y() * after.x(), before.dot(after));
}

std::optional<Error> HollowLaw::SortCorners() {
  inner_corner_.assign(static_cast<std::size_t>(skin_->piece_count()), Corner::none);
  outer_present_.assign(inner_corner_.size(), true);
  if (skin_->round()) {
    std::fill(inner_corner_.begin(), inner_corner_.end(), Corner::round);
    return TubeFault();
  }
  for (int piece = 0; piece < skin_->piece_count(); ++piece) {
    const auto i = static_cast<std::size_t>(piece);
    const auto [least, most] = SizesOf(piece);
    outer_present_[i] = most > 1e-6;
    if (skin_->KindOf(piece) == PieceKind::corner) {
      const auto corner = CornerOf(piece, least, most);
      if (!corner) {
        return corner.error();
      }
      inner_corner_[i] = *corner;
    } else if (outer_present_[i] && least < 1e-6) {
      return Error{ErrorKind::computed,
                   "a flat vanishes between its corners at one station and not at another"};
    }
  }
  return std::nullopt;
}

std::optional<Error> HollowLaw::TubeFault() const {
  for (int i = 0; i <= kPlaces; ++i) {
    const double radius = skin_->RadiusAt(skin_->u_end() * i / kPlaces);
    if (radius <= wall_) {
      return Error{ErrorKind::job, fmt::format("a wall of {:g} mm fills a tube {:g} mm across",
                                               wall_, 2.0 * radius)};
    }
  }
  return std::nullopt;
}

// The least and the greatest radius of a corner or width of a flat along the part.
std::array<double, 2> HollowLaw::SizesOf(int piece) const {
  const bool corner = skin_->KindOf(piece) == PieceKind::corner;
  double least = 1e300;
  double most = 0.0;
  for (int step = 0; step <= kPlaces; ++step) {
    const double u = skin_->u_end() * step / kPlaces;
    const double size = corner
                            ? skin_->CornerRadiusAt(u, VertexOf(piece))
                            : skin_->OutlineLength(u, piece + 1) - skin_->OutlineLength(u, piece);
    least = std::min(least, size);
    most = std::max(most, size);
  }
  return {least, most};
}

Result<HollowLaw::Corner> HollowLaw::CornerOf(int piece, double least, double most) const {
  if (TurnAt(VertexOf(piece), 0.0) < 0.0) {
    if (least < kInnerSharp) {
      return Fail(ErrorKind::job, "an inward corner needs a corner radius");
    }
    return Corner::round;
  }
  if (most - wall_ > kInnerSharp && least - wall_ <= 0.0) {
    return Fail(ErrorKind::computed,
                fmt::format("a corner goes from {:g} mm, below the wall of {:g} mm, to {:g} mm, "
                            "above it; keep it on one side",
                            least, wall_, most));
  }
  return most - wall_ > kInnerSharp ? Corner::round : Corner::sharp;
}

int HollowLaw::VertexOf(int piece) const { return skin_->closed() ? piece / 2 : piece / 2 + 1; }

bool HollowLaw::Present(int piece, bool inner) const {
  const auto i = static_cast<std::size_t>(piece);
  if (inner && skin_->KindOf(piece) == PieceKind::corner) {
    return inner_corner_[i] == Corner::round;
  }
  return outer_present_[i];
}

double HollowLaw::Weight(int piece, double u) const {
  if (skin_->round()) {
    return std::sqrt(0.5);
  }
  return std::cos(0.5 * TurnAt(VertexOf(piece), u));
}

// ---------------------------------------------------------------- segments

void HollowLaw::FindSegments() {
  const int spans = skin_->span_count();
  const bool one = skin_->law().smooth || (skin_->is_straight() && skin_->is_prismatic());
  if (one) {
    segments_.push_back({0, spans - 1, false, false});
  } else {
    for (int i = 0; i < spans; ++i) {
      segments_.push_back({i, i, false, false});
    }
  }
  for (Segment& s : segments_) {
    s.outer_linear = IsLinear(s, false);
    s.inner_linear = s.outer_linear && IsLinear(s, true);
    if (!skin_->closed()) {
      s.outer_linear = s.inner_linear;  // lips are ruled between strips of the same breaks
    }
  }
}

// True when every line along the segment is straight and evenly parametrized.
bool HollowLaw::IsLinear(const Segment& segment, bool inner) const {
  const double from = skin_->span_start(segment.first_span);
  const double to = skin_->span_start(segment.last_span + 1);
  for (int piece = 0; piece < skin_->piece_count(); ++piece) {
    if (!Present(piece, false)) {
      continue;
    }
    for (const double t : {0.0, 0.5, 1.0}) {
      auto at = [&](double u, int span) {
        const FlatPlace place{u, piece + t};
        return inner ? OffsetAt(place, span, piece)[0]
                     : skin_->At(u, place.v, span, piece).position;
      };
      const Vec3 first = at(from, segment.first_span);
      const Vec3 last = at(to, segment.last_span);
      for (int span = segment.first_span; span <= segment.last_span; ++span) {
        for (const double share : {0.0, 0.3, 0.6, 1.0}) {
          const double u = skin_->span_start(span) +
                           share * (skin_->span_start(span + 1) - skin_->span_start(span));
          const double x = (u - from) / (to - from);
          if ((at(u, span) - (1.0 - x) * first - x * last).norm() > kStraight) {
            return false;
          }
        }
      }
    }
  }
  return true;
}

HollowLaw::Plane HollowLaw::EndPlane(int end, bool inner) const {
  const SectionFrame f = skin_->FrameAt(end == 0 ? 0.0 : skin_->u_end());
  Plane plane{f.centre, f.tangent};
  if (inner && closed_[static_cast<std::size_t>(end)]) {
    plane.origin += (end == 0 ? wall_ : -wall_) * f.tangent;
  }
  return plane;
}

HollowLaw::Plane HollowLaw::SegmentPlane(int segment, int end, bool inner) const {
  const int last = static_cast<int>(segments_.size()) - 1;
  if ((end == 0 && segment == 0) || (end == 1 && segment == last)) {
    return EndPlane(end, inner);
  }
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  const auto station = static_cast<std::size_t>(end == 0 ? s.first_span : s.last_span + 1);
  const auto& c = skin_->law().centres;
  const Vec3 bisector =
      (c[station] - c[station - 1]).normalized() + (c[station + 1] - c[station]).normalized();
  return {c[station], bisector.normalized()};
}

// ---------------------------------------------------------------- the inner skin

// The offset skin Q = P - wall N with its derivatives: N' = (n' - N (N·n')) / |n|, n = P_u x P_v.
std::array<Vec3, 3> HollowLaw::OffsetAt(const FlatPlace& place, int span, int piece) const {
  const SkinJet s = skin_->JetAt(place.u, place.v, span, piece);
  const Vec3 n = s.du.cross(s.dv);
  const double length = n.norm();
  if (length < kNothing) {
    return {s.position - wall_ * s.normal, s.du, s.dv};
  }
  const double sign = n.dot(s.normal) < 0.0 ? -1.0 : 1.0;
  auto turn = [&](const Vec3& dn) {
    return Vec3((sign * dn - s.normal * s.normal.dot(sign * dn)) / length);
  };
  const Vec3 nu = turn(s.duu.cross(s.dv) + s.du.cross(s.duv));
  const Vec3 nv = turn(s.duv.cross(s.dv) + s.du.cross(s.dvv));
  return {s.position - wall_ * s.normal, s.du - wall_ * nu, s.dv - wall_ * nv};
}

// Where the offset flats on both sides of a corner meet, at the mean u of the two flats' places.
std::array<HollowLaw::FlatPlace, 2> HollowLaw::SharpEdge(int corner_piece, double u,
                                                         int span) const {
  const int count = skin_->piece_count();
  const int before = (corner_piece + count - 1) % count;
  const int after = (corner_piece + 1) % count;
  const int vertex = VertexOf(corner_piece);
  const double past = wall_ * std::tan(0.5 * TurnAt(vertex, u)) - skin_->SetBackAt(u, vertex);
  Eigen::Vector4d x(u, corner_piece, u, corner_piece + 1.0);
  x[1] -= past / skin_->At(u, x[1], span, before).dv.norm();
  x[3] += past / skin_->At(u, x[3], span, after).dv.norm();
  for (int step = 0; step < 12; ++step) {
    const auto qa = OffsetAt({x[0], x[1]}, span, before);
    const auto qb = OffsetAt({x[2], x[3]}, span, after);
    Eigen::Matrix4d m = Eigen::Matrix4d::Zero();
    m.block<3, 1>(0, 0) = qa[1];
    m.block<3, 1>(0, 1) = qa[2];
    m.block<3, 1>(0, 2) = -qb[1];
    m.block<3, 1>(0, 3) = -qb[2];
    m(3, 0) = 0.5;
    m(3, 2) = 0.5;
    Eigen::Vector4d f;
    f << qa[0] - qb[0], 0.5 * (x[0] + x[2]) - u;
    const Eigen::Vector4d move = m.partialPivLu().solve(f);
    x -= move;
    if (move.cwiseAbs().maxCoeff() < 1e-12 * (1.0 + std::abs(u))) {
      break;
    }
  }
  return {FlatPlace{x[0], x[1]}, FlatPlace{x[2], x[3]}};
}

Vec3 HollowLaw::RawInner(int piece, double t, double u, int span) const {
  FlatPlace low{u, static_cast<double>(piece)};
  FlatPlace high{u, piece + 1.0};
  if (skin_->KindOf(piece) == PieceKind::flat) {
    const int count = skin_->piece_count();
    auto sharp = [&](int corner) {
      return inner_corner_[static_cast<std::size_t>(corner)] == Corner::sharp;
    };
    const int before = (piece + count - 1) % count;
    const int after = (piece + 1) % count;
    if ((skin_->closed() || piece > 0) && sharp(before) && t < 1.0) {
      low = SharpEdge(before, u, span)[1];
      low.v -= count * std::round((low.v - piece - 0.5) / count);
    }
    if ((skin_->closed() || piece + 1 < count) && sharp(after) && t > 0.0) {
      high = SharpEdge(after, u, span)[0];
      high.v -= count * std::round((high.v - piece - 0.5) / count);
    }
  }
  const FlatPlace at{(1.0 - t) * low.u + t * high.u, (1.0 - t) * low.v + t * high.v};
  const SkinPoint p = skin_->At(at.u, at.v, span, piece);
  const double boundary = std::round(at.v);
  if (skin_->law().smooth || std::abs(at.v - boundary) > 1e-12) {
    return p.position - wall_ * p.normal;
  }
  // Where sizes change between mitres the pieces are not quite tangent: they share a mean normal.
  const int count = skin_->piece_count();
  const int beside = at.v > piece + 0.5 ? piece + 1 : piece - 1;
  if (!skin_->closed() && (beside < 0 || beside >= count)) {
    return p.position - wall_ * p.normal;
  }
  const SkinPoint q = skin_->At(at.u, at.v, span, (beside + count) % count);
  return p.position - wall_ * (p.normal + q.normal).normalized();
}

int HollowLaw::SpanIn(const Segment& segment, double u) const {
  return std::clamp(skin_->SpanOf(u), segment.first_span, segment.last_span);
}

HollowLaw::Range HollowLaw::InnerRange(int segment) const {
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  Range range{skin_->span_start(s.first_span), skin_->span_start(s.last_span + 1), 0.0};
  if (segment == 0 && closed_[0]) {
    range.from = skin_->UOfStation(wall_);
  }
  if (segment + 1 == static_cast<int>(segments_.size()) && closed_[1]) {
    range.to = skin_->UOfStation(skin_->length() - wall_);
  }
  double most = 0.0;
  for (int piece = 0; piece < skin_->piece_count(); ++piece) {
    if (!Present(piece, true)) {
      continue;
    }
    for (const double t : {0.0, 0.5, 1.0}) {
      const Column c = MakeColumn(segment, range, piece, t);
      most = std::max({most, std::abs(c.shift[0]), std::abs(c.shift[1])});
    }
  }
  // The ends' shift dies out as a cubic over this length; six times the shift keeps it monotone.
  const double length = range.to - range.from;
  range.blend = std::clamp(6.0 * most, length / 8.0, length / 2.0);
  return range;
}

HollowLaw::Column HollowLaw::MakeColumn(int segment, const Range& range, int piece,
                                        double t) const {
  Column column{piece, t, {0.0, 0.0}};
  const Segment& s = segments_[static_cast<std::size_t>(segment)];
  for (int end = 0; end < 2; ++end) {
    const Plane plane = SegmentPlane(segment, end, true);
    const double at = end == 0 ? range.from : range.to;
    const int span = end == 0
                         ? SpanIn(s, at)
                         : (at >= skin_->span_start(s.last_span + 1) ? s.last_span : SpanIn(s, at));
    auto off = [&](double shift) {
      return (RawInner(piece, t, at + shift, span) - plane.origin).dot(plane.normal);
    };
    constexpr double kStep = 1e-3;
    double shift = 0.0;
    double value = off(0.0);
    const double slope = (off(kStep) - value) / kStep;
    for (int step = 0; step < 12 && std::abs(value) > 1e-11; ++step) {
      shift -= value / slope;
      value = off(shift);
    }
    column.shift[static_cast<std::size_t>(end)] = shift;
  }
  return column;
}

Vec3 HollowLaw::InnerAt(const Column& column, const Range& range, double s, int span) const {
  double u = s;
  if (range.blend > 0.0) {
    auto fade = [](double x) { return x < 1.0 ? (1.0 - x) * (1.0 - x) * (1.0 - x) : 0.0; };
    u += column.shift[0] * fade((s - range.from) / range.blend) +
         column.shift[1] * fade((range.to - s) / range.blend);
  }
  return RawInner(column.piece, column.t, u, span);
}

}  // namespace holeward
