// Sections found in solids that were built of a known law: the law is what they must give back.
#include "geometry/loft_of_solid.h"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "geometry/skin.h"
#include "geometry/solid.h"
#include "geometry/tube_of_solid.h"

namespace holeward {
namespace {

// A section's corners and radii are those of the law within this, mm: the solid itself leaves its
// law by as much.
constexpr double kSame = 1e-3;

struct Arm {
  const char* name;
  std::vector<Vec3> centres;
  std::vector<std::vector<Vec2>> vertices;
  std::vector<double> corners;  ///< one a station
  double wall;
  std::array<bool, 2> closed;
};

void PrintTo(const Arm& arm, std::ostream* out) { *out << arm.name; }

std::vector<Vec2> Box(double width, double height) {
  const double a = 0.5 * width;
  const double b = 0.5 * height;
  return {{a, -b}, {a, b}, {-a, b}, {-a, -b}};
}

std::vector<Arm> Arms() {
  return {
      {"Straight",
       {{-110, 200, 300}, {-110, 600, 300}},
       {Box(60, 50), Box(60, 50)},
       {8, 8},
       3,
       {false, false}},
      {"Belly",
       {{-110, 200, 300}, {-110, 400, 300}, {-110, 600, 300}},
       {Box(60, 50), Box(74, 58), Box(56, 44)},
       {8, 9, 7},
       3,
       {false, false}},
      {"Pressed",
       {{-70, 505, 262}, {-152, 512, 256}, {-238, 533, 239}, {-326, 551, 219}, {-412, 557, 206}},
       {Box(60, 66), Box(58, 68), Box(54, 65), Box(52, 60), Box(50, 56)},
       {10, 10, 10, 9, 9},
       2.9,
       {false, true}},
      {"Bow",
       {{-100, 200, 300}, {-80, 300, 330}, {-100, 400, 350}, {-150, 500, 350}},
       {Box(60, 50), Box(60, 50), Box(60, 50), Box(60, 50)},
       {8, 8, 8, 8},
       2.5,
       {false, false}},
      {"Trapezoid",
       {{-40, 520, 180}, {-44, 514, 330}, {-40, 500, 470}},
       {{{26, -30}, {20, 34}, {-20, 34}, {-26, -30}},
        {{27, -29}, {19, 33}, {-19, 33}, {-27, -29}},
        {{24, -28}, {18, 30}, {-18, 30}, {-24, -28}}},
       {7, 8, 7},
       3,
       {false, false}},
  };
}

SkinLaw LawOf(const Arm& arm) {
  SkinLaw law;
  law.centres = arm.centres;
  if (std::string(arm.name) == "Trapezoid") {
    law.up = Vec3::UnitX();
    law.a_toward = Vec3::UnitY();
  }
  for (std::size_t i = 0; i < arm.vertices.size(); ++i) {
    std::vector<Vec2> outline = arm.vertices[i];
    // About its centroid, so that the law's line is the one that is found.
    std::vector<Vec3> flat;
    for (const Vec2& p : outline) flat.emplace_back(p.x(), p.y(), 0.0);
    const Vec3 middle = CentroidOf(flat);
    for (Vec2& p : outline) p -= middle.head<2>();
    law.vertices.push_back(outline);
    law.corner_radii.push_back(std::vector<double>(outline.size(), arm.corners[i]));
  }
  return law;
}

struct Departure {
  double edge = 1e300;
  double radius = 0.0;
};

/// How far a sharp corner is from the nearest edge line of the law, and its radius from that there.
Departure FromLaw(const Skin& skin, const Vec3& vertex, double radius) {
  Departure least;
  for (int k = 0; k < skin.vertex_count(); ++k) {
    double u = 0.5 * skin.u_end();
    for (int i = 0; i < 60; ++i) {
      u += (vertex - skin.SharpCornerAt(u, k)).dot(skin.FrameAt(u).tangent);
      u = std::clamp(u, 0.0, skin.u_end());
    }
    const double off = (vertex - skin.SharpCornerAt(u, k)).norm();
    if (off < least.edge) least = {off, std::abs(radius - skin.CornerRadiusAt(u, k))};
  }
  return least;
}

Result<NamedSolid> Built(const Arm& arm, const Skin& skin) {
  HollowSpec spec;
  spec.what = arm.name;
  spec.wall = arm.wall;
  spec.closed = arm.closed;
  for (int i = 0; i < skin.piece_count(); ++i) spec.piece_names.push_back("p" + std::to_string(i));
  spec.end_names = {"start", "finish"};
  return NamedSolid::BuildHollow(skin, spec);
}

class LoftFound : public ::testing::TestWithParam<Arm> {};

TEST_P(LoftFound, IsTheLawTheSolidWasBuiltOf) {
  const Arm& arm = GetParam();
  const auto skin = Skin::Make(LawOf(arm));
  ASSERT_TRUE(skin) << skin.error().message;
  const auto solid = Built(arm, *skin);
  ASSERT_TRUE(solid) << solid.error().message;
  const auto loft = LoftOfSolid(solid->shape(), solid->shape(), "the arm");
  ASSERT_TRUE(loft) << loft.error().message;
  ASSERT_GE(loft->places.size(), 2U);
  EXPECT_TRUE(loft->closed == arm.closed || loft->closed[0] == arm.closed[1]);
  double edge = 0.0;
  double radius = 0.0;
  for (const LoftPlace& place : loft->places) {
    for (std::size_t k = 0; k < place.outline.vertices.size(); ++k) {
      const Departure off = FromLaw(*skin, place.outline.vertices[k], place.outline.radii[k]);
      edge = std::max(edge, off.edge);
      radius = std::max(radius, off.radius);
    }
  }
  EXPECT_LT(edge, kSame);
  EXPECT_LT(radius, kSame);
  RecordProperty("sections", static_cast<int>(loft->places.size()));
  RecordProperty("edge_nm", static_cast<int>(1e6 * edge));
}

// A trapezoid that tapers to one side: the line between the centroids of its ends is not square to
// them, by 0.5 mm on 290.
TEST(TubeFound, RunsSquareToItsEndsWhereTheLineBetweenTheirMiddlesDoesNot) {
  Arm arm{
      "Trapezoid",
      {{-40, 520, 180}, {-40, 508, 470}},
      {{{26, -30}, {20, 34}, {-20, 34}, {-26, -30}}, {{24, -28}, {18, 30}, {-18, 30}, {-24, -28}}},
      {7, 7},
      3.2,
      {false, false}};
  SkinLaw law;
  law.centres = arm.centres;
  law.up = Vec3::UnitX();
  law.a_toward = Vec3::UnitY();
  law.vertices = arm.vertices;
  law.corner_radii.assign(2, std::vector<double>(4, 7.0));
  const auto skin = Skin::Make(law);
  ASSERT_TRUE(skin) << skin.error().message;
  const auto solid = Built(arm, *skin);
  ASSERT_TRUE(solid) << solid.error().message;
  const auto tube = TubeOfSolid(solid->shape(), "the arm");
  ASSERT_TRUE(tube) << tube.error().message;
  const Vec3 line = tube->ends[1].centre - tube->ends[0].centre;
  EXPECT_NEAR(line.norm(), skin->length(), 1e-6);
  EXPECT_LT(line.normalized().cross(skin->FrameAt(0.0).tangent).norm(), 1e-9);
  for (std::size_t end = 0; end < 2; ++end) {
    for (const Vec3& vertex : tube->ends[end].vertices) {
      double least = 1e300;
      for (int k = 0; k < 4; ++k) {
        const bool first = (tube->ends[end].centre - arm.centres[0]).norm() < 20.0;
        least =
            std::min(least, (vertex - skin->SharpCornerAt(first ? 0.0 : skin->u_end(), k)).norm());
      }
      EXPECT_LT(least, 1e-6);
    }
  }
}

// What does not go on from end to end is refused with the place: an arm with a kink half way.
TEST(LoftRefused, AKinkIsToldWithItsPlace) {
  Arm arm{"Kinked",
          {{-110, 200, 300}, {-110, 400, 300}, {-70, 600, 300}},
          {Box(60, 50), Box(60, 50), Box(60, 50)},
          {8, 8, 8},
          3,
          {false, false}};
  SkinLaw law = LawOf(arm);
  law.smooth = false;
  const auto skin = Skin::Make(law);
  ASSERT_TRUE(skin) << skin.error().message;
  const auto solid = Built(arm, *skin);
  ASSERT_TRUE(solid) << solid.error().message;
  const auto loft = LoftOfSolid(solid->shape(), solid->shape(), "the arm");
  ASSERT_FALSE(loft);
  EXPECT_EQ(loft.error().kind, ErrorKind::job);
  EXPECT_NE(loft.error().message.find("on its section is not one of the flats of its ends"),
            std::string::npos)
      << loft.error().message;
}

INSTANTIATE_TEST_SUITE_P(Arms, LoftFound, ::testing::ValuesIn(Arms()),
                         [](const auto& one) { return std::string(one.param.name); });

}  // namespace
}  // namespace holeward
