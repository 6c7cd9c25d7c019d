#include "geometry/outline_rays.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <IntCurvesFace_Intersector.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <gp_Lin.hxx>
#include <gp_Vec.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr double kRayTolerance = 1e-9;
// A place found is on its ray within this, mm.
constexpr double kOnRay = 1e-10;
// A face is met from within the metal if its outward normal lies along the ray by this cosine.
constexpr double kLeaves = 0.2;
// A ray looks so far before and behind a place, as a share of its distance from the centre: less
// than to the far wall.
constexpr double kReach = 0.7;
// A corner of less radius is sharp, mm.
constexpr double kSharp = 1e-3;
// Flats that turn by less than this sine are one.
constexpr double kTurn = 0.02;

struct Meeting {
  Vec2 uv = Vec2::Zero();
  Vec3 place = Vec3::Zero();
  Vec3 normal = Vec3::UnitX();  ///< of the surface, unit
};

Vec3 ToVec3(const gp_Vec& v) { return {v.X(), v.Y(), v.Z()}; }

/// Where a ray meets a surface, by Newton's method from parameters nearby: the kernel's own places
/// may be off by a millimetre beside the knots of a spline.
std::optional<Meeting> Polished(const BRepAdaptor_Surface& surface, const Vec3& from,
                                const Vec3& way, Vec2 uv) {
  gp_Pnt p;
  gp_Vec du;
  gp_Vec dv;
  for (int i = 0; i < 12; ++i) {
    surface.D1(uv.x(), uv.y(), p, du, dv);
    const Vec3 off = holeward::ToVec3(p) - from;
    const Vec3 aside = off - off.dot(way) * way;
    if (aside.norm() < kOnRay) {
      return Meeting{uv, Vec3(from + off.dot(way) * way),
                     ToVec3(du).cross(ToVec3(dv)).normalized()};
    }
    Eigen::Matrix3d by;
    by << ToVec3(du), ToVec3(dv), -way;
    const Vec3 step = by.partialPivLu().solve(off - off.dot(way) * way);
    if (!step.allFinite()) return std::nullopt;
    uv -= step.head<2>();
  }
  return std::nullopt;
}

/// The length of flat that a corner takes, from the sharp corner.
double SetBack(const PlaneOutline& outline, std::size_t k) {
  const std::size_t n = outline.vertices.size();
  const Vec3 before = (outline.vertices[(k + n - 1) % n] - outline.vertices[k]).normalized();
  const Vec3 after = (outline.vertices[(k + 1) % n] - outline.vertices[k]).normalized();
  const double half = 0.5 * std::acos(std::clamp(before.dot(after), -1.0, 1.0));
  return outline.radii[k] / std::tan(half);
}

}  // namespace

struct OutlineRays::FaceRays {
  explicit FaceRays(const TopoDS_Face& face)
      : meet(face, kRayTolerance), surface(face), reversed(face.Orientation() == TopAbs_REVERSED) {}

  IntCurvesFace_Intersector meet;
  BRepAdaptor_Surface surface;
  bool reversed;
};

PlaneOutline PlaneOutline::MovedTo(const Vec3& to, const Vec3& to_normal) const {
  const Eigen::Quaterniond turn = Eigen::Quaterniond::FromTwoVectors(normal, to_normal);
  PlaneOutline moved = *this;
  moved.centre = to;
  moved.normal = to_normal;
  for (Vec3& vertex : moved.vertices) {
    const Vec3 off = turn * Vec3(vertex - centre);
    vertex = to + off - off.dot(to_normal) * to_normal;  // exactly in the plane
  }
  return moved;
}

Vec3 CentroidOf(const std::vector<Vec3>& vertices) {
  const Vec3& origin = vertices.front();
  Vec3 whole = Vec3::Zero();
  for (std::size_t i = 1; i + 1 < vertices.size(); ++i) {
    whole += (vertices[i] - origin).cross(vertices[i + 1] - origin);
  }
  const Vec3 normal = whole.normalized();
  Vec3 moment = Vec3::Zero();
  double area = 0.0;
  for (std::size_t i = 1; i + 1 < vertices.size(); ++i) {
    const Vec3 a = vertices[i] - origin;
    const Vec3 b = vertices[i + 1] - origin;
    const double part = a.cross(b).dot(normal);
    area += part;
    moment += part * (a + b) / 3.0;
  }
  return origin + moment / area;
}

OutlineRays::OutlineRays(const TopoDS_Shape& solid) {
  for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
    faces_.push_back(std::make_unique<FaceRays>(TopoDS::Face(e.Current())));
  }
}

OutlineRays::~OutlineRays() = default;

/// The place nearest to the way's middle at which it leaves the metal through the face.
std::optional<Vec3> OutlineRays::MetOn(const Way& way, FaceRays& face, Vec2& uv) const {
  const Vec3 from = way.through - way.reach * way.out;
  face.meet.Perform(gp_Lin(ToPnt(from), gp_Dir(way.out.x(), way.out.y(), way.out.z())), 0.0,
                    2.0 * way.reach);
  if (!face.meet.IsDone()) return std::nullopt;
  std::optional<Vec3> nearest;
  for (int i = 1; i <= face.meet.NbPnt(); ++i) {
    const auto at =
        Polished(face.surface, from, way.out, {face.meet.UParameter(i), face.meet.VParameter(i)});
    if (!at || at->normal.dot(way.out) * (face.reversed ? -1.0 : 1.0) < kLeaves) continue;
    if (!nearest || (at->place - way.through).norm() < (*nearest - way.through).norm()) {
      nearest = at->place;
      uv = at->uv;
    }
  }
  return nearest;
}

/// The same from where the last ray met its face. A hole in the face is not seen.
std::optional<Vec3> OutlineRays::MetAgain(const Way& way, Last& last) const {
  if (!last.uv) return std::nullopt;
  const FaceRays& face = *faces_[last.face];
  const auto at = Polished(face.surface, way.through, way.out, *last.uv);
  if (!at || (at->place - way.through).norm() > way.reach ||
      at->normal.dot(way.out) * (face.reversed ? -1.0 : 1.0) < kLeaves ||
      at->uv.x() < face.surface.FirstUParameter() || at->uv.x() > face.surface.LastUParameter() ||
      at->uv.y() < face.surface.FirstVParameter() || at->uv.y() > face.surface.LastVParameter()) {
    return std::nullopt;
  }
  last.uv = at->uv;
  return at->place;
}

std::optional<Vec3> OutlineRays::Met(const Way& way, Last& last) {
  if (const auto again = MetAgain(way, last)) return again;
  std::optional<Vec3> nearest;
  for (std::size_t i = 0; i < faces_.size(); ++i) {
    Vec2 uv = Vec2::Zero();
    const auto at = MetOn(way, *faces_[i], uv);
    if (!at || (nearest && (*at - way.through).norm() >= (*nearest - way.through).norm())) continue;
    nearest = at;
    last = {i, uv};
  }
  return nearest;
}

std::optional<OutlineRays::Flat> OutlineRays::FlatNear(const PlaneOutline& guess, std::size_t k) {
  const std::size_t n = guess.vertices.size();
  const Vec3& from = guess.vertices[k];
  const Vec3& to = guess.vertices[(k + 1) % n];
  const Vec3 along = (to - from).normalized();
  Vec3 out = along.cross(guess.normal);
  if (out.dot(from - guess.centre) < 0.0) out = -out;
  const Vec3 first = from + SetBack(guess, k) * along;
  const Vec3 last = to - SetBack(guess, (k + 1) % n) * along;
  const double reach = kReach * std::abs((from - guess.centre).dot(out));
  const auto met = [&](Last& begin, std::initializer_list<double> shares) {
    std::optional<Vec3> at;
    for (const double share : shares) {  // a hole may be in the way
      if (!at) at = Met({Vec3(first + share * (last - first)), out, reach}, begin);
    }
    return at;
  };
  const auto a = met(on_flat_[k][0], {0.1, 0.2, 0.05, 0.3});
  const auto b = met(on_flat_[k][1], {0.9, 0.8, 0.95, 0.7});
  if (!a || !b || (*b - *a).norm() < 1e-6) return std::nullopt;
  Flat flat{*a, (*b - *a).normalized(), Vec3::Zero()};
  flat.out = flat.along.cross(guess.normal);
  if (flat.out.dot(out) < 0.0) flat.out = -flat.out;
  return flat;
}

double OutlineRays::RadiusNear(const Flat& before, const Flat& after, const Vec3& vertex,
                               double guess, std::size_t k) {
  const Vec3 out = (before.out + after.out).normalized();
  const double sine = out.dot(before.out);  // of half the angle between the flats
  const double deep = 1.0 / sine - 1.0;     // of the arc under the corner, by radius
  const auto met =
      Met({Vec3(vertex - deep * guess * out), out, 2.0 * guess * deep + 1.0}, on_corner_[k]);
  if (!met) return 0.0;
  const double radius = (vertex - *met).dot(out) / deep;
  return radius < kSharp ? 0.0 : radius;
}

std::optional<PlaneOutline> OutlineRays::Near(const PlaneOutline& guess) {
  const std::size_t n = guess.vertices.size();
  on_flat_.resize(n);
  on_corner_.resize(n);
  std::vector<Flat> flats;
  for (std::size_t k = 0; k < n; ++k) {
    const auto flat = FlatNear(guess, k);
    if (!flat) return std::nullopt;
    flats.push_back(*flat);
  }
  PlaneOutline found = guess;
  for (std::size_t k = 0; k < n; ++k) {
    const Flat& before = flats[(k + n - 1) % n];
    const Flat& after = flats[k];
    const double turn = before.along.cross(after.along).norm();
    if (turn < kTurn || before.out.dot(after.along) > 0.0) return std::nullopt;
    const double along = (after.at - before.at).dot(after.out) / before.along.dot(after.out);
    found.vertices[k] = before.at + along * before.along;
  }
  for (std::size_t k = 0; k < n; ++k) {
    found.radii[k] =
        RadiusNear(flats[(k + n - 1) % n], flats[k], found.vertices[k], guess.radii[k], k);
  }
  found.centre = CentroidOf(found.vertices);
  return found;
}

}  // namespace holeward
