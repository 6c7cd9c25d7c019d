// Bodies of very many faces: read within the limits of the exchange process, and refused as parts
// in words, without a place by place comparison that has no end.
#include <cstdlib>

#include <BRepBuilderAPI_MakePolygon.hxx>
#include <BRepBuilderAPI_MakeSolid.hxx>
#include <BRepPrimAPI_MakePrism.hxx>
#include <BRepPrimAPI_MakeRevol.hxx>
#include <gp_Ax1.hxx>
#include <gp_Vec.hxx>

#include "models/solid_file.h"
#include "models/solid_starter.h"
#include "tests/models/solid_shapes.h"

namespace holeward {
namespace {

using testing_tools::Scratch;

/// 10,000 in the long run.
int Faces() { return std::getenv("HOLEWARD_LONG_TESTS") != nullptr ? 10000 : 2200; }

TopoDS_Wire Ring(int sides, double radius, double deep) {
  BRepBuilderAPI_MakePolygon polygon;
  for (int i = 0; i < sides; ++i) {
    const double angle = 2.0 * kPi * i / sides;
    const double r = radius - (i % 2 == 0 ? 0.0 : deep);
    polygon.Add(gp_Pnt(r * std::cos(angle), 300.0, 400.0 + r * std::sin(angle)));
  }
  polygon.Close();
  return polygon.Wire();
}

/// A tube along y of `faces` faces, its skin fluted by `deep` mm.
TopoDS_Shape Fluted(int faces, double deep) {
  const int sides = (faces - 2) / 2;
  BRepBuilderAPI_MakeFace ring(Ring(sides, 300.0, deep), true);
  ring.Add(TopoDS::Wire(Ring(sides, 290.0, deep).Reversed()));
  return BRepPrimAPI_MakePrism(ring.Face(), gp_Vec(0, 500, 0)).Shape();
}

/// A pipe along y of `faces` cones, its skins pleated by 0.5 mm.
TopoDS_Shape Pleated(int faces) {
  const int pleats = faces / 2 - 1;
  BRepBuilderAPI_MakePolygon profile;
  const auto add = [&](int i, double radius) {
    profile.Add(gp_Pnt(radius + (i % 2 == 0 ? 0.0 : 0.5), 300.0 + 0.5 * i, 400.0));
  };
  for (int i = 0; i <= pleats; ++i) add(i, 60.0);
  for (int i = pleats; i >= 0; --i) add(i, 56.0);
  profile.Close();
  const gp_Ax1 axis(gp_Pnt(0, 0, 400), gp_Dir(0, 1, 0));
  const TopoDS_Shape shell = BRepPrimAPI_MakeRevol(profile.Wire(), axis).Shape();
  return BRepBuilderAPI_MakeSolid(TopoDS::Shell(shell)).Shape();
}

TEST(SolidLarge, ManyFacesAreReadAndRefusedInWords) {
  const Scratch folder;
  const std::string path = testing_tools::WriteShapes({Pleated(Faces())}, folder, "many.step");
  const auto file = ReadSolidFile(path);
  ASSERT_TRUE(file) << file.error().message;
  ASSERT_EQ(file->bodies.size(), 1U);
  EXPECT_EQ(file->bodies[0].trouble, "");
  EXPECT_EQ(file->bodies[0].faces, Faces());
  const auto starter = SolidStarterJob(path);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_NE(starter->find("faces; a hollow tube with one wall and its holes has at most 2000"),
            std::string::npos)
      << starter->substr(0, 2000);
}

TEST(SolidLarge, ASectionOfVeryManyCornersIsRefusedInWords) {
  const Scratch folder;
  const std::string path = testing_tools::WriteShapes({Fluted(410, 2.0)}, folder, "flutes.step");
  const auto starter = SolidStarterJob(path);
  ASSERT_TRUE(starter) << starter.error().message;
  EXPECT_NE(starter->find("its end has more than 100 corners"), std::string::npos) << *starter;
}

}  // namespace
}  // namespace holeward
