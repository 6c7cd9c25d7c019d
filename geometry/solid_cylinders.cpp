#include "geometry/solid_cylinders.h"

#include <algorithm>
#include <cmath>

#include <BRepAdaptor_Surface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr double kSame = 1e-3;  // mm: faces of one cylinder

/// A cylinder with how far round its faces go together.
struct Gathered {
  SolidCylinder cylinder;
  double turn = 0.0;  ///< radians
};

Gathered FaceOf(const BRepAdaptor_Surface& surface, bool reversed) {
  const gp_Cylinder cylinder = surface.Cylinder();
  const gp_Ax1 axis = cylinder.Axis();
  const Vec3 origin = ToVec3(axis.Location());
  Vec3 way(axis.Direction().X(), axis.Direction().Y(), axis.Direction().Z());
  Gathered one;
  one.cylinder.from = origin + surface.FirstVParameter() * way;
  one.cylinder.to = origin + surface.LastVParameter() * way;
  one.cylinder.diameter = 2.0 * cylinder.Radius();
  one.cylinder.outward = cylinder.Direct() != reversed;
  one.turn = surface.LastUParameter() - surface.FirstUParameter();
  return one;
}

bool SameAxis(const SolidCylinder& a, const SolidCylinder& b) {
  const Vec3 way = (a.to - a.from).normalized();
  const auto off = [&](const Vec3& p) {
    const Vec3 apart = p - a.from;
    return (apart - apart.dot(way) * way).norm();
  };
  return std::abs(a.diameter - b.diameter) < kSame && a.outward == b.outward &&
         off(b.from) < kSame && off(b.to) < kSame;
}

bool Joins(const SolidCylinder& a, const SolidCylinder& b) {
  const Vec3 way = (a.to - a.from).normalized();
  const double length = (a.to - a.from).norm();
  const double s = (b.from - a.from).dot(way);
  const double t = (b.to - a.from).dot(way);
  return std::max(s, t) > -kSame && std::min(s, t) < length + kSame;
}

void Add(Gathered& to, const Gathered& more) {
  const Vec3 way = (to.cylinder.to - to.cylinder.from).normalized();
  const Vec3 origin = to.cylinder.from;
  double low = 0.0;
  double high = (to.cylinder.to - origin).dot(way);
  for (const Vec3& end : {more.cylinder.from, more.cylinder.to}) {
    low = std::min(low, (end - origin).dot(way));
    high = std::max(high, (end - origin).dot(way));
  }
  to.cylinder.from = origin + low * way;
  to.cylinder.to = origin + high * way;
  to.turn += more.turn;
}

}  // namespace

Result<std::vector<SolidCylinder>> CylindersOf(const TopoDS_Shape& solid) {
  return Guarded("the solid", "looking for cylinders", [&]() -> Result<std::vector<SolidCylinder>> {
    std::vector<Gathered> gathered;
    for (TopExp_Explorer e(solid, TopAbs_FACE); e.More(); e.Next()) {
      const BRepAdaptor_Surface surface(TopoDS::Face(e.Current()));
      if (surface.GetType() != GeomAbs_Cylinder) continue;
      const Gathered one = FaceOf(surface, e.Current().Orientation() == TopAbs_REVERSED);
      const auto known = std::find_if(gathered.begin(), gathered.end(), [&](const Gathered& other) {
        return SameAxis(other.cylinder, one.cylinder) && Joins(other.cylinder, one.cylinder);
      });
      if (known == gathered.end()) {
        gathered.push_back(one);
      } else {
        Add(*known, one);
      }
    }
    std::vector<SolidCylinder> found;
    for (const Gathered& one : gathered) {
      if (one.turn > 0.99 * kPi) found.push_back(one.cylinder);
    }
    std::stable_sort(
        found.begin(), found.end(),
        [](const SolidCylinder& a, const SolidCylinder& b) { return a.diameter > b.diameter; });
    return found;
  });
}

}  // namespace holeward
