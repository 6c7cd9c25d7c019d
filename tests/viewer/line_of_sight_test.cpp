#include "viewer/line_of_sight.h"

#include <limits>
#include <random>

#include <gtest/gtest.h>

namespace holeward {
namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();

/// A wall square to z at a height, 20 mm wide and long about a place.
ShapeBody Wall(BodyKind kind, double x, double y, double z) {
  ShapeBody body{kind, "wall", Side::left, {}, {}};
  body.quads.push_back({Vec3(x - 10, y - 10, z), Vec3(x + 10, y - 10, z), Vec3(x + 10, y + 10, z),
                        Vec3(x - 10, y + 10, z)});
  return body;
}

TEST(LineOfSight, OnlyWhatStandsBetweenPlaceAndEyeHides) {
  const LineOfSight sight({Wall(BodyKind::fitting, 0, 0, 50)});
  const Vec3 up = Vec3::UnitZ();
  EXPECT_TRUE(sight.Hidden({Vec3(0, 0, 0), up, kFar}, false));
  EXPECT_TRUE(sight.Hidden({Vec3(9.9, -9.9, 0), up, kFar}, false)) << "both halves of it count";
  EXPECT_TRUE(sight.Hidden({Vec3(-9.9, 9.9, 0), up, kFar}, false));
  EXPECT_FALSE(sight.Hidden({Vec3(10.1, 0, 0), up, kFar}, false)) << "beside it";
  EXPECT_FALSE(sight.Hidden({Vec3(0, 0, 60), up, kFar}, false)) << "before it";
  EXPECT_FALSE(sight.Hidden({Vec3(0, 0, 0), -up, kFar}, false)) << "looked at from below";
  EXPECT_FALSE(sight.Hidden({Vec3(0, 0, 0), up, 49.0}, false)) << "the eye is nearer than it";
  EXPECT_FALSE(sight.Hidden({Vec3(0, 0, 49), up, kFar}, false)) << "as near as a skin's facets";
  EXPECT_FALSE(LineOfSight().Hidden({Vec3(0, 0, 0), up, kFar}, false));
}

TEST(LineOfSight, SkinsAloneAreSeenThrough) {
  const Vec3 up = Vec3::UnitZ();
  const LineOfSight skin({Wall(BodyKind::skin, 0, 0, 50)});
  EXPECT_TRUE(skin.Hidden({Vec3::Zero(), up, kFar}, false));
  EXPECT_FALSE(skin.Hidden({Vec3::Zero(), up, kFar}, true));
  for (const BodyKind kind : {BodyKind::fitting, BodyKind::inner, BodyKind::neighbour}) {
    const LineOfSight other({Wall(BodyKind::skin, 0, 0, 50), Wall(kind, 0, 0, 30)});
    EXPECT_TRUE(other.Hidden({Vec3::Zero(), up, kFar}, true));
  }
}

// Among many walls, by a plain search for one whose square the line goes through.
TEST(LineOfSight, FindsAmongManyWhatAPlainSearchFinds) {
  std::mt19937 random(4);
  std::uniform_real_distribution<double> place(-200.0, 200.0);
  std::vector<ShapeBody> bodies;
  for (int i = 0; i < 40; ++i) {
    ShapeBody body{BodyKind::fitting, "walls", Side::left, {}, {}};
    for (int k = 0; k < 5; ++k) {
      const Vec3 at(place(random), place(random), place(random));
      body.quads.push_back(Wall(BodyKind::fitting, at.x(), at.y(), at.z()).quads.front());
    }
    bodies.push_back(body);
  }
  const LineOfSight sight(bodies);
  int hidden = 0;
  for (int i = 0; i < 2000; ++i) {
    const SightLine line{Vec3(place(random), place(random), place(random)),
                         Vec3(place(random), place(random), place(random)).normalized(), 300.0};
    bool expected = false;
    for (const ShapeBody& body : bodies) {
      for (const auto& quad : body.quads) {
        const double at = (quad[0].z() - line.place.z()) / line.to_eye.z();
        const Vec3 off = line.place + at * line.to_eye - 0.5 * (quad[0] + quad[2]);
        expected = expected || (at > LineOfSight::kClearOfSkin && at < line.distance &&
                                std::abs(off.x()) < 10.0 && std::abs(off.y()) < 10.0);
      }
    }
    EXPECT_EQ(sight.Hidden(line, false), expected) << i;
    hidden += expected;
  }
  EXPECT_GT(hidden, 100);
  EXPECT_LT(hidden, 1800);
}

}  // namespace
}  // namespace holeward
