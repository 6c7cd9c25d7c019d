#include "geometry/circle_face.h"

#include <algorithm>
#include <cmath>

#include <BRepTools.hxx>
#include <TColStd_Array1OfReal.hxx>

#include "geometry/circle.h"
#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

// A section of the face departs from the circle by no more, mm: a spline between its knots does.
constexpr double kCircle = 0.01;
// The face stands square to the circle's plane within this, as one less the cosine.
constexpr double kAcross = 1e-4;

}  // namespace

CircleFace::CircleFace(const TopoDS_Face& face, double radius, bool along_u)
    : surface_(face, false), radius_(radius), along_u_(along_u) {
  BRepTools::UVBounds(face, from_[0], to_[0], from_[1], to_[1]);
  reversed_ = face.Orientation() == TopAbs_REVERSED;
}

std::optional<CircleFace> CircleFace::Of(const TopoDS_Face& face, double radius) {
  for (const bool along_u : {true, false}) {
    CircleFace one(face, radius, along_u);
    if (one.IsMadeOfCircles()) return one;
  }
  return std::nullopt;
}

bool CircleFace::is_analytic() const {
  return surface_.GetType() == GeomAbs_Cylinder || surface_.GetType() == GeomAbs_Torus;
}

double CircleFace::Around(double share) const {
  const std::size_t k = along_u_ ? 1 : 0;
  return from_[k] + share * (to_[k] - from_[k]);
}

std::vector<Vec3> CircleFace::Section(double t) const {
  std::vector<Vec3> places;
  constexpr int kSteps = 6;
  for (int i = 0; i <= kSteps; ++i) {
    const double s = Around(static_cast<double>(i) / kSteps);
    places.push_back(ToVec3(along_u_ ? surface_.Value(t, s) : surface_.Value(s, t)));
  }
  return places;
}

std::optional<CentrePlace> CircleFace::At(double t) const {
  const auto circle = CircleOf(Section(t));
  if (!circle) return std::nullopt;
  gp_Pnt p;
  gp_Vec du;
  gp_Vec dv;
  const double s = Around(0.5);
  surface_.D1(along_u_ ? t : s, along_u_ ? s : t, p, du, dv);
  const gp_Vec& along = along_u_ ? du : dv;
  const bool ahead = Vec3(along.X(), along.Y(), along.Z()).dot(circle->normal) > 0.0;
  return CentrePlace{circle->centre, ahead ? circle->normal : Vec3(-circle->normal)};
}

std::vector<double> CircleFace::Breaks() const {
  if (surface_.GetType() == GeomAbs_Cylinder) return {first(), last()};
  if (surface_.GetType() != GeomAbs_Torus) return SmoothBreaks();
  const double turn = last() - first();
  const int n = std::max(1, static_cast<int>(std::ceil(turn / kTurn - 1e-9)));
  std::vector<double> breaks;
  for (int i = 0; i <= n; ++i) breaks.push_back(first() + turn * i / n);
  return breaks;
}

// The knots of a spline between the borders.
std::vector<double> CircleFace::SmoothBreaks() const {
  const int n = along_u_ ? surface_.NbUIntervals(GeomAbs_CN) : surface_.NbVIntervals(GeomAbs_CN);
  TColStd_Array1OfReal knots(1, n + 1);
  if (along_u_) {
    surface_.UIntervals(knots, GeomAbs_CN);
  } else {
    surface_.VIntervals(knots, GeomAbs_CN);
  }
  std::vector<double> breaks{first()};
  const double least = 1e-6 * (last() - first());
  for (int i = 1; i <= n + 1; ++i) {
    if (knots(i) > breaks.back() + least && knots(i) < last() - least) breaks.push_back(knots(i));
  }
  breaks.push_back(last());
  return breaks;
}

bool CircleFace::IsMadeOfCircles() const {
  for (const double share : {0.0, 0.31, 0.5, 0.77, 1.0}) {
    const double t = first() + share * (last() - first());
    const std::vector<Vec3> places = Section(t);
    const auto circle = CircleOf(places);
    if (!circle || circle->Departure(places) > kCircle) return false;
    if (std::abs(circle->radius - radius_) > 2.0 * kCircle) return false;
    if (!FacesAway(t, circle->centre)) return false;
  }
  return true;
}

/// True if the metal lies on the side of the circle's middle, square to the circle.
bool CircleFace::FacesAway(double t, const Vec3& middle) const {
  gp_Pnt p;
  gp_Vec du;
  gp_Vec dv;
  const double s = Around(0.5);
  surface_.D1(along_u_ ? t : s, along_u_ ? s : t, p, du, dv);
  const gp_Vec n = du.Crossed(dv);
  Vec3 normal(n.X(), n.Y(), n.Z());
  if (!(normal.norm() > 0.0)) return false;
  normal = (reversed_ ? -1.0 : 1.0) * normal.normalized();
  return (ToVec3(p) - middle).normalized().dot(normal) > 1.0 - kAcross;
}

}  // namespace holeward
