// Tubes with brackets, studs and eyes in one piece with them, made in the kernel: as a drawing
// program hands over a part that was welded together.
#pragma once

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepCheck_Analyzer.hxx>
#include <BRepFilletAPI_MakeFillet.hxx>
#include <BRepPrimAPI_MakeBox.hxx>
#include <BRepPrimAPI_MakeCylinder.hxx>
#include <BRep_Tool.hxx>
#include <ShapeUpgrade_UnifySameDomain.hxx>
#include <TopExp.hxx>
#include <TopExp_Explorer.hxx>
#include <TopTools_IndexedDataMapOfShapeListOfShape.hxx>
#include <TopoDS.hxx>
#include <gp_Trsf.hxx>

#include <gtest/gtest.h>

#include "geometry/vec.h"

namespace holeward::testing_tools {

/// Where the tubes begin: they run 420 mm toward +y from there.
inline const Vec3 kTubeStart(-110.0, 200.0, 300.0);
constexpr double kTubeLength = 420.0;

inline gp_Pnt P(double x, double y, double z) { return {x, y, z}; }

/// A block between two corners.
inline TopoDS_Shape Block(const Vec3& low, const Vec3& high) {
  return BRepPrimAPI_MakeBox(P(low.x(), low.y(), low.z()), P(high.x(), high.y(), high.z())).Shape();
}

inline TopoDS_Shape Rod(const Vec3& from, const Vec3& to, double radius) {
  const Vec3 way = to - from;
  return BRepPrimAPI_MakeCylinder(
             gp_Ax2(P(from.x(), from.y(), from.z()), gp_Dir(way.x(), way.y(), way.z())), radius,
             way.norm())
      .Shape();
}

inline TopoDS_Shape Less(const TopoDS_Shape& body, const TopoDS_Shape& tool) {
  return BRepAlgoAPI_Cut(body, tool).Shape();
}

/// A bar of rectangular section along y, its edges along it rounded.
inline TopoDS_Shape BoxBar(double width, double height, double corner) {
  const TopoDS_Shape bar =
      Block({-0.5 * width, 0.0, -0.5 * height}, {0.5 * width, kTubeLength, 0.5 * height});
  if (corner <= 0.0) return bar;
  BRepFilletAPI_MakeFillet fillet(bar);
  for (TopExp_Explorer e(bar, TopAbs_EDGE); e.More(); e.Next()) {
    const TopoDS_Edge edge = TopoDS::Edge(e.Current());
    const gp_Vec run(BRep_Tool::Pnt(TopExp::FirstVertex(edge)),
                     BRep_Tool::Pnt(TopExp::LastVertex(edge)));
    if (std::abs(run.Y()) > 1.0) fillet.Add(corner, edge);
  }
  return fillet.Shape();
}

/// A tube by what it fills and what is hollow in it.
struct HollowBar {
  TopoDS_Shape filled;
  TopoDS_Shape hollow;
  [[nodiscard]] TopoDS_Shape tube() const { return Less(filled, hollow); }
};

/// 62 x 52, corner 8, wall 3 along y from the origin.
inline HollowBar BoxTube() { return {BoxBar(62.0, 52.0, 8.0), BoxBar(56.0, 46.0, 5.0)}; }

/// 60 across, wall 3.
inline HollowBar RoundTube() {
  return {Rod({0, 0, 0}, {0, kTubeLength, 0}, 30.0), Rod({0, 0, 0}, {0, kTubeLength, 0}, 27.0)};
}

/// A channel 64 wide and 90 high, corner 8, wall 4, open toward -x.
inline HollowBar ChannelTube() {
  const TopoDS_Shape keep = Block({-32.0, -1.0, -60.0}, {60.0, kTubeLength + 1.0, 60.0});
  const TopoDS_Shape outer =
      BRepAlgoAPI_Common(BoxBar(128.0, 90.0, 8.0),
                         BRepBuilderAPI_Transform(keep,
                                                  [] {
                                                    gp_Trsf move;
                                                    move.SetTranslation(gp_Vec(32.0, 0.0, 0.0));
                                                    return move;
                                                  }())
                             .Shape())
          .Shape();
  const TopoDS_Shape inner = BoxBar(120.0, 82.0, 4.0);
  gp_Trsf back;
  back.SetTranslation(gp_Vec(-32.0, 0.0, 0.0));
  return {BRepBuilderAPI_Transform(outer, back).Shape(),
          BRepBuilderAPI_Transform(inner, back).Shape()};
}

inline TopoDS_Shape OnlySolid(const TopoDS_Shape& shape) {
  TopExp_Explorer e(shape, TopAbs_SOLID);
  EXPECT_TRUE(e.More());
  const TopoDS_Shape solid = e.More() ? e.Current() : TopoDS_Shape();
  if (e.More()) e.Next();
  EXPECT_FALSE(e.More()) << "the mounts do not hang together with the tube";
  return solid;
}

/// The tube with what of some bodies lies outside it, in one piece; at its place in the vehicle.
/// @param unified faces of one plane made one, as most programs hand a body over
inline TopoDS_Shape WithMounts(const HollowBar& bar, const std::vector<TopoDS_Shape>& mounts,
                               bool unified = true) {
  TopoDS_Shape body = bar.tube();
  for (const TopoDS_Shape& mount : mounts) {
    body = BRepAlgoAPI_Fuse(body, Less(mount, bar.filled)).Shape();
  }
  if (unified) {
    ShapeUpgrade_UnifySameDomain joiner(body, true, true, false);
    joiner.Build();
    body = joiner.Shape();
  }
  return OnlySolid(body);
}

/// A tube with eyes across it where it begins, and where it ends.
inline TopoDS_Shape WithEyes(const HollowBar& bar, const std::vector<double>& at, double radius,
                             double length) {
  TopoDS_Shape body = bar.tube();
  for (const double y : at) {
    body = BRepAlgoAPI_Fuse(body, Rod({-0.5 * length, y, 0}, {0.5 * length, y, 0}, radius)).Shape();
  }
  ShapeUpgrade_UnifySameDomain joiner(body, true, true, false);
  joiner.Build();
  return OnlySolid(joiner.Shape());
}

/// Fillets all round where what lies outside meets the tube.
/// @param outside true for a place off the skin
template <class Outside>
TopoDS_Shape WithWelds(const TopoDS_Shape& body, double radius, Outside&& outside) {
  const auto stands = [&](const TopoDS_Shape& face) {
    for (TopExp_Explorer v(face, TopAbs_VERTEX); v.More(); v.Next()) {
      const gp_Pnt p = BRep_Tool::Pnt(TopoDS::Vertex(v.Current()));
      if (outside(Vec3(p.X(), p.Y(), p.Z()))) return true;
    }
    return false;
  };
  TopTools_IndexedDataMapOfShapeListOfShape faces_of;
  TopExp::MapShapesAndAncestors(body, TopAbs_EDGE, TopAbs_FACE, faces_of);
  BRepFilletAPI_MakeFillet fillet(body);
  for (int i = 1; i <= faces_of.Extent(); ++i) {
    const auto standing = std::count_if(faces_of(i).begin(), faces_of(i).end(), stands);
    if (standing == 1) fillet.Add(radius, TopoDS::Edge(faces_of.FindKey(i)));
  }
  return OnlySolid(fillet.Shape());
}

/// The body at its place in the vehicle.
inline TopoDS_Shape Placed(const TopoDS_Shape& body, const Vec3& at = kTubeStart) {
  EXPECT_TRUE(BRepCheck_Analyzer(body).IsValid());
  gp_Trsf move;
  move.SetTranslation(gp_Vec(at.x(), at.y(), at.z()));
  return BRepBuilderAPI_Transform(body, move, true).Shape();
}

}  // namespace holeward::testing_tools
