// Flat rims in exact patches: unfolded, within the face, and of its area together, which is all of
// it. Their areas are held against the closed forms too.
#include "geometry/rim_patches.h"

#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeVertex.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepExtrema_DistShapeShape.hxx>
#include <BRep_Builder.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Elips.hxx>
#include <gp_Pln.hxx>

#include <gtest/gtest.h>

#include "geometry/face_patches.h"
#include "geometry/shape_parts.h"
#include "geometry/solid.h"
#include "geometry/solid_kernel.h"
#include "tests/geometry/made_parts.h"
#include "tests/geometry/mounted_shapes.h"
#include "tests/geometry/pose_kernel_mesh.h"

namespace holeward {
namespace {

using testing::PlaceOn;

TopoDS_Wire Circle(double x, double radius) {
  const gp_Circ circle(gp_Ax2(gp_Pnt(x, 0, 0), gp_Dir(0, 0, 1)), radius);
  return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle)).Wire();
}

/// A rectangle with rounded corners about the origin; each corner's centre lies `in` from its
/// sides.
TopoDS_Wire Rounded(double width, double height, double in, double radius) {
  BRepBuilderAPI_MakeWire wire;
  const double w = 0.5 * width - in;
  const double h = 0.5 * height - in;
  const std::vector<gp_Pnt> centres{{w, h, 0}, {-w, h, 0}, {-w, -h, 0}, {w, -h, 0}};
  gp_Pnt last(w + radius, -h, 0);
  for (std::size_t i = 0; i < 4; ++i) {
    const double from = 0.5 * kPi * static_cast<double>(i);
    const gp_Circ circle(gp_Ax2(centres[i], gp_Dir(0, 0, 1), gp_Dir(1, 0, 0)), radius);
    const TopoDS_Edge arc = BRepBuilderAPI_MakeEdge(circle, from, from + 0.5 * kPi).Edge();
    const auto at = [&](double angle) {
      return gp_Pnt(centres[i].X() + radius * std::cos(angle),
                    centres[i].Y() + radius * std::sin(angle), 0);
    };
    wire.Add(BRepBuilderAPI_MakeEdge(last, at(from)));
    wire.Add(arc);
    last = at(from + 0.5 * kPi);
  }
  return wire.Wire();
}

TopoDS_Face Between(const TopoDS_Wire& outer, const std::vector<TopoDS_Wire>& inside) {
  BRepBuilderAPI_MakeFace face(outer, true);
  for (const TopoDS_Wire& wire : inside) face.Add(TopoDS::Wire(wire.Reversed()));
  return face.Face();
}

/// A face as it lies askew and in a mirror, both ways round.
std::vector<TopoDS_Face> Laid(const TopoDS_Face& face) {
  gp_Trsf askew;
  askew.SetRotation(gp_Ax1(gp_Pnt(3, 4, 5), gp_Dir(1, 2, -1)), 1.1);
  gp_Trsf mirror;
  mirror.SetMirror(gp_Ax2(gp_Pnt(10, 0, 20), gp_Dir(1, 0.5, 0.2)));
  std::vector<TopoDS_Face> all{face};
  for (const gp_Trsf& by : {askew, mirror}) {
    all.push_back(TopoDS::Face(BRepBuilderAPI_Transform(face, by, true).Shape()));
    all.push_back(TopoDS::Face(face.Moved(TopLoc_Location(askew))));
  }
  const std::size_t count = all.size();
  for (std::size_t i = 0; i < count; ++i) all.push_back(TopoDS::Face(all[i].Reversed()));
  return all;
}

/// The area of a flat patch, unless it turns over somewhere; by Gauss's rule of 5 points a way.
double AreaOfPatch(const BezierPatch& patch, const Vec3& up) {
  const std::vector<double> at{-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831,
                               0.9061798459386640};
  const std::vector<double> weight{0.2369268850561891, 0.4786286704993665, 0.5688888888888889,
                                   0.4786286704993665, 0.2369268850561891};
  constexpr double kStep = 1e-5;
  double area = 0.0;
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) {
      const double u = 0.5 * (1.0 + at[i]);
      const double v = 0.5 * (1.0 + at[j]);
      const Vec3 du = (PlaceOn(patch, u + kStep, v) - PlaceOn(patch, u - kStep, v)) / (2.0 * kStep);
      const Vec3 dv = (PlaceOn(patch, u, v + kStep) - PlaceOn(patch, u, v - kStep)) / (2.0 * kStep);
      const double turn = du.cross(dv).dot(up);
      EXPECT_GT(turn, 0.0);
      area += 0.25 * weight[i] * weight[j] * turn;
    }
  }
  return area;
}

void CoverTheFace(const std::vector<BezierPatch>& patches, const TopoDS_Face& face) {
  ASSERT_FALSE(patches.empty());
  const BezierPatch& first = patches.front();
  const Vec3 middle = PlaceOn(first, 0.5, 0.5);
  const Vec3 up = (PlaceOn(first, 0.6, 0.5) - middle).cross(PlaceOn(first, 0.5, 0.6) - middle);
  double area = 0.0;
  for (const BezierPatch& patch : patches) {
    EXPECT_EQ(patch.grown, 0.0);
    area += AreaOfPatch(patch, up.normalized());
    for (const double u : {0.0, 0.03, 0.4, 1.0}) {
      for (const double v : {0.0, 0.02, 0.6, 1.0}) {
        const TopoDS_Vertex at = BRepBuilderAPI_MakeVertex(ToPnt(PlaceOn(patch, u, v))).Vertex();
        EXPECT_LT(BRepExtrema_DistShapeShape(at, face).Value(), 1e-7);
      }
    }
  }
  EXPECT_NEAR(area, AreaOf(face, 1e-9), 1e-5 * area);
}

struct Case {
  std::string name;
  TopoDS_Face face;
  std::size_t patches;
  double area;
};

TEST(RimPatches, CoverRingsDiscsAndRoundedRims) {
  const double corner = 1.0 - 0.25 * kPi;
  const std::vector<Case> cases{
      {"ring", Between(Circle(0, 30), {Circle(0, 27)}), 4, kPi * (900.0 - 729.0)},
      {"thin ring", Between(Circle(5, 60), {Circle(5, 59.5)}), 4, kPi * (3600.0 - 59.5 * 59.5)},
      {"disc", Between(Circle(7, 22), {}), 4, kPi * 484.0},
      {"rounded", Between(Rounded(80, 60, 10, 10), {Rounded(74, 54, 7, 7)}), 8,
       80.0 * 60 - 400 * corner - (74.0 * 54 - 196 * corner)}};
  for (const Case& one : cases) {
    SCOPED_TRACE(one.name);
    EXPECT_NEAR(AreaOf(one.face), one.area, 1e-5 * one.area);
    for (const TopoDS_Face& face : Laid(one.face)) {
      const std::vector<BezierPatch> patches = RimPatches(face);
      EXPECT_EQ(patches.size(), one.patches);
      CoverTheFace(patches, face);
    }
  }
}

TEST(RimPatches, CoverTheEndsOfHollowParts) {
  for (const auto& skin :
       {test::BoxSkin({{0, 0, 0}, {0, 300, 0}}, {{70, 50}, {70, 50}}),
        test::BoxSkin({{20, 310, 5}, {-10, 40, 45}}, {{46, 90}, {46, 90}}, 12.0)}) {
    HollowSpec spec;
    spec.what = "a box";
    spec.wall = 3.0;
    spec.end_names = {"inner end", "outer end"};
    for (int i = 0; i < skin->piece_count(); ++i) spec.piece_names.push_back(std::to_string(i));
    const auto solid = NamedSolid::BuildHollow(*skin, spec);
    ASSERT_TRUE(solid) << solid.error().message;
    int rims = 0;
    for (const NamedSolid::NamedFace& named : solid->faces()) {
      if (named.role != FaceRole::end) continue;
      const std::vector<BezierPatch> patches = RimPatches(named.face);
      EXPECT_EQ(patches.size(), 8U) << named.name;
      CoverTheFace(patches, named.face);
      ++rims;
      const auto by_name = PatchesOfFace(named.face, 0.01, "the end");
      ASSERT_TRUE(by_name);
      EXPECT_EQ(by_name->size(), patches.size());
    }
    EXPECT_EQ(rims, 2);
  }
}

TEST(RimPatches, AreNoneOfWhatIsNoRimBetweenAlikeOutlines) {
  const gp_Elips ellipse(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)), 30.0, 20.0);
  const TopoDS_Wire oval = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(ellipse)).Wire();
  const std::vector<std::pair<std::string, TopoDS_Face>> cases{
      {"beside the centre", Between(Circle(0, 30), {Circle(1e-4, 27)})},
      {"two holes", Between(Circle(0, 30), {Circle(-12, 6), Circle(12, 6)})},
      {"an ellipse", Between(oval, {Circle(0, 10)})},
      {"round in a rectangle", Between(Rounded(80, 60, 10, 10), {Circle(0, 20)})},
      {"corners of other centres", Between(Rounded(80, 60, 10, 10), {Rounded(74, 54, 9, 9)})},
      {"a rectangle", Between(Rounded(80, 60, 10, 10), {})}};
  for (const auto& [name, face] : cases) {
    EXPECT_GT(AreaOf(face), 100.0) << name;
    EXPECT_TRUE(RimPatches(face).empty()) << name;
  }
  for (TopExp_Explorer e(testing_tools::Rod({0, 0, 0}, {0, 90, 0}, 20.0), TopAbs_FACE); e.More();
       e.Next()) {
    const TopoDS_Face face = TopoDS::Face(e.Current());
    EXPECT_EQ(RimPatches(face).size(), AreaOf(face) > 2000.0 ? 0U : 4U);  // the skin, the ends
  }
}

// An edge may lie off its face by its tolerance: patches between such edges are not the face's.
TEST(RimPatches, AreNoneOfAnOutlineBesideThePlane) {
  const auto disc = [](double above) {
    const gp_Circ circle(gp_Ax2(gp_Pnt(0, 0, above), gp_Dir(0, 0, 1)), 27.0);
    const TopoDS_Edge edge = BRepBuilderAPI_MakeEdge(circle).Edge();
    BRep_Builder().UpdateEdge(edge, 1e-5);
    const gp_Pln plane(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1));
    return BRepBuilderAPI_MakeFace(plane, BRepBuilderAPI_MakeWire(edge).Wire()).Face();
  };
  EXPECT_EQ(RimPatches(disc(0.0)).size(), 4U);
  EXPECT_TRUE(RimPatches(disc(2e-6)).empty());
}

}  // namespace
}  // namespace holeward
