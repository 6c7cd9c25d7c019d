#include "geometry/skin.h"

#include <algorithm>
#include <cmath>

namespace holeward {
namespace {

// Below this a corner counts as sharp and a length as nothing, mm.
constexpr double kNothing = 1e-9;

template <class S>
V3<S> Constant(const Vec3& p) {
  return {S(p.x()), S(p.y()), S(p.z())};
}

Vec3 ToVec(const V3<double>& p) { return {p.x, p.y, p.z}; }

}  // namespace

template <class S>
struct Skin::Frame {
  V3<S> c, t, a, b;
};

// ---------------------------------------------------------------- the law

template <class S>
Skin::Frame<S> Skin::FrameT(const S& u, int span) const {
  Frame<S> f;
  f.c = {centre_[0].At(u, span), centre_[1].At(u, span), centre_[2].At(u, span)};
  const V3<S> d{centre_[0].SlopeAt(u, span), centre_[1].SlopeAt(u, span),
                centre_[2].SlopeAt(u, span)};
  f.t = Unit(d);
  const V3<S> up = Constant<S>(law_.up);
  f.b = Unit(up - Dot(up, f.t) * f.t);
  f.a = S(a_sign_) * Cross(f.t, f.b);
  return f;
}

template <class S>
V2<S> Skin::VertexT(const S& u, int span, int k) const {
  const auto i = static_cast<std::size_t>(k);
  return {vertex_a_[i].At(u, span), vertex_b_[i].At(u, span)};
}

// Direction of the edge between two neighbouring vertices.
template <class S>
V2<S> Skin::EdgeT(const S& u, int span, int from, int to) const {
  if (upright_edges_) {
    const Vec2& d = fixed_edges_[static_cast<std::size_t>(from)];
    return {S(d.x()), S(d.y())};
  }
  const V2<S> d = VertexT(u, span, to) - VertexT(u, span, from);
  return (S(1.0) / Sqrt(Dot(d, d))) * d;
}

bool Skin::IsLip(int k) const { return !law_.closed && (k == 0 || k == vertex_count() - 1); }

// The vertex a flat starts from, and the one a corner rounds.
int Skin::FlatStart(int piece) const {
  return law_.closed ? NeighbourVertex(piece / 2, -1) : piece / 2;
}

int Skin::CornerVertex(int piece) const { return law_.closed ? piece / 2 : piece / 2 + 1; }

int Skin::NeighbourVertex(int k, int by) const {
  const int n = vertex_count();
  return law_.closed ? (k + by + n) % n : k + by;
}

// Angle the outline turns by at a vertex, positive counter-clockwise.
template <class S>
S Skin::TurnT(const S& u, int span, int at) const {
  const V2<S> before = EdgeT(u, span, NeighbourVertex(at, -1), at);
  const V2<S> after = EdgeT(u, span, at, NeighbourVertex(at, 1));
  if (upright_edges_) {
    return S(ValueOf(Cross(before, after)) < 0.0 ? -kPi / 2.0 : kPi / 2.0);
  }
  return Atan2(Cross(before, after), Dot(before, after));
}

template <class S>
S Skin::SetBackT(const S& u, int span, int at) const {
  if (IsLip(at)) {
    return S(0.0);
  }
  const S r = corner_[static_cast<std::size_t>(at)].At(u, span);
  if (upright_edges_) {
    return r;
  }
  const S turn = TurnT(u, span, at);
  const S half_tan = Tan(S(0.5) * turn);
  return r * (ValueOf(turn) < 0.0 ? S(0.0) - half_tan : half_tan);
}

template <class S>
V2<S> Skin::FlatT(const S& u, const S& v, int span, int piece) const {
  const int from = FlatStart(piece);
  const int to = NeighbourVertex(from, 1);
  const V2<S> e = EdgeT(u, span, from, to);
  const V2<S> p = VertexT(u, span, from) + SetBackT(u, span, from) * e;
  const V2<S> q = VertexT(u, span, to) - SetBackT(u, span, to) * e;
  return p + v * (q - p);
}

template <class S>
V2<S> Skin::CornerT(const S& u, const S& v, int span, int piece) const {
  const int at = CornerVertex(piece);
  const V2<S> before = EdgeT(u, span, NeighbourVertex(at, -1), at);
  const S turn = TurnT(u, span, at);
  const S sign(ValueOf(turn) < 0.0 ? -1.0 : 1.0);
  const S r = corner_[static_cast<std::size_t>(at)].At(u, span);
  const V2<S> inward{S(0.0) - sign * before.b, sign * before.a};
  const V2<S> start = VertexT(u, span, at) - SetBackT(u, span, at) * before;
  const S swept = sign * turn * v;
  return start + r * (Sin(swept) * before + (S(1.0) - Cos(swept)) * inward);
}

template <class S>
V2<S> Skin::OutlineT(const S& u, const S& v, int span, int piece) const {
  if (law_.round) {
    const S angle = S(kPi / 2.0) * (v + S(piece));
    const S r = radius_.At(u, span);
    return {r * Sin(angle), S(0.0) - r * Cos(angle)};
  }
  return piece % 2 == 0 ? FlatT(u, v, span, piece) : CornerT(u, v, span, piece);
}

template <class S>
V3<S> Skin::StraightPointT(const S& u, const S& v, int span, int piece) const {
  auto at_station = [&](int i) {
    const auto s = static_cast<std::size_t>(i);
    const V2<S> p = OutlineT(S(knots_[s]), v, span, piece);
    const Vec3 a = mitre_stretch_[s] * mitre_frames_[s].a;
    const Vec3 b = mitre_stretch_[s] * mitre_frames_[s].b;
    return Constant<S>(mitre_frames_[s].centre) + p.a * Constant<S>(a) + p.b * Constant<S>(b);
  };
  const V3<S> p = at_station(span);
  const V3<S> q = at_station(span + 1);
  const double from = knots_[static_cast<std::size_t>(span)];
  const double to = knots_[static_cast<std::size_t>(span) + 1];
  const S t = (u - S(from)) * S(1.0 / (to - from));
  return p + t * (q - p);
}

V2<Jet> Skin::RoundJet(const JetU& u, double v, int span, int piece) const {
  const JetU r = radius_.At(u, span);
  const double turn = kPi / 2.0;
  const double s = std::sin(turn * (v + piece));
  const double c = std::cos(turn * (v + piece));
  return {
      {r.f * s, r.fu * s, r.f * turn * c, r.fuu * s, r.fu * turn * c, -r.f * turn * turn * s},
      {-r.f * c, -r.fu * c, r.f * turn * s, -r.fuu * c, r.fu * turn * s, r.f * turn * turn * c}};
}

JetU Skin::UprightSetBack(const JetU& u, int span, int at) const {
  return IsLip(at) ? JetU(0.0) : corner_[static_cast<std::size_t>(at)].At(u, span);
}

V2<Jet> Skin::UprightFlatJet(const JetU& u, double v, int span, int piece) const {
  const int from = FlatStart(piece);
  const int to = NeighbourVertex(from, 1);
  const Vec2& e = fixed_edges_[static_cast<std::size_t>(from)];
  const JetU leave = UprightSetBack(u, span, from);
  const JetU reach = UprightSetBack(u, span, to);
  const auto between = [&](const JetU& start, const JetU& end, double along) {
    const JetU p = start + JetU(along) * leave;
    const JetU d = end - JetU(along) * reach - p;
    return Jet(p.f + v * d.f, p.fu + v * d.fu, d.f, p.fuu + v * d.fuu, d.fu, 0.0);
  };
  const V2<JetU> start = VertexT(u, span, from);
  const V2<JetU> end = VertexT(u, span, to);
  return {between(start.a, end.a, e.x()), between(start.b, end.b, e.y())};
}

V2<Jet> Skin::UprightCornerJet(const JetU& u, double v, int span, int piece) const {
  const int at = CornerVertex(piece);
  const Vec2& before = fixed_edges_[static_cast<std::size_t>(NeighbourVertex(at, -1))];
  const Vec2& after = fixed_edges_[static_cast<std::size_t>(at)];
  const double sign = before.x() * after.y() - before.y() * after.x() < 0.0 ? -1.0 : 1.0;
  const Vec2 inward(-sign * before.y(), sign * before.x());
  const JetU r = UprightSetBack(u, span, at);
  const double turn = kPi / 2.0;
  const double s = std::sin(turn * v);
  const double c = std::cos(turn * v);
  const auto round = [&](const JetU& sharp, double along, double in) {
    const JetU start = sharp - JetU(along) * r;
    const double place = s * along + (1.0 - c) * in;
    const double first = turn * (c * along + s * in);
    const double second = turn * turn * (-s * along + c * in);
    return Jet(start.f + r.f * place, start.fu + r.fu * place, r.f * first,
               start.fuu + r.fuu * place, r.fu * first, r.f * second);
  };
  const V2<JetU> sharp = VertexT(u, span, at);
  return {round(sharp.a, before.x(), inward.x()), round(sharp.b, before.y(), inward.y())};
}

// The outline of a box or a tube with its derivatives, without the detour over general jets.
V2<Jet> Skin::OutlineJet(double u, double v, int span, int piece) const {
  const JetU at_u{u, 1.0, 0.0};
  if (law_.round) {
    return RoundJet(at_u, v, span, piece);
  }
  if (!upright_edges_) {
    return OutlineT(Jet::U(u), Jet::V(v), span, piece);
  }
  return piece % 2 == 0 ? UprightFlatJet(at_u, v, span, piece)
                        : UprightCornerJet(at_u, v, span, piece);
}

// ---------------------------------------------------------------- parameters

int Skin::SpanOf(double u) const {
  const auto it = std::upper_bound(knots_.begin(), knots_.end(), u);
  const int i = static_cast<int>(it - knots_.begin()) - 1;
  return std::clamp(i, 0, span_count() - 1);
}

double Skin::Wrapped(double v) const {
  if (!law_.closed) {
    return v;
  }
  double w = std::fmod(v, piece_count_);
  if (w < 0.0) {
    w += piece_count_;
  }
  return w < piece_count_ ? w : 0.0;
}

int Skin::PieceOf(double v) const {
  return std::clamp(static_cast<int>(std::floor(Wrapped(v))), 0, piece_count_ - 1);
}

PieceKind Skin::KindOf(int piece) const {
  if (law_.round) {
    return PieceKind::round;
  }
  return piece % 2 == 0 ? PieceKind::flat : PieceKind::corner;
}

int Skin::vertex_count() const { return static_cast<int>(vertex_a_.size()); }

namespace {

// v counted from the start of its piece, near [0, 1] whichever turn v is on.
double LocalV(double v, int piece, int count, bool closed) {
  double local = v - piece;
  if (closed) {
    local -= count * std::round((local - 0.5) / count);
  }
  return local;
}

}  // namespace

// ---------------------------------------------------------------- surface

SkinPoint Skin::At(double u, double v) const { return At(u, v, SpanOf(u), PieceOf(v)); }

SkinPoint Skin::At(double u, double v, int span, int piece) const {
  return JetAt(u, v, span, piece);  // NOLINT(cppcoreguidelines-slicing): its first derivatives
}

namespace {

/// A vector along the centre line with its first and second derivatives by u.
struct VectorJet {
  Vec3 f, fu, fuu;
};

VectorJet Gathered(const JetU& x, const JetU& y, const JetU& z) {
  return {{x.f, y.f, z.f}, {x.fu, y.fu, z.fu}, {x.fuu, y.fuu, z.fuu}};
}

/// The unit vector along d, by differentiating d = |d| t twice.
VectorJet UnitOf(const VectorJet& d) {
  const double inverse = 1.0 / d.f.norm();
  VectorJet t;
  t.f = d.f * inverse;
  const double length_u = t.f.dot(d.fu);
  t.fu = (d.fu - length_u * t.f) * inverse;
  const double length_uu = t.fu.dot(d.fu) + t.f.dot(d.fuu);
  t.fuu = (d.fuu - 2.0 * length_u * t.fu - length_uu * t.f) * inverse;
  return t;
}

/// What is left of a fixed direction square to the unit vector t.
VectorJet SquareTo(const VectorJet& t, const Vec3& fixed) {
  const double s = fixed.dot(t.f);
  const double s_u = fixed.dot(t.fu);
  const double s_uu = fixed.dot(t.fuu);
  return {fixed - s * t.f, -(s_u * t.f + s * t.fu), -(s_uu * t.f + 2.0 * s_u * t.fu + s * t.fuu)};
}

/// `sign` times the cross product.
VectorJet CrossOf(double sign, const VectorJet& p, const VectorJet& q) {
  return {sign * p.f.cross(q.f), sign * (p.fu.cross(q.f) + p.f.cross(q.fu)),
          sign * (p.fuu.cross(q.f) + 2.0 * p.fu.cross(q.fu) + p.f.cross(q.fuu))};
}

}  // namespace

// Position and derivatives where the section is carried by the centre line's frame (as FrameT
// gives it, here in whole vectors); v within its piece.
SkinJet Skin::SmoothJet(double u, double v, int span, int piece) const {
  const JetU at{u, 1.0, 0.0};
  const VectorJet c =
      Gathered(centre_[0].At(at, span), centre_[1].At(at, span), centre_[2].At(at, span));
  const VectorJet t = UnitOf(Gathered(centre_[0].SlopeAt(at, span), centre_[1].SlopeAt(at, span),
                                      centre_[2].SlopeAt(at, span)));
  const VectorJet b = UnitOf(SquareTo(t, law_.up));
  const VectorJet a = CrossOf(a_sign_, t, b);
  const V2<Jet> p = OutlineJet(u, v, span, piece);
  SkinJet s;
  s.position = c.f + p.a.f * a.f + p.b.f * b.f;
  s.du = c.fu + p.a.fu * a.f + p.a.f * a.fu + p.b.fu * b.f + p.b.f * b.fu;
  s.dv = p.a.fv * a.f + p.b.fv * b.f;
  s.duu = c.fuu + p.a.fuu * a.f + 2.0 * p.a.fu * a.fu + p.a.f * a.fuu + p.b.fuu * b.f +
          2.0 * p.b.fu * b.fu + p.b.f * b.fuu;
  s.duv = p.a.fuv * a.f + p.a.fv * a.fu + p.b.fuv * b.f + p.b.fv * b.fu;
  s.dvv = p.a.fvv * a.f + p.b.fvv * b.f;
  return s;
}

// The same where the skin is ruled between mitres.
SkinJet Skin::StraightJet(double u, double v, int span, int piece) const {
  const V3<Jet> p = StraightPointT(Jet::U(u), Jet::V(v), span, piece);
  SkinJet s;
  s.position = {p.x.f, p.y.f, p.z.f};
  s.du = {p.x.fu, p.y.fu, p.z.fu};
  s.dv = {p.x.fv, p.y.fv, p.z.fv};
  s.duu = {p.x.fuu, p.y.fuu, p.z.fuu};
  s.duv = {p.x.fuv, p.y.fuv, p.z.fuv};
  s.dvv = {p.x.fvv, p.y.fvv, p.z.fvv};
  return s;
}

SkinJet Skin::JetAt(double u, double v) const { return JetAt(u, v, SpanOf(u), PieceOf(v)); }

SkinJet Skin::JetAt(double u, double v, int span, int piece) const {
  const double local = LocalV(v, piece, piece_count_, law_.closed);
  SkinJet s = law_.smooth ? SmoothJet(u, local, span, piece) : StraightJet(u, local, span, piece);
  const Vec3 cross = a_sign_ * s.du.cross(s.dv);
  if (cross.norm() > kNothing) {
    s.normal = cross.normalized();
    return s;
  }
  // What is no number stays so for the caller to refuse; asking the neighbours would never end.
  if (!cross.allFinite()) {
    return s;
  }
  // A sharp corner has no tangent round the section: its normals fan from one flat's to the next's.
  const int count = piece_count_;
  const Vec3 before = JetAt(u, piece, span, (piece + count - 1) % count).normal;
  const Vec3 after = JetAt(u, piece + 1.0, span, (piece + 1) % count).normal;
  const double angle = std::acos(std::clamp(before.dot(after), -1.0, 1.0));
  const double sine = std::sin(angle);
  s.normal =
      sine > kNothing
          ? Vec3((std::sin((1.0 - local) * angle) * before + std::sin(local * angle) * after) /
                 sine)
          : before;
  return s;
}

// ---------------------------------------------------------------- sections

SectionFrame Skin::FrameAt(double u) const {
  const auto f = FrameT(u, SpanOf(u));
  return {ToVec(f.c), ToVec(f.t), ToVec(f.a), ToVec(f.b)};
}

Vec3 Skin::TangentAt(double u, int span) const {
  if (law_.smooth) {
    return ToVec(FrameT(u, span).t);
  }
  const auto i = static_cast<std::size_t>(span);
  return (law_.centres[i + 1] - law_.centres[i]).normalized();
}

Vec2 Skin::OutlineAt(double u, double v) const {
  const int piece = PieceOf(v);
  const double local = LocalV(v, piece, piece_count_, law_.closed);
  const auto p = OutlineT(u, local, SpanOf(u), piece);
  return {p.a, p.b};
}

Vec3 Skin::ToWorld(double u, const Vec2& ab) const {
  const int span = SpanOf(u);
  if (law_.smooth) {
    const auto f = FrameT(u, span);
    return ToVec(f.c) + ab.x() * ToVec(f.a) + ab.y() * ToVec(f.b);
  }
  auto at_station = [&](int i) {
    const auto s = static_cast<std::size_t>(i);
    return Vec3(mitre_frames_[s].centre +
                mitre_stretch_[s] * (ab.x() * mitre_frames_[s].a + ab.y() * mitre_frames_[s].b));
  };
  const double t = (u - span_start(span)) / (span_start(span + 1) - span_start(span));
  return (1.0 - t) * at_station(span) + t * at_station(span + 1);
}

Vec2 Skin::VertexAt(double u, int k) const {
  const auto p = VertexT(u, SpanOf(u), k);
  return {p.a, p.b};
}

Vec3 Skin::SharpCornerAt(double u, int k) const {
  if (law_.smooth) {
    return ToWorld(u, VertexAt(u, k));
  }
  // Between mitres the flats are ruled from station to station, and so is the line they meet in.
  const int span = SpanOf(u);
  const double from = span_start(span);
  const double to = span_start(span + 1);
  const auto at_station = [&](double knot, int station) {
    const auto s = static_cast<std::size_t>(station);
    const auto p = VertexT(knot, span, k);
    return Vec3(mitre_frames_[s].centre +
                mitre_stretch_[s] * (p.a * mitre_frames_[s].a + p.b * mitre_frames_[s].b));
  };
  const double t = (u - from) / (to - from);
  return (1.0 - t) * at_station(from, span) + t * at_station(to, span + 1);
}

double Skin::CornerRadiusAt(double u, int k) const {
  return corner_[static_cast<std::size_t>(k)].At(u, SpanOf(u));
}

double Skin::RadiusAt(double u) const { return radius_.At(u, SpanOf(u)); }

double Skin::SetBackAt(double u, int k) const { return SetBackT(u, SpanOf(u), k); }

double Skin::PieceLength(double u, int span, int piece) const {
  if (law_.round) {
    return radius_.At(u, span) * kPi / 2.0;
  }
  if (piece % 2 != 0) {
    const int at = CornerVertex(piece);
    const double turn = upright_edges_ ? kPi / 2.0 : std::abs(TurnT(u, span, at));
    return corner_[static_cast<std::size_t>(at)].At(u, span) * turn;
  }
  const int from = FlatStart(piece);
  const int to = NeighbourVertex(from, 1);
  const V2<double> flat = VertexT(u, span, to) - VertexT(u, span, from);
  return std::sqrt(flat.a * flat.a + flat.b * flat.b) - SetBackT(u, span, from) -
         SetBackT(u, span, to);
}

}  // namespace holeward
