// Trimmed faces in patches: exact where nothing trims them, triangles elsewhere, and nothing left
// out.
#include "geometry/whole_bands.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <BRepAlgoAPI_Cut.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_NurbsConvert.hxx>
#include <BRepClass_FaceClassifier.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRepPrimAPI_MakeHalfSpace.hxx>
#include <BRepPrimAPI_MakeTorus.hxx>
#include <BRep_Tool.hxx>
#include <ShapeAnalysis_Surface.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <gp_Ax2.hxx>
#include <gp_Pln.hxx>

#include <gtest/gtest.h>

#include "geometry/face_patches.h"
#include "geometry/face_samples.h"
#include "geometry/rim_patches.h"
#include "geometry/solid_kernel.h"
#include "tests/geometry/mounted_shapes.h"

namespace holeward {
namespace {

using testing_tools::Less;

TopoDS_Shape Beyond(const gp_Pnt& at, const gp_Dir& out) {
  const gp_Pnt inside = at.Translated(gp_Vec(out));
  return BRepPrimAPI_MakeHalfSpace(BRepBuilderAPI_MakeFace(gp_Pln(at, out)).Face(), inside).Solid();
}

TopoDS_Shape Bar() {
  return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), 30.0, 200.0).Shape();
}

/// A cylinder cut off at a slant, with a bore through its side.
TopoDS_Shape SlantedBar(const TopoDS_Shape& bar) {
  const TopoDS_Shape bore =
      BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(0, 0, 80), gp_Dir(1, 0, 0)), 6.0, 60.0).Shape();
  return Less(Less(bar, Beyond({0, 0, 160}, {0.2, 0.1, 1.0})), bore);
}

struct Trimmed {
  std::string name;
  TopoDS_Shape shape;
};

std::vector<Trimmed> TrimmedShapes() {
  const TopoDS_Shape quarter = BRepPrimAPI_MakeTorus(150.0, 25.0, 0.5 * kPi).Shape();
  return {{"cylinder", SlantedBar(Bar())},
          {"spline", SlantedBar(BRepBuilderAPI_NurbsConvert(Bar(), true).Shape())},
          {"plate", Less(testing_tools::BoxBar(80.0, 60.0, 12.0),
                         testing_tools::Rod({10, -1, 8}, {10, 500, 8}, 9.0))},
          {"torus", Less(quarter, Beyond({0, 150, 0}, {-1.0, 0.15, 0.1}))}};
}

double FromTriangle(const BezierPatch& patch, const Vec3& p) {
  std::array<Vec3, 3> corner;
  for (std::size_t i = 0; i < 3; ++i) corner[i] = patch.poles[i].head<3>();
  const Vec3 normal = (corner[1] - corner[0]).cross(corner[2] - corner[0]).normalized();
  double beside = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    const Vec3 side = (corner[(i + 1) % 3] - corner[i]).normalized();
    beside = std::max(beside, (p - corner[i]).dot(side.cross(normal)));
  }
  return std::max(beside, std::abs((p - corner[0]).dot(normal)));
}

TEST(WholeBands, OfAnUntrimmedFaceAreAllOfIt) {
  for (const TopoDS_Shape& shape : {Bar(), BRepBuilderAPI_NurbsConvert(Bar(), true).Shape()}) {
    for (TopExp_Explorer e(shape, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const auto patches = PatchesOfFace(face, 0.01, "it");
      ASSERT_TRUE(patches);
      if (!RimPatches(face).empty() || patches->front().degree_u < 2) continue;  // the flat ends
      EXPECT_TRUE(IsAllOf(face, WholeBandsOf(face)));
      for (const BezierPatch& patch : *patches) EXPECT_EQ(patch.grown, 0.0);
    }
  }
}

TEST(WholeBands, LieWithinTheFaceAndWithTrianglesCoverIt) {
  for (const Trimmed& one : TrimmedShapes()) {
    double exact = 0.0;
    for (TopExp_Explorer e(one.shape, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      if (!RimPatches(face).empty()) continue;
      const std::vector<ParameterBox> bands = WholeBandsOf(face);
      for (const ParameterBox& band : bands) {
        for (const double u : {0.01, 0.5, 0.99}) {
          for (const double v : {0.01, 0.5, 0.99}) {
            const gp_Pnt2d at(band.u1 + u * (band.u2 - band.u1), band.v1 + v * (band.v2 - band.v1));
            EXPECT_EQ(BRepClass_FaceClassifier(face, at, 1e-9).State(), TopAbs_IN) << one.name;
          }
        }
      }
      const auto patches = PatchesOfFace(face, 0.01, one.name);
      ASSERT_TRUE(patches) << patches.error().message;
      ShapeAnalysis_Surface surface(BRep_Tool::Surface(face));
      for (const Vec3& place : SamplesWithin(face)) {
        const gp_Pnt2d uv = surface.ValueOfUV(ToPnt(place), 1e-7);
        const bool in_band = std::any_of(bands.begin(), bands.end(), [&](const ParameterBox& b) {
          return b.Holds(uv.X(), uv.Y());
        });
        const bool at_triangle =
            std::any_of(patches->begin(), patches->end(), [&](const BezierPatch& patch) {
              return patch.grown > 0.0 && FromTriangle(patch, place) < patch.grown + 1e-6;
            });
        EXPECT_TRUE(in_band || at_triangle) << one.name << ": " << place.transpose();
        exact += in_band ? 1.0 : 0.0;
      }
    }
    EXPECT_GT(exact, 30.0) << one.name;
  }
}

// The exact patches are of the surface, where the band says: their corners lie at its corners.
TEST(WholeBands, ArePatchedExactly) {
  for (const Trimmed& one : TrimmedShapes()) {
    for (TopExp_Explorer e(one.shape, TopAbs_FACE); e.More(); e.Next()) {
      const TopoDS_Face face = TopoDS::Face(e.Current());
      const auto patches = PatchesOfFace(face, 0.01, one.name);
      ASSERT_TRUE(patches);
      const Handle(Geom_Surface) surface = BRep_Tool::Surface(face);
      for (const ParameterBox& band : WholeBandsOf(face)) {
        for (const double u : {band.u1, band.u2}) {
          for (const double v : {band.v1, band.v2}) {
            const Vec3 corner = ToVec3(surface->Value(u, v));
            double least = 1e9;
            for (const BezierPatch& patch : *patches) {
              if (patch.grown > 0.0) continue;
              const auto n = static_cast<std::size_t>(patch.degree_v);
              for (const std::size_t i :
                   {std::size_t{0}, n, patch.poles.size() - 1 - n, patch.poles.size() - 1}) {
                const Eigen::Vector4d& pole = patch.poles[i];
                least = std::min(least, (Vec3(pole.head<3>() / pole.w()) - corner).norm());
              }
            }
            EXPECT_LT(least, 1e-6) << one.name;
          }
        }
      }
    }
  }
}

}  // namespace
}  // namespace holeward
