#include "geometry/whole_bands.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <BRepAdaptor_Surface.hxx>
#include <BRepClass_FaceClassifier.hxx>
#include <BRepTools.hxx>
#include <BRep_Tool.hxx>
#include <BndLib_Add2dCurve.hxx>
#include <Bnd_Box2d.hxx>
#include <Geom2d_Curve.hxx>
#include <Geom_Surface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <gp_Pnt2d.hxx>

#include "geometry/shape_parts.h"

namespace holeward {
namespace {

// An edge runs along a bound of the face within this share of the face; boxes are so much larger
// than what they hold, and a band is no narrower.
constexpr double kOnBound = 1e-6;
constexpr double kSpare = 1e-4;
constexpr double kNarrowest = 1e-2;
// A flat face that fills less of the rectangle round it is a rim.
constexpr double kRim = 0.6;
// Of a face with more trimmed edges none is divided.
constexpr std::size_t kMostEdges = 200;

using Interval = std::pair<double, double>;

/// The bounds of a face; where it reaches those of its surface, exactly these.
ParameterBox BoundsOf(const TopoDS_Face& face) {
  ParameterBox all;
  BRepTools::UVBounds(face, all.u1, all.u2, all.v1, all.v2);
  ParameterBox natural;
  BRep_Tool::Surface(face)->Bounds(natural.u1, natural.u2, natural.v1, natural.v2);
  const double du = kOnBound * (all.u2 - all.u1);
  const double dv = kOnBound * (all.v2 - all.v1);
  const auto snap = [](double& value, double to, double by) {
    if (std::abs(value - to) <= by) value = to;
  };
  snap(all.u1, natural.u1, du);
  snap(all.u2, natural.u2, du);
  snap(all.v1, natural.v1, dv);
  snap(all.v2, natural.v2, dv);
  return all;
}

/// The box of an edge on the surface; nothing if it runs along a bound of the face.
bool IsTrimmed(const TopoDS_Edge& edge, const TopoDS_Face& face, const ParameterBox& all,
               std::vector<ParameterBox>& boxes) {
  double first = 0.0;
  double last = 0.0;
  const auto curve = BRep_Tool::CurveOnSurface(edge, face, first, last);
  if (curve.IsNull()) return false;
  const double du = all.u2 - all.u1;
  const double dv = all.v2 - all.v1;
  const auto along = [&](bool by_u, double bound, double by) {
    for (const double t : {0.0, 0.1, 0.5, 0.9, 1.0}) {
      const gp_Pnt2d p = curve->Value(first + t * (last - first));
      if (std::abs((by_u ? p.X() : p.Y()) - bound) > by) return false;
    }
    return true;
  };
  if (along(true, all.u1, kOnBound * du) || along(true, all.u2, kOnBound * du) ||
      along(false, all.v1, kOnBound * dv) || along(false, all.v2, kOnBound * dv)) {
    return true;
  }
  Bnd_Box2d box;
  BndLib_Add2dCurve::Add(curve, first, last, 0.0, box);
  ParameterBox held;
  box.Get(held.u1, held.v1, held.u2, held.v2);
  boxes.push_back(
      {held.u1 - kSpare * du, held.u2 + kSpare * du, held.v1 - kSpare * dv, held.v2 + kSpare * dv});
  return true;
}

/// What is left of an interval without others, and these put together.
struct Divided {
  std::vector<Interval> free;
  std::vector<Interval> taken;
};

Divided Without(const Interval& all, std::vector<Interval> others) {
  std::sort(others.begin(), others.end());
  Divided divided;
  const double least = kNarrowest * (all.second - all.first);
  double from = all.first;
  for (const Interval& one : others) {
    if (one.first - from > least) divided.free.emplace_back(from, one.first);
    if (!divided.taken.empty() && one.first <= divided.taken.back().second) {
      divided.taken.back().second = std::max(divided.taken.back().second, one.second);
    } else {
      divided.taken.push_back(one);
    }
    from = std::max(from, one.second);
  }
  if (all.second - from > least) divided.free.emplace_back(from, all.second);
  return divided;
}

/// A flat ring: all border, and exact in triangles.
bool IsRim(const TopoDS_Face& face, const ParameterBox& all) {
  if (BRepAdaptor_Surface(face).GetType() != GeomAbs_Plane) return false;
  return AreaOf(face) < kRim * (all.u2 - all.u1) * (all.v2 - all.v1);
}

bool LiesWithin(const TopoDS_Face& face, const ParameterBox& box) {
  const gp_Pnt2d middle(0.5 * (box.u1 + box.u2), 0.5 * (box.v1 + box.v2));
  return BRepClass_FaceClassifier(face, middle, 1e-9).State() == TopAbs_IN;
}

}  // namespace

std::vector<ParameterBox> WholeBandsOf(const TopoDS_Face& face) {
  const ParameterBox all = BoundsOf(face);
  if (IsRim(face, all)) return {};
  std::vector<ParameterBox> boxes;
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
    if (!IsTrimmed(TopoDS::Edge(e.Current()), face, all, boxes)) return {};
    if (boxes.size() > kMostEdges) return {};
  }
  std::vector<ParameterBox> bands;
  const auto offer = [&](const ParameterBox& box) {
    if (LiesWithin(face, box)) bands.push_back(box);
  };
  std::vector<Interval> by_v;
  for (const ParameterBox& box : boxes) by_v.emplace_back(box.v1, box.v2);
  const Divided across = Without({all.v1, all.v2}, by_v);
  for (const Interval& v : across.free) offer({all.u1, all.u2, v.first, v.second});
  for (const Interval& v : across.taken) {
    std::vector<Interval> by_u;
    for (const ParameterBox& box : boxes) {
      if (box.v1 <= v.second && box.v2 >= v.first) by_u.emplace_back(box.u1, box.u2);
    }
    for (const Interval& u : Without({all.u1, all.u2}, by_u).free) {
      offer({u.first, u.second, std::max(v.first, all.v1), std::min(v.second, all.v2)});
    }
  }
  return bands;
}

bool IsAllOf(const TopoDS_Face& face, const std::vector<ParameterBox>& bands) {
  if (bands.size() != 1) return false;
  const ParameterBox all = BoundsOf(face);
  const ParameterBox& band = bands.front();
  return band.u1 == all.u1 && band.u2 == all.u2 && band.v1 == all.v1 && band.v2 == all.v2;
}

}  // namespace holeward
