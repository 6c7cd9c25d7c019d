#include "geometry/skin.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace holeward {
namespace {

// Below this a corner counts as sharp and a length as nothing, mm.
constexpr double kNothing = 1e-9;
// Two stations nearer than this are one, mm.
constexpr double kCoincident = 1e-3;
// `up` nearer to the centre line than this sine cannot be put into the section.
constexpr double kUpAlong = 0.05;

// Five-point Gauss-Legendre rule on [-1, 1] (Abramowitz and Stegun, table 25.4).
constexpr std::array<double, 5> kGaussNode{-0.906179845938664, -0.538469310105683, 0.0,
                                           0.538469310105683, 0.906179845938664};
constexpr std::array<double, 5> kGaussWeight{
    0.236926885056189, 0.478628670499366, 0.568888888888889, 0.478628670499366, 0.236926885056189};
// Parts a span's arc length is integrated in; leaves less than 1e-9 mm on any sensible part.
constexpr int kArcParts = 8;

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

template <class S>
V2<S> Skin::OutlineT(const S& u, const S& v, int span, int piece) const {
  if (law_.round) {
    const S angle = S(kPi / 2.0) * (v + S(piece));
    const S r = radius_.At(u, span);
    return {r * Sin(angle), S(0.0) - r * Cos(angle)};
  }
  const int n = vertex_count();
  const int k = piece / 2;
  auto index = [&](int i) { return law_.closed ? (i + n) % n : i; };
  auto edge = [&](int from, int to) -> V2<S> {
    if (upright_edges_) {
      const Vec2& d = fixed_edges_[static_cast<std::size_t>(from)];
      return {S(d.x()), S(d.y())};
    }
    const V2<S> d = VertexT(u, span, to) - VertexT(u, span, from);
    return (S(1.0) / Sqrt(Dot(d, d))) * d;
  };
  auto turn_at = [&](int at) -> S {
    const V2<S> before = edge(index(at - 1), at);
    const V2<S> after = edge(at, index(at + 1));
    if (upright_edges_) {
      return S(ValueOf(Cross(before, after)) < 0.0 ? -kPi / 2.0 : kPi / 2.0);
    }
    return Atan2(Cross(before, after), Dot(before, after));
  };
  auto set_back = [&](int at) -> S {
    if (!law_.closed && (at == 0 || at == n - 1)) {
      return S(0.0);
    }
    const S r = corner_[static_cast<std::size_t>(at)].At(u, span);
    if (upright_edges_) {
      return r;
    }
    const S turn = turn_at(at);
    const S half_tan = Tan(S(0.5) * turn);
    return r * (ValueOf(turn) < 0.0 ? S(0.0) - half_tan : half_tan);
  };
  if (piece % 2 == 0) {
    const int from = law_.closed ? index(k - 1) : k;
    const int to = law_.closed ? k : k + 1;
    const V2<S> e = edge(from, to);
    const V2<S> p = VertexT(u, span, from) + set_back(from) * e;
    const V2<S> q = VertexT(u, span, to) - set_back(to) * e;
    return p + v * (q - p);
  }
  const int at = law_.closed ? k : k + 1;
  const V2<S> before = edge(index(at - 1), at);
  const S turn = turn_at(at);
  const S sign(ValueOf(turn) < 0.0 ? -1.0 : 1.0);
  const S r = corner_[static_cast<std::size_t>(at)].At(u, span);
  const V2<S> inward{S(0.0) - sign * before.b, sign * before.a};
  const V2<S> start = VertexT(u, span, at) - set_back(at) * before;
  const S swept = sign * turn * v;
  return start + r * (Sin(swept) * before + (S(1.0) - Cos(swept)) * inward);
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

// The outline of a box or a tube with its derivatives, without the detour over general jets.
V2<Jet> Skin::OutlineJet(double u, double v, int span, int piece) const {
  const JetU at_u{u, 1.0, 0.0};
  if (law_.round) {
    const JetU r = radius_.At(at_u, span);
    const double turn = kPi / 2.0;
    const double s = std::sin(turn * (v + piece));
    const double c = std::cos(turn * (v + piece));
    return {
        {r.f * s, r.fu * s, r.f * turn * c, r.fuu * s, r.fu * turn * c, -r.f * turn * turn * s},
        {-r.f * c, -r.fu * c, r.f * turn * s, -r.fuu * c, r.fu * turn * s, r.f * turn * turn * c}};
  }
  if (!upright_edges_) {
    return OutlineT(Jet::U(u), Jet::V(v), span, piece);
  }
  const int n = vertex_count();
  const auto vertex = [&](int k) { return VertexT(at_u, span, k); };
  const auto corner = [&](int k) {
    const bool lip = !law_.closed && (k == 0 || k == n - 1);
    return lip ? JetU(0.0) : corner_[static_cast<std::size_t>(k)].At(at_u, span);
  };
  const auto edge_from = [&](int k) -> const Vec2& {
    return fixed_edges_[static_cast<std::size_t>(k)];
  };
  if (piece % 2 == 0) {
    const int from = law_.closed ? (piece / 2 + n - 1) % n : piece / 2;
    const int to = law_.closed ? piece / 2 : piece / 2 + 1;
    const Vec2& e = edge_from(from);
    const auto between = [&](const JetU& start, const JetU& end, double along) {
      const JetU p = start + JetU(along) * corner(from);
      const JetU d = end - JetU(along) * corner(to) - p;
      return Jet(p.f + v * d.f, p.fu + v * d.fu, d.f, p.fuu + v * d.fuu, d.fu, 0.0);
    };
    const V2<JetU> start = vertex(from);
    const V2<JetU> end = vertex(to);
    return {between(start.a, end.a, e.x()), between(start.b, end.b, e.y())};
  }
  const int at = law_.closed ? piece / 2 : piece / 2 + 1;
  const Vec2& before = edge_from((at + n - 1) % n);
  const Vec2& after = edge_from(at);
  const double sign = before.x() * after.y() - before.y() * after.x() < 0.0 ? -1.0 : 1.0;
  const Vec2 inward(-sign * before.y(), sign * before.x());
  const JetU r = corner(at);
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
  const V2<JetU> sharp = vertex(at);
  return {round(sharp.a, before.x(), inward.x()), round(sharp.b, before.y(), inward.y())};
}

// ---------------------------------------------------------------- making

// A box's edges keep their direction along a and b at every station; the outline then needs no
// roots and no angles, which halves the cost of a place.
void Skin::FindUprightEdges() {
  const std::size_t n = law_.vertices.front().size();
  fixed_edges_.assign(n, Vec2::Zero());
  upright_edges_ = true;
  const std::size_t edges = law_.closed ? n : n - 1;
  for (std::size_t k = 0; k < edges; ++k) {
    fixed_edges_[k] = (law_.vertices.front()[(k + 1) % n] - law_.vertices.front()[k]).normalized();
    for (const auto& outline : law_.vertices) {
      const Vec2 d = (outline[(k + 1) % n] - outline[k]).normalized();
      const bool along_axis = d.x() == 0.0 || d.y() == 0.0;
      upright_edges_ = upright_edges_ && along_axis && d.dot(fixed_edges_[k]) > 0.5;
    }
  }
  for (std::size_t k = 0; k < edges; ++k) {
    const bool turns = law_.closed || k + 1 < edges;
    if (turns && std::abs(fixed_edges_[k].dot(fixed_edges_[(k + 1) % n])) > 0.5) {
      upright_edges_ = false;
    }
  }
}

// At a bend the section lies in the plane that halves it; stretched along the bend so that the
// section square to either leg keeps its stated size.
void Skin::BuildMitres() {
  const std::size_t n = law_.centres.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vec3 before =
        i > 0 ? Vec3((law_.centres[i] - law_.centres[i - 1]).normalized()) : Vec3::Zero();
    const Vec3 after =
        i + 1 < n ? Vec3((law_.centres[i + 1] - law_.centres[i]).normalized()) : Vec3::Zero();
    SectionFrame f;
    f.centre = law_.centres[i];
    f.tangent = (before + after).normalized();
    f.b = (law_.up - law_.up.dot(f.tangent) * f.tangent).normalized();
    f.a = a_sign_ * f.tangent.cross(f.b);
    Eigen::Matrix3d stretch = Eigen::Matrix3d::Identity();
    if (i > 0 && i + 1 < n && (after - before).norm() > kNothing) {
      const Vec3 bend = (after - before).normalized();
      const double cosine = before.dot(f.tangent);
      stretch += (1.0 / cosine - 1.0) * bend * bend.transpose();
    }
    mitre_frames_.push_back(f);
    mitre_stretch_.push_back(stretch);
  }
}

Result<Skin> Skin::Make(SkinLaw law) {
  Skin skin;
  if (law.centres.size() < 2) {
    return Fail(ErrorKind::job, "a part needs at least two stations");
  }
  skin.knots_.push_back(0.0);
  for (std::size_t i = 1; i < law.centres.size(); ++i) {
    const double chord = (law.centres[i] - law.centres[i - 1]).norm();
    if (!(chord > kCoincident)) {
      return Fail(ErrorKind::job,
                  fmt::format("stations {} and {} lie at the same place", i, i + 1));
    }
    skin.knots_.push_back(skin.knots_.back() + chord);
  }
  law.up.normalize();
  const Vec3 chord = (law.centres.back() - law.centres.front()).normalized();
  if (chord.cross(law.up).norm() < kUpAlong) {
    return Fail(ErrorKind::job, "`up` runs along the part; give a direction across it");
  }
  const Vec3 b = (law.up - law.up.dot(chord) * chord).normalized();
  skin.a_sign_ = chord.cross(b).dot(law.a_toward) < 0.0 ? -1.0 : 1.0;
  skin.law_ = std::move(law);
  const SkinLaw& l = skin.law_;

  const std::size_t stations = l.centres.size();
  auto rows = [&](auto value_at) {
    std::vector<double> values;
    for (std::size_t i = 0; i < stations; ++i) {
      values.push_back(value_at(i));
    }
    return values;
  };
  auto size_law = [&](const std::vector<double>& values) {
    return l.smooth ? PiecewiseCubic::Monotone(skin.knots_, values)
                    : PiecewiseCubic::Linear(skin.knots_, values);
  };
  for (int c = 0; c < 3; ++c) {
    const auto values = rows([&](std::size_t i) { return l.centres[i][c]; });
    skin.centre_[c] = l.smooth ? PiecewiseCubic::Natural(skin.knots_, values)
                               : PiecewiseCubic::Linear(skin.knots_, values);
  }
  skin.prismatic_ = true;
  if (l.round) {
    skin.radius_ = size_law(l.radii);
    skin.prismatic_ = skin.radius_.IsConstant();
    skin.piece_count_ = 4;
  } else {
    const std::size_t n = l.vertices.front().size();
    for (std::size_t k = 0; k < n; ++k) {
      skin.vertex_a_.push_back(size_law(rows([&](std::size_t i) { return l.vertices[i][k].x(); })));
      skin.vertex_b_.push_back(size_law(rows([&](std::size_t i) { return l.vertices[i][k].y(); })));
      skin.corner_.push_back(size_law(rows([&](std::size_t i) { return l.corner_radii[i][k]; })));
      skin.prismatic_ = skin.prismatic_ && skin.vertex_a_.back().IsConstant() &&
                        skin.vertex_b_.back().IsConstant() && skin.corner_.back().IsConstant();
    }
    skin.FindUprightEdges();
    const int corners = static_cast<int>(n);
    skin.piece_count_ = l.closed ? 2 * corners : 2 * (corners - 1) - 1;
  }
  skin.straight_line_ = std::all_of(l.centres.begin(), l.centres.end(), [&](const Vec3& p) {
    return (p - l.centres.front()).cross(chord).norm() < kNothing;
  });
  skin.BuildMitres();
  skin.stations_.push_back(0.0);
  for (int i = 0; i < skin.span_count(); ++i) {
    double length = 0.0;
    const double h = (skin.span_start(i + 1) - skin.span_start(i)) / kArcParts;
    for (int part = 0; part < kArcParts; ++part) {
      for (std::size_t g = 0; g < kGaussNode.size(); ++g) {
        const double u = skin.span_start(i) + h * (part + 0.5 + 0.5 * kGaussNode[g]);
        length += 0.5 * h * kGaussWeight[g] * skin.CentreSpeed(u, i);
      }
    }
    skin.stations_.push_back(skin.stations_.back() + length);
  }
  if (const auto fault = skin.FirstFault()) {
    return tl::unexpected<Error>(*fault);
  }
  return skin;
}

std::optional<Error> Skin::FirstFault() const {
  auto fault = [](std::string text) { return Error{ErrorKind::job, std::move(text)}; };
  constexpr int kSteps = 12;
  for (int k = 0; !law_.round && k < vertex_count(); ++k) {
    const auto radius = [&](std::size_t i) {
      return law_.corner_radii[i][static_cast<std::size_t>(k)];
    };
    for (std::size_t i = 1; i < law_.centres.size(); ++i) {
      if ((radius(i) > kNothing) != (radius(0) > kNothing)) {
        return fault(
            "a corner is sharp (0) at one station and rounded at another; round it at all");
      }
    }
  }
  for (int span = 0; span < span_count(); ++span) {
    for (int step = 0; step <= kSteps; ++step) {
      const double u = span_start(span) + (span_start(span + 1) - span_start(span)) * step / kSteps;
      for (int piece = 0; piece < piece_count_; ++piece) {
        const double length = PieceLength(u, span, piece);
        if (length < -kNothing || (law_.round && length <= kNothing)) {
          return fault(fmt::format(
              "at station {:.1f} the corners are larger than the flat between them", StationOf(u)));
        }
        for (int q = 0; q < 4; ++q) {
          const SkinPoint p = At(u, piece + 0.25 * q + 0.01, span, piece);
          const Vec3 tangent = law_.smooth ? ToVec(FrameT(u, span).t)
                                           : (law_.centres[static_cast<std::size_t>(span) + 1] -
                                              law_.centres[static_cast<std::size_t>(span)])
                                                 .normalized();
          if (!(p.du.dot(tangent) > 1e-3) || !p.position.allFinite()) {
            return fault(fmt::format(
                "at station {:.1f} the part bends so sharply that its sections cross inside the "
                "skin; the bend is tighter than the section is wide",
                StationOf(u)));
          }
        }
      }
    }
  }
  return std::nullopt;
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
  return JetAt(u, v, span, piece);
}

SkinJet Skin::JetAt(double u, double v) const { return JetAt(u, v, SpanOf(u), PieceOf(v)); }

SkinJet Skin::JetAt(double u, double v, int span, int piece) const {
  const double local = LocalV(v, piece, piece_count_, law_.closed);
  SkinJet s;
  if (law_.smooth) {
    const Frame<JetU> f = FrameT(JetU(u, 1.0, 0.0), span);
    const V2<Jet> p = OutlineJet(u, local, span, piece);
    const auto value = [](const V3<JetU>& w) { return Vec3(w.x.f, w.y.f, w.z.f); };
    const auto slope = [](const V3<JetU>& w) { return Vec3(w.x.fu, w.y.fu, w.z.fu); };
    const auto bend = [](const V3<JetU>& w) { return Vec3(w.x.fuu, w.y.fuu, w.z.fuu); };
    const Vec3 a = value(f.a);
    const Vec3 b = value(f.b);
    const Vec3 a1 = slope(f.a);
    const Vec3 b1 = slope(f.b);
    s.position = value(f.c) + p.a.f * a + p.b.f * b;
    s.du = slope(f.c) + p.a.fu * a + p.a.f * a1 + p.b.fu * b + p.b.f * b1;
    s.dv = p.a.fv * a + p.b.fv * b;
    s.duu = bend(f.c) + p.a.fuu * a + 2.0 * p.a.fu * a1 + p.a.f * bend(f.a) + p.b.fuu * b +
            2.0 * p.b.fu * b1 + p.b.f * bend(f.b);
    s.duv = p.a.fuv * a + p.a.fv * a1 + p.b.fuv * b + p.b.fv * b1;
    s.dvv = p.a.fvv * a + p.b.fvv * b;
  } else {
    const V3<Jet> p = StraightPointT(Jet::U(u), Jet::V(local), span, piece);
    s.position = {p.x.f, p.y.f, p.z.f};
    s.du = {p.x.fu, p.y.fu, p.z.fu};
    s.dv = {p.x.fv, p.y.fv, p.z.fv};
    s.duu = {p.x.fuu, p.y.fuu, p.z.fuu};
    s.duv = {p.x.fuv, p.y.fuv, p.z.fuv};
    s.dvv = {p.x.fvv, p.y.fvv, p.z.fvv};
  }
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

std::optional<SkinHit> Skin::Project(const Vec3& p_world, SkinPlace guess) const {
  constexpr int kMostSteps = 60;
  constexpr double kSettled = 1e-11;  // mm along the skin
  auto clamp = [&](SkinPlace p) {
    p.u = std::clamp(p.u, 0.0, u_end());
    if (!law_.closed) {
      p.v = std::clamp(p.v, 0.0, static_cast<double>(piece_count_));
    }
    return p;
  };
  SkinPlace at = clamp(guess);
  SkinJet s = JetAt(at.u, at.v);
  double value = 0.5 * (s.position - p_world).squaredNorm();
  for (int step = 0; step < kMostSteps; ++step) {
    const Vec3 r = s.position - p_world;
    const Vec2 gradient(r.dot(s.du), r.dot(s.dv));
    Eigen::Matrix2d metric;
    metric << s.du.dot(s.du), s.du.dot(s.dv), s.du.dot(s.dv), s.dv.dot(s.dv);
    Eigen::Matrix2d hessian = metric;
    hessian(0, 0) += r.dot(s.duu);
    hessian(0, 1) += r.dot(s.duv);
    hessian(1, 0) = hessian(0, 1);
    hessian(1, 1) += r.dot(s.dvv);
    if (!(hessian.determinant() > 1e-9 * metric.determinant()) || !(hessian(0, 0) > 0.0)) {
      hessian = metric;
    }
    hessian(1, 1) += 1e-12;
    const Vec2 move = -hessian.inverse() * gradient;
    double scale = 1.0;
    bool moved = false;
    SkinPlace next;
    for (int half = 0; half < 30; ++half, scale *= 0.5) {
      next = clamp({at.u + scale * move.x(), at.v + scale * move.y()});
      const SkinJet t = JetAt(next.u, next.v);
      const double new_value = 0.5 * (t.position - p_world).squaredNorm();
      if (new_value <= value) {
        moved = (t.position - s.position).norm() > kSettled;
        s = t;
        value = new_value;
        at = next;
        break;
      }
    }
    if (!moved) {
      SkinHit hit;
      hit.place = {at.u, Wrapped(at.v)};
      hit.position = s.position;
      hit.distance = std::sqrt(2.0 * value);
      return hit;
    }
  }
  return std::nullopt;
}

std::optional<SkinHit> Skin::Project(const Vec3& p_world) const {
  constexpr int kAlong = 6;
  constexpr int kAround = 3;
  std::vector<std::pair<double, SkinPlace>> guesses;
  for (int i = 0; i <= kAlong * span_count(); ++i) {
    const int span = std::min(i / kAlong, span_count() - 1);
    const double within = static_cast<double>(i - span * kAlong) / kAlong;
    const double u = span_start(span) + within * (span_start(span + 1) - span_start(span));
    for (int j = 0; j < kAround * piece_count_; ++j) {
      const double v = (j + 0.5) / kAround;
      const Vec3 p = ToWorld(u, OutlineAt(u, v));
      guesses.emplace_back((p - p_world).squaredNorm(), SkinPlace{u, v});
    }
  }
  constexpr std::size_t kTried = 4;
  std::partial_sort(guesses.begin(), guesses.begin() + std::min(kTried, guesses.size()),
                    guesses.end(), [](const auto& x, const auto& y) { return x.first < y.first; });
  std::optional<SkinHit> best;
  for (std::size_t i = 0; i < std::min(kTried, guesses.size()); ++i) {
    const auto hit = Project(p_world, guesses[i].second);
    if (hit && (!best || hit->distance < best->distance)) {
      best = hit;
    }
  }
  return best;
}

// ---------------------------------------------------------------- sections

SectionFrame Skin::FrameAt(double u) const {
  const auto f = FrameT(u, SpanOf(u));
  return {ToVec(f.c), ToVec(f.t), ToVec(f.a), ToVec(f.b)};
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

double Skin::TurnAt(double u, int span, int k) const {
  if (upright_edges_) {
    return kPi / 2.0;
  }
  const int n = vertex_count();
  const auto vertex = [&](int i) {
    const auto p = VertexT(u, span, (i + n) % n);
    return Vec2(p.a, p.b);
  };
  const Vec2 before = vertex(k) - vertex(k - 1);
  const Vec2 after = vertex(k + 1) - vertex(k);
  return std::abs(std::atan2(before.x() * after.y() - before.y() * after.x(), before.dot(after)));
}

double Skin::SetBackAt(double u, int k) const { return SetBackAt(u, SpanOf(u), k); }

double Skin::SetBackAt(double u, int span, int k) const {
  if (!law_.closed && (k == 0 || k == vertex_count() - 1)) {
    return 0.0;
  }
  const double radius = corner_[static_cast<std::size_t>(k)].At(u, span);
  return upright_edges_ ? radius : radius * std::tan(0.5 * TurnAt(u, span, k));
}

double Skin::PieceLength(double u, int span, int piece) const {
  if (law_.round) {
    return radius_.At(u, span) * kPi / 2.0;
  }
  const int n = vertex_count();
  if (piece % 2 != 0) {
    const int at = law_.closed ? piece / 2 : piece / 2 + 1;
    return corner_[static_cast<std::size_t>(at)].At(u, span) * TurnAt(u, span, at);
  }
  const int from = law_.closed ? (piece / 2 + n - 1) % n : piece / 2;
  const int to = law_.closed ? piece / 2 : piece / 2 + 1;
  const V2<double> flat = VertexT(u, span, to) - VertexT(u, span, from);
  return std::hypot(flat.a, flat.b) - SetBackAt(u, span, from) - SetBackAt(u, span, to);
}

// ---------------------------------------------------------------- station and girth

double Skin::CentreSpeed(double u, int span) const {
  const double x = centre_[0].SlopeAt(u, span);
  const double y = centre_[1].SlopeAt(u, span);
  const double z = centre_[2].SlopeAt(u, span);
  return std::sqrt(x * x + y * y + z * z);
}

double Skin::StationOf(double u) const {
  const int span = SpanOf(u);
  const double start = span_start(span);
  const double h = (u - start) / kArcParts;
  double length = stations_[static_cast<std::size_t>(span)];
  for (int part = 0; part < kArcParts; ++part) {
    for (std::size_t g = 0; g < kGaussNode.size(); ++g) {
      length += 0.5 * h * kGaussWeight[g] *
                CentreSpeed(start + h * (part + 0.5 + 0.5 * kGaussNode[g]), span);
    }
  }
  return length;
}

double Skin::UOfStation(double station) const {
  const auto it = std::upper_bound(stations_.begin(), stations_.end(), station);
  const int span = std::clamp(static_cast<int>(it - stations_.begin()) - 1, 0, span_count() - 1);
  const auto i = static_cast<std::size_t>(span);
  const double share = (station - stations_[i]) / (stations_[i + 1] - stations_[i]);
  double u = knots_[i] + share * (knots_[i + 1] - knots_[i]);
  for (int step = 0; step < 20; ++step) {
    const double move = (station - StationOf(u)) / CentreSpeed(u, SpanOf(u));
    u += move;
    if (std::abs(move) < 1e-12 * (1.0 + std::abs(u))) {
      break;
    }
  }
  return u;
}

double Skin::OutlineLength(double u, double v) const {
  const int span = SpanOf(u);
  double length = 0.0;
  int piece = 0;
  for (; piece < piece_count_ - 1 && piece + 1 <= v; ++piece) {
    length += PieceLength(u, span, piece);
  }
  return length + (v - piece) * PieceLength(u, span, piece);
}

double Skin::Perimeter(double u) const { return OutlineLength(u, piece_count_); }

double Skin::GirthOf(double u, double v) const {
  const double girth = OutlineLength(u, Wrapped(v)) - OutlineLength(u, law_.girth_origin_v);
  if (!law_.closed) {
    return girth;
  }
  const double round = Perimeter(u);
  double g = std::fmod(girth, round);
  if (g > 0.5 * round) {
    g -= round;
  } else if (g <= -0.5 * round) {
    g += round;
  }
  return g;
}

double Skin::VOfGirth(double u, double girth) const {
  const int span = SpanOf(u);
  double length = girth + OutlineLength(u, law_.girth_origin_v);
  if (law_.closed) {
    const double round = Perimeter(u);
    length = std::fmod(length, round);
    if (length < 0.0) {
      length += round;
    }
  }
  int piece = 0;
  double piece_length = PieceLength(u, span, 0);
  while (piece < piece_count_ - 1 && length > piece_length) {
    length -= piece_length;
    piece_length = PieceLength(u, span, ++piece);
  }
  return piece_length > kNothing ? piece + length / piece_length : piece;
}

}  // namespace holeward
