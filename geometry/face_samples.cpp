#include "geometry/face_samples.h"

#include <BRepAdaptor_Curve.hxx>
#include <BRepTools.hxx>
#include <BRepTopAdaptor_FClass2d.hxx>
#include <BRep_Tool.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <fmt/format.h>

#include "geometry/solid_kernel.h"

namespace holeward {
namespace {

constexpr int kAcross = 9;  // samples across a face each way

}  // namespace

std::vector<Vec3> SamplesWithin(const TopoDS_Face& face) {
  std::vector<Vec3> places;
  double u1 = 0.0, u2 = 0.0, v1 = 0.0, v2 = 0.0;
  BRepTools::UVBounds(face, u1, u2, v1, v2);
  const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
  const BRepTopAdaptor_FClass2d within(face, 1e-7);
  for (int i = 0; i < kAcross; ++i) {
    for (int j = 0; j < kAcross; ++j) {
      const gp_Pnt2d at(u1 + (u2 - u1) * (i + 0.5) / kAcross, v1 + (v2 - v1) * (j + 0.5) / kAcross);
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
    for (int i = 0; i <= kAcross; ++i) {
      const double t = static_cast<double>(i) / kAcross;
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
