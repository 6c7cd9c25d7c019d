// Bodies whose tube ends under an eye: where they are cut, what the eye is, and where the tube
// ends.
#include "geometry/tube_heads.h"

#include <algorithm>
#include <cmath>

#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>

#include <gtest/gtest.h>

#include "geometry/head_ends.h"
#include "geometry/mesh_sections.h"
#include "geometry/tube_of_solid.h"
#include "tests/geometry/mounted_shapes.h"

namespace holeward {
namespace {

using testing_tools::BoxTube;
using testing_tools::kTubeLength;
using testing_tools::kTubeStart;
using testing_tools::Less;
using testing_tools::Placed;
using testing_tools::Rod;
using testing_tools::RoundTube;
using testing_tools::WithEyes;

double VolumeOf(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties);
  return properties.Mass();
}

TEST(MeshSections, MeasureARing) {
  const MeshSections sections(RoundTube().tube());
  const MeshSection here = sections.At({1.0, 100.0, -2.0}, Vec3::UnitY(), 10.0);
  ASSERT_TRUE(here.ring);
  EXPECT_LT((here.ring->centre - Vec3(0, 100, 0)).norm(), 0.02);
  // Closed form: pi r²; by chords within 0.05 mm it is a little less.
  EXPECT_NEAR(here.ring->filled / (kPi * 900.0), 1.0, 5e-3);
  EXPECT_NEAR(here.ring->metal / (kPi * (900.0 - 729.0)), 1.0, 1e-2);
  EXPECT_FALSE(sections.At({0, kTubeLength + 1.0, 0}, Vec3::UnitY(), 10.0).any);
  EXPECT_FALSE(sections.At({100, 100, 0}, Vec3::UnitY(), 10.0).any);
}

TEST(MeshSections, WhatIsFilledIsNoRing) {
  const MeshSections sections(RoundTube().filled);
  const MeshSection here = sections.At({0, 100, 0}, Vec3::UnitY(), 10.0);
  EXPECT_TRUE(here.any);
  EXPECT_FALSE(here.ring);
}

TEST(TubeHeads, APlainTubeHasNone) {
  for (const TopoDS_Shape& tube : {BoxTube().tube(), RoundTube().tube()}) {
    const auto body = WithoutHeads(Placed(tube), "it");
    ASSERT_TRUE(body) << body.error().message;
    EXPECT_TRUE(body->heads.empty());
    EXPECT_EQ(body->plain.size(), 2U);
  }
}

TEST(TubeHeads, AreCutOffJustBeforeTheEye) {
  for (const double radius : {20.0, 34.0}) {
    const TopoDS_Shape solid = Placed(WithEyes(BoxTube(), {0.0}, radius, 84.0));
    const auto body = WithoutHeads(solid, "it");
    ASSERT_TRUE(body) << body.error().message;
    ASSERT_EQ(body->heads.size(), 1U);
    ASSERT_EQ(body->plain.size(), 1U);
    const TubeHead& head = body->heads.front();
    EXPECT_LT((head.cut.out + Vec3::UnitY()).norm(), 1e-12);  // exactly as the plain end
    const double from_axis = head.cut.at.y() - kTubeStart.y();
    EXPECT_GT(from_axis, radius);
    EXPECT_LT(from_axis, radius + 3.0);
    EXPECT_NEAR(VolumeOf(body->middle) + VolumeOf(head.shape), VolumeOf(solid),
                1e-6 * VolumeOf(solid));
    const auto eye = EyeOf(head);
    ASSERT_TRUE(eye && *eye);
    EXPECT_LT(((*eye)->centre - kTubeStart).norm(), 1e-6);
    EXPECT_NEAR((*eye)->diameter, 2.0 * radius, 1e-9);
    EXPECT_NEAR((*eye)->length, 84.0, 1e-6);
    EXPECT_GT(std::abs((*eye)->axis.x()), 1.0 - 1e-12);
  }
}

TEST(TubeHeads, OfARoundTubeAreCutExactlySquare) {
  const auto body =
      WithoutHeads(Placed(WithEyes(RoundTube(), {0.0, kTubeLength}, 34.0, 80.0)), "it");
  ASSERT_TRUE(body) << body.error().message;
  ASSERT_EQ(body->heads.size(), 2U);
  EXPECT_TRUE(body->plain.empty());
  for (const TubeHead& head : body->heads) {
    EXPECT_GT(std::abs(head.cut.out.y()), 1.0 - 1e-12);
    const auto face = CutFaceOf(body->middle, head.cut);
    ASSERT_TRUE(face);
    const auto outline = OutlineOfFace(*face, "it");
    ASSERT_TRUE(outline) << outline.error().message;
    EXPECT_NEAR(outline->radius, 30.0, 1e-6);
  }
}

// A rim is left above and below an eye that is thinner than the tube: there the tube ends. Without
// one it is taken to end where the eye's axis lies; an axis farther out than the rim counts.
TEST(TubeHeads, TheTubeEndsAtItsRimOrAtTheEyesAxis) {
  const auto end_of = [](const TopoDS_Shape& shape) {
    const auto body = WithoutHeads(Placed(shape), "it");
    EXPECT_TRUE(body && body->heads.size() == 1);
    const TubeHead& head = body->heads.front();
    const auto eye = EyeOf(head);
    EXPECT_TRUE(eye && *eye);
    return EndUnder(body->middle, head, **eye).at.y() - kTubeStart.y();
  };
  EXPECT_NEAR(end_of(WithEyes(BoxTube(), {4.0}, 20.0, 84.0)), 0.0, 1e-6);
  EXPECT_NEAR(end_of(WithEyes(BoxTube(), {4.0}, 34.0, 70.0)), 4.0, 1e-6);
  EXPECT_NEAR(end_of(WithEyes(BoxTube(), {-6.0}, 20.0, 84.0)), -6.0, 1e-6);
}

TEST(TubeHeads, ASectionIsCarriedOnUnderTheEye) {
  const auto body = WithoutHeads(Placed(WithEyes(BoxTube(), {0.0}, 34.0, 70.0)), "it");
  ASSERT_TRUE(body && body->heads.size() == 1);
  const TubeHead& head = body->heads.front();
  const HeadEnd end{head.cut, {kTubeStart, head.cut.out}};
  const auto carried = CarriedOnTo(body->middle, {end}, body->plain, "it");
  ASSERT_TRUE(carried) << carried.error().message;
  const auto tube = TubeOfSolid(carried->ends, "it");
  ASSERT_TRUE(tube) << tube.error().message;
  const auto at_eye = std::min_element(
      tube->ends.begin(), tube->ends.end(),
      [](const TubeEnd& a, const TubeEnd& b) { return a.centre.y() < b.centre.y(); });
  EXPECT_LT((at_eye->centre - kTubeStart).norm(), 1e-6);
  EXPECT_FALSE(at_eye->closed);
  ASSERT_EQ(at_eye->vertices.size(), 4U);
  for (const Vec3& corner : at_eye->vertices) {
    EXPECT_NEAR(std::abs(corner.x() - kTubeStart.x()), 31.0, 1e-6);
    EXPECT_NEAR(std::abs(corner.z() - kTubeStart.z()), 26.0, 1e-6);
  }
  for (const double radius : at_eye->corner_radii) EXPECT_NEAR(radius, 8.0, 1e-6);
}

TEST(TubeHeads, ABodyWithoutARingIsRefused) {
  const auto body = WithoutHeads(Placed(RoundTube().filled), "it");
  ASSERT_FALSE(body);
  EXPECT_EQ(body.error().kind, ErrorKind::job);
  EXPECT_NE(body.error().message.find("no section of it is that of a tube"), std::string::npos);
}

TEST(TubeHeads, ABoreIsNoEye) {
  TubeHead head;
  head.cut.out = -Vec3::UnitY();
  head.shape =
      Less(testing_tools::Block({-40, -40, -40}, {40, 40, 40}), Rod({-50, 0, 0}, {50, 0, 0}, 12.0));
  const auto eye = EyeOf(head);
  ASSERT_TRUE(eye);
  EXPECT_FALSE(*eye);
}

}  // namespace
}  // namespace holeward
