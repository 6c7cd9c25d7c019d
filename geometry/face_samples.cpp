#include "geometry/face_samples.h"

#include <algorithm>

#include <BRepAdaptor_Curve.hxx>
#include <BRepAdaptor_Surface.hxx>
#include <BRepTools.hxx>
#include <BRepTopAdaptor_FClass2d.hxx>
#include <BRep_Tool.hxx>
#include <Geom_BSplineSurface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr int kAcross = 9;  // samples across a face each way, at least,
constexpr int kInSpan = 2;  // in each span of a spline,
constexpr int kMost = 65;   // at most

/// How many samples tell a stretch of so many spans.
int SamplesIn(int spans) { return std::clamp(kInSpan * spans + 1, kAcross, kMost); }

/// Spans of a surface's spline between two parameters, along u or along v; 1 for other surfaces.
int SpansOf(const BRepAdaptor_Surface& surface, bool along_u) {
  if (surface.GetType() != GeomAbs_BSplineSurface) return 1;
  const auto spline = surface.BSpline();
  const double from = along_u ? surface.FirstUParameter() : surface.FirstVParameter();
  const double to = along_u ? surface.LastUParameter() : surface.LastVParameter();
  int spans = 1;
  const int knots = along_u ? spline->NbUKnots() : spline->NbVKnots();
  for (int i = 1; i <= knots; ++i) {
    const double at = along_u ? spline->UKnot(i) : spline->VKnot(i);
    if (at > from + 1e-9 && at < to - 1e-9) ++spans;
  }
  return spans;
}

}  // namespace

std::vector<Vec3> SamplesWithin(const TopoDS_Face& face) {
  std::vector<Vec3> places;
  double u1 = 0.0, u2 = 0.0, v1 = 0.0, v2 = 0.0;
  BRepTools::UVBounds(face, u1, u2, v1, v2);
  const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
  const BRepTopAdaptor_FClass2d within(face, 1e-7);
  const BRepAdaptor_Surface spline(face);
  const int along_u = SamplesIn(SpansOf(spline, true));
  const int along_v = SamplesIn(SpansOf(spline, false));
  for (int i = 0; i < along_u; ++i) {
    for (int j = 0; j < along_v; ++j) {
      const gp_Pnt2d at(u1 + (u2 - u1) * (i + 0.5) / along_u, v1 + (v2 - v1) * (j + 0.5) / along_v);
      if (within.Perform(at) == TopAbs_OUT) continue;
      places.push_back(ToVec3(surface->Value(at.X(), at.Y())));
    }
  }
  return places;
}

std::vector<Vec3> SamplesOf(const TopoDS_Face& face) {
  std::vector<Vec3> places = SamplesWithin(face);
  for (TopExp_Explorer e(face, TopAbs_EDGE); e.More(); e.Next()) {
    if (BRep_Tool::Degenerated(TopoDS::Edge(e.Current()))) continue;
    const BRepAdaptor_Curve curve(TopoDS::Edge(e.Current()));
    const int steps =
        SamplesIn(curve.GetType() == GeomAbs_BSplineCurve ? curve.NbIntervals(GeomAbs_C2) : 1);
    for (int i = 0; i <= steps; ++i) {
      const double t = static_cast<double>(i) / steps;
      places.push_back(ToVec3(curve.Value(curve.FirstParameter() +
                                          t * (curve.LastParameter() - curve.FirstParameter()))));
    }
  }
  return places;
}

std::string WhereFaceLies(int number, const std::vector<Vec3>& places) {
  Vec3 low = places.front();
  Vec3 high = low;
  for (const Vec3& place : places) {
    low = low.cwiseMin(place);
    high = high.cwiseMax(place);
  }
  return fmt::format("face {} of it, between [{:.1f}, {:.1f}, {:.1f}] and [{:.1f}, {:.1f}, {:.1f}]",
                     number, low.x(), low.y(), low.z(), high.x(), high.y(), high.z());
}

}  // namespace holeward
