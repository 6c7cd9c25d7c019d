// Mounts told from the tube they stand on and taken off it: what is left must be the tube they were
// put on, by its faces and its volume; and the outline of each must be what was put there.
#include "geometry/solid_mounts.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include <BRepGProp.hxx>
#include <GProp_GProps.hxx>

#include "geometry/mount_outline.h"
#include "geometry/tube_ends.h"
#include "geometry/tube_of_solid.h"
#include "tests/geometry/mounted_shapes.h"

namespace holeward {
namespace {

using testing_tools::Block;
using testing_tools::BoxTube;
using testing_tools::HollowBar;
using testing_tools::Less;
using testing_tools::Rod;
using testing_tools::RoundTube;
using testing_tools::WithMounts;
using testing_tools::WithWelds;

SkinLaw AlongY() {
  SkinLaw law;
  law.smooth = false;
  law.centres = {Vec3::Zero(), Vec3(0.0, testing_tools::kTubeLength, 0.0)};
  return law;
}

Skin BoxSkin() {
  SkinLaw law = AlongY();
  const std::vector<Vec2> corners{{31, -26}, {31, 26}, {-31, 26}, {-31, -26}};
  law.vertices = {corners, corners};
  law.corner_radii = {{8, 8, 8, 8}, {8, 8, 8, 8}};
  return *Skin::Make(law);
}

Skin RoundSkin() {
  SkinLaw law = AlongY();
  law.round = true;
  law.radii = {30, 30};
  law.girth_origin_v = 0.0;
  return *Skin::Make(law);
}

double VolumeOf(const TopoDS_Shape& shape) {
  GProp_GProps properties;
  BRepGProp::VolumeProperties(shape, properties, 1e-8);
  return properties.Mass();
}

int FacesOf(const TopoDS_Shape& shape) {
  int count = 0;
  for (TopExp_Explorer e(shape, TopAbs_FACE); e.More(); e.Next()) ++count;
  return count;
}

bool OffBox(const Vec3& p) {
  return std::abs(p.x()) > 31.0 + 1e-4 || std::abs(p.z()) > 26.0 + 1e-4;
}

bool OffRound(const Vec3& p) { return std::hypot(p.x(), p.z()) > 30.0 + 1e-4; }

/// A mount, and what its outline must be.
struct OutlineCase {
  std::string name;
  bool round = false;
  std::function<TopoDS_Shape()> body;
  bool stud = false;
  double from = 0.0;    ///< along the part, mm
  double to = 0.0;      ///< likewise
  double around = 0.0;  ///< a stud's diameter
  double height = 0.0;
  double within = 1e-6;  ///< of the sizes, mm; none may be smaller
};

void PrintTo(const OutlineCase& one, std::ostream* out) { *out << one.name; }

std::vector<OutlineCase> OutlineCases() {
  const auto eye = [] {
    return Less(Rod({-15, 200, 44}, {15, 200, 44}, 20.0), Rod({-16, 200, 44}, {16, 200, 44}, 12.0));
  };
  const double foot = std::sqrt(20.0 * 20.0 - 18.0 * 18.0);  // of the eye, each way
  const double arc = 60.0 * std::asin(10.0 / 30.0);          // of 20 mm across on the round
  const double corner = 0.5 * kPi * 8.0;
  return {
      {"Block", false,
       [] {
         return WithMounts(BoxTube(), {Block({-15, 150, 20}, {15, 190, 56})});
       },
       false, 150, 190, 30, 30},
      {"WeldedBlock", false,
       [] {
         return WithWelds(WithMounts(BoxTube(), {Block({-12, 150, 20}, {12, 190, 86})}), 4.0,
                          OffBox);
       },
       false, 146, 194, 32, 60, 1e-3},
      {"Stud", false,
       [] {
         return WithMounts(BoxTube(), {Rod({-20, 200, 0}, {-66, 200, 0}, 6.0)});
       },
       true, 200, 200, 12, 35},
      {"WeldedStud", false,
       [] {
         return WithWelds(WithMounts(BoxTube(), {Rod({0, 200, 20}, {0, 200, 60}, 6.0)}), 2.0,
                          OffBox);
       },
       true, 200, 200, 16, 34, 1e-3},
      {"Eye", false, [&] { return WithMounts(BoxTube(), {eye()}); }, false, 200 - foot, 200 + foot,
       30, 38, 0.03},
      // From 21 mm below the top edge of the front, round the corner, to 21 mm from it on top.
      {"OverTheCorner", false,
       [] {
         return WithMounts(BoxTube(), {Block({10, 150, 5}, {45, 190, 40})});
       },
       false, 150, 190, 13 + corner + 13, 0, 20.0},
      {"Nut", false,
       [] {
         return WithMounts(BoxTube(), {Less(Rod({0, 200, 20}, {0, 200, 40}, 10.0),
                                            Rod({0, 200, 0}, {0, 200, 50}, 5.0))});
       },
       true, 200, 200, 20, 14},
      {"BlockOnRound", true,
       [] {
         return WithMounts(RoundTube(), {Block({-10, 150, 20}, {10, 190, 60})});
       },
       false, 150, 190, arc, std::hypot(10.0, 60.0) - 30.0, 0.02},
      {"BlockOverTheSeam", true,
       [] {
         return WithMounts(RoundTube(), {Block({20, 150, -10}, {60, 190, 10})});
       },
       false, 150, 190, arc, std::hypot(10.0, 60.0) - 30.0, 0.02},
      {"StudOnRound", true,
       [] {
         return WithMounts(RoundTube(), {Rod({0, 200, -20}, {0, 200, -70}, 6.0)});
       },
       true, 200, 200, 12, 40},
      {"WeldedBlockOnRound", true,
       [] {
         return WithWelds(WithMounts(RoundTube(), {Block({-10, 150, 20}, {10, 190, 60})}), 3.0,
                          OffRound);
       },
       false, 147, 193, 24.29, std::hypot(10.0, 60.0) - 30.0, 0.02},
  };
}

class MountOutlines : public ::testing::TestWithParam<OutlineCase> {};

TEST_P(MountOutlines, AreThoseOfWhatWasPutOnAndTheTubeIsLeft) {
  const OutlineCase& one = GetParam();
  const Skin skin = one.round ? RoundSkin() : BoxSkin();
  const TopoDS_Shape tube = (one.round ? RoundTube() : BoxTube()).tube();
  const TopoDS_Shape body = one.body();
  const auto mounts = MountsOn(body, skin, "body");
  ASSERT_TRUE(mounts) << mounts.error().message;
  ASSERT_EQ(mounts->size(), 1U);
  const auto parted = WithoutMounts(body, *mounts, "body");
  ASSERT_TRUE(parted) << parted.error().message;
  EXPECT_NEAR(VolumeOf(parted->bare), VolumeOf(tube), 1e-6 * VolumeOf(tube));
  EXPECT_EQ(FacesOf(parted->bare), FacesOf(tube));
  const auto outline = OutlineOfMount(skin, mounts->front(), "body");
  ASSERT_TRUE(outline) << outline.error().message;
  EXPECT_EQ(outline->stud, one.stud);
  const auto not_less = [&](double found, double truth, const char* what) {
    EXPECT_GE(found, truth - 1e-6) << what;
    EXPECT_LE(found, truth + one.within) << what;
  };
  if (one.stud) {
    EXPECT_NEAR(skin.StationOf(outline->centre.u), one.from, 1e-6);
    not_less(outline->diameter, one.around, "diameter");
  } else {
    not_less(-skin.StationOf(outline->u_from), -one.from, "from");
    not_less(skin.StationOf(outline->u_to), one.to, "to");
    not_less(outline->around, one.around, "around");
  }
  if (one.height > 0.0) not_less(outline->height, one.height, "height");
}

INSTANTIATE_TEST_SUITE_P(Cases, MountOutlines, ::testing::ValuesIn(OutlineCases()),
                         [](const auto& one) { return one.param.name; });

// The eye's sides are flat rings, as the tube's ends are.
TEST(SolidMounts, AnEyesRingsDoNotHideTheEndsOfTheTube) {
  const TopoDS_Shape eye =
      Less(Rod({-15, 200, 44}, {15, 200, 44}, 20.0), Rod({-16, 200, 44}, {16, 200, 44}, 16.0));
  const TopoDS_Shape body = WithMounts(BoxTube(), {eye});
  EXPECT_FALSE(TubeOfSolid(body, "body"));
  const auto pairs = PairsOfEnds(body);
  ASSERT_TRUE(pairs) << pairs.error().message;
  double longest = 0.0;
  for (const TopoDS_Shape& pair : *pairs) {
    if (const auto tube = TubeOfSolid(pair, "body")) {
      longest = std::max(longest, (tube->ends[1].centre - tube->ends[0].centre).norm());
    }
  }
  EXPECT_NEAR(longest, testing_tools::kTubeLength, 1e-6);
}

TEST(SolidMounts, ATubeAloneHasNone) {
  const auto mounts = MountsOn(BoxTube().tube(), BoxSkin(), "body");
  ASSERT_TRUE(mounts) << mounts.error().message;
  EXPECT_TRUE(mounts->empty());
}

TEST(SolidMounts, WhatReachesUnderTheSkinIsNoMount) {
  const TopoDS_Shape body = Less(WithMounts(BoxTube(), {Block({-15, 150, 20}, {15, 190, 56})}),
                                 Rod({0, 170, 0}, {0, 170, 80}, 4.0));
  const auto mounts = MountsOn(body, BoxSkin(), "body");
  ASSERT_FALSE(mounts);
  EXPECT_EQ(mounts.error().kind, ErrorKind::job);
}

TEST(SolidMounts, ACollarLeavesNoSkinToMeasureOn) {
  const TopoDS_Shape body = WithMounts(BoxTube(), {Block({-50, 100, -50}, {50, 120, 50})});
  const Skin skin = BoxSkin();
  const auto mounts = MountsOn(body, skin, "body");
  ASSERT_TRUE(mounts) << mounts.error().message;
  ASSERT_EQ(mounts->size(), 1U);
  EXPECT_FALSE(OutlineOfMount(skin, mounts->front(), "body"));
}

}  // namespace
}  // namespace holeward
