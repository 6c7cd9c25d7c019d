// Telling the near wall from the far wall on flat plates across the drill's axis, where every
// height and distance is known.
#include "geometry/near_wall.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kSpare = 1e-6;  // of a reach, for rounding

/// Plates in the axis' frame, each a wall of the part.
class Walls {
 public:
  /// A plate at z, over x and y from and to.
  Walls& Plate(FaceRole role, double z, Vec2 from = {-50, -50}, Vec2 to = {50, 50}) {
    return Face(role, {Vec3(from.x(), from.y(), z), Vec3(to.x(), from.y(), z),
                       Vec3(from.x(), to.y(), z), Vec3(to.x(), to.y(), z)});
  }
  /// A plate through a place of the axis whose normal leans off it, `facing` its cosine.
  Walls& Slanting(FaceRole role, double z, double facing) {
    const double rise = std::sqrt(1.0 - facing * facing) / facing;
    std::array<Vec3, 4> corner;
    for (int c = 0; c < 4; ++c) {
      const double x = c % 2 == 0 ? -3.0 : 3.0;
      corner[static_cast<std::size_t>(c)] = {x, c < 2 ? -3.0 : 3.0, z + rise * x};
    }
    return Face(role, corner);
  }
  Walls& Face(FaceRole role, const std::array<Vec3, 4>& corner) {
    const BezierPatch patch = BilinearPatch(corner[0], corner[1], corner[2], corner[3], 0.0);
    pieces.push_back(PieceOf(patch, AxisFrame{}, static_cast<int>(obstacles.size()), grown));
    obstacles.push_back({"part", ObstacleKind::wall, role, {patch}});
    return *this;
  }
  [[nodiscard]] NearWall Separated(const Reach& reach) const {
    return SeparateNearWall(pieces, obstacles, reach);
  }
  [[nodiscard]] PartedWalls Parted(const Reach& reach) const {
    return PartWalls(pieces, obstacles, reach);
  }

  double grown = 0.0;
  std::vector<Piece> pieces;
  std::vector<Obstacle> obstacles;
};

/// A near wall 3 mm thick and a far one 30 mm from the skin.
Walls Box(double grown = 0.0) {
  Walls walls;
  walls.grown = grown;
  walls.Plate(FaceRole::outer, 0.0).Plate(FaceRole::inner, 3.0);
  walls.Plate(FaceRole::inner, 30.0).Plate(FaceRole::outer, 33.0);
  return walls;
}

const Reach kReach{2.0, 0.5, 0.2, 4.0};

bool Says(const NearWall& wall, const std::string& text) {
  return wall.failure.find(text) != std::string::npos;
}

TEST(NearWall, AReachIsWhatALeaningDrillSweeps) {
  const double slope = std::tan(0.2);
  for (const double z : {-12.0, 0.0, 7.0}) {
    EXPECT_NEAR(kReach.At(z), 2.0 + (std::abs(z) + 0.5) * slope + 4.0 / std::cos(0.2), 2 * kSpare);
  }
  EXPECT_NEAR(kReach.Ahead(10.0), 10.5 + 4.0 * std::sin(0.2), 1e-12);
}

TEST(NearWall, OfABoxIsItsWallAndTheGapBehindIsItsInside) {
  for (const double grown : {0.0, 0.3}) {
    const NearWall wall = Box(grown).Separated(kReach);
    ASSERT_TRUE(wall.ok()) << wall.failure;
    EXPECT_NEAR(wall.length, 3.0, 1e-6);
    EXPECT_NEAR(wall.gap_from, 3.0 + grown, 1e-9);
    EXPECT_NEAR(wall.gap_to, 30.0 - grown, 1e-9);
    EXPECT_NEAR(wall.Parting(), wall.gap_from + 1.0, 1e-12);
  }
}

TEST(NearWall, ANarrowGapIsPartedInItsMiddle) {
  NearWall wall;
  wall.gap_from = 3.0;
  wall.gap_to = 4.9;
  EXPECT_NEAR(wall.Parting(), 3.95, 1e-12);
  wall.gap_to = 5.1;
  EXPECT_NEAR(wall.Parting(), 4.0, 1e-12);
}

// An open section has no far wall.
TEST(NearWall, WithNothingBehindTheGapHasNoEnd) {
  Walls walls;
  walls.Plate(FaceRole::outer, 0.0).Plate(FaceRole::inner, 3.0);
  const NearWall wall = walls.Separated(kReach);
  ASSERT_TRUE(wall.ok()) << wall.failure;
  EXPECT_EQ(wall.gap_to, kNever);
  EXPECT_NEAR(wall.Parting(), 4.0, 1e-9);
}

// What the drill can just reach beside the axis ends the gap; what it cannot does not.
TEST(NearWall, AGapEndsAtWhatTheDrillReaches) {
  for (const double grown : {0.0, 0.4}) {
    const double reached = kReach.At(12.0 + grown) + grown;
    for (const double off : {-1e-4, 1e-4}) {
      Walls walls = Box(grown);
      walls.Plate(FaceRole::inner, 12.0, {reached + off, -1.0}, {reached + 8.0, 1.0});
      const NearWall wall = walls.Separated(kReach);
      ASSERT_TRUE(wall.ok()) << wall.failure;
      EXPECT_NEAR(wall.gap_to, (off < 0.0 ? 12.0 : 30.0) - grown, 1e-9) << off;
    }
  }
}

// Metal close behind the near wall belongs to it: less than 0.2 mm of air is none.
TEST(NearWall, AirOfLessThanAFifthOfAMillimetreIsNoGap) {
  for (const double air : {0.19, 0.21}) {
    Walls walls = Box();
    walls.Plate(FaceRole::inner, 3.0 + air, {2.0, -1.0}, {4.0, 1.0});
    const NearWall wall = walls.Separated(kReach);
    ASSERT_TRUE(wall.ok()) << wall.failure;
    EXPECT_NEAR(wall.gap_from, air < 0.2 ? 3.0 + air : 3.0, 1e-9);
    EXPECT_NEAR(wall.gap_to, air < 0.2 ? 30.0 : 3.0 + air, 1e-9);

    Walls shallow;
    shallow.Plate(FaceRole::outer, 0.0).Plate(FaceRole::inner, 3.0);
    shallow.Plate(FaceRole::inner, 3.0 + air).Plate(FaceRole::outer, 9.0);
    EXPECT_EQ(Says(shallow.Separated(kReach), "no clear space"), air < 0.2) << air;
  }
}

// Metal all the way to the far wall beside the axis.
TEST(NearWall, AHoleInTheCornerHasNoGap) {
  Walls walls = Box();
  walls.Face(FaceRole::inner, {Vec3(3, -20, 3), Vec3(3, 20, 3), Vec3(3, -20, 30), Vec3(3, 20, 30)});
  EXPECT_TRUE(Says(walls.Separated(kReach), "no clear space"));
}

// The axis goes in where the skin is marked, within 0.1 mm, and comes out inside.
TEST(NearWall, TheAxisEntersAtTheMarkAndComesOutInside) {
  const auto with = [](double skin, FaceRole exit) {
    Walls walls;
    walls.Plate(FaceRole::outer, skin).Plate(exit, 3.0).Plate(FaceRole::inner, 30.0);
    return walls.Separated(kReach);
  };
  EXPECT_TRUE(with(0.099, FaceRole::inner).ok());
  EXPECT_TRUE(with(-0.099, FaceRole::inner).ok());
  EXPECT_TRUE(Says(with(0.101, FaceRole::inner), "does not enter metal at the mark"));
  EXPECT_TRUE(Says(with(-0.101, FaceRole::inner), "does not enter metal at the mark"));
  EXPECT_TRUE(Says(with(0.0, FaceRole::outer), "without coming to its inside"));
  EXPECT_TRUE(Says(with(0.0, FaceRole::end), "without coming to its inside"));
  Walls inside;
  inside.Plate(FaceRole::inner, 0.0).Plate(FaceRole::inner, 30.0);
  EXPECT_TRUE(Says(inside.Separated(kReach), "does not enter metal at the mark"));
  Walls solid;
  solid.Plate(FaceRole::outer, 0.0);
  EXPECT_TRUE(Says(solid.Separated(kReach), "never leaves the wall"));
}

// Where patches meet on the axis it crosses them once; surfaces 0.1 micron apart are one.
TEST(NearWall, WhereTwoPatchesMeetTheAxisCrossesOnce) {
  Walls walls;
  walls.Plate(FaceRole::outer, 0.0, {-50, -50}, {0, 50}).Plate(FaceRole::outer, 0.0, {0, -50});
  walls.Plate(FaceRole::inner, 3.0, {-50, -50}, {50, 0}).Plate(FaceRole::inner, 3.0, {-50, 0});
  walls.Plate(FaceRole::inner, 30.0);
  const NearWall wall = walls.Separated(kReach);
  ASSERT_TRUE(wall.ok()) << wall.failure;
  EXPECT_NEAR(wall.length, 3.0, 1e-6);
  EXPECT_NEAR(wall.gap_to, 30.0, 1e-9);
  for (const double apart : {0.9e-4, 1.2e-4}) {
    Walls twice = Box();
    twice.Plate(FaceRole::outer, apart);
    EXPECT_EQ(twice.Separated(kReach).ok(), apart < 1e-4) << apart;
  }
}

TEST(NearWall, AnAxisAlongASurfaceIsRefused) {
  Walls walls = Box();
  walls.Face(FaceRole::inner, {Vec3(0, -20, 3), Vec3(0, 20, 3), Vec3(0, -20, 30), Vec3(0, 20, 30)});
  EXPECT_TRUE(Says(walls.Separated(kReach), "runs along a surface"));
}

// A wall steeper than acos 0.2 to the drill is a side wall or a corner.
TEST(NearWall, ASteepWallIsNoNearWall) {
  const Reach narrow{0.0, 0.0, 0.0, 0.2};
  for (const double facing : {0.19, 0.21, 0.9}) {
    Walls walls;
    walls.Slanting(FaceRole::outer, 0.0, facing).Slanting(FaceRole::inner, 3.0, facing);
    walls.Plate(FaceRole::inner, 40.0);
    const NearWall wall = walls.Separated(narrow);
    EXPECT_EQ(wall.ok(), facing > 0.2) << facing << wall.failure;
    if (!wall.ok()) {
      EXPECT_TRUE(Says(wall, "a corner, a side wall, an edge or an existing hole"));
      continue;
    }
    // The gap begins where the drill leaves the wall at its side: leaves are at most 0.4 mm or
    // 0.25 mm high.
    const double rise = std::sqrt(1.0 - facing * facing) / facing;
    EXPECT_NEAR(wall.length, 3.0, 1e-5);
    EXPECT_GE(wall.gap_from, 3.0 + 0.2 * rise);
    EXPECT_LE(wall.gap_from, 3.0 + 0.2 * rise + 0.4);
  }
}

// The end of a part, an edge or an old hole within reach, before the mark or behind it.
TEST(NearWall, AnEndWithinReachIsNoNearWall) {
  for (const double z : {-6.0, 1.5}) {
    const double reached = kReach.At(z);
    for (const double off : {-1e-4, 1e-4}) {
      Walls walls = Box();
      walls.Plate(FaceRole::end, z, {reached + off, -1.0}, {reached + 3.0, 1.0});
      EXPECT_EQ(walls.Separated(kReach).ok(), off > 0.0) << z << " " << off;
    }
  }
  Walls walls = Box();
  walls.Plate(FaceRole::outer, -6.0, {3.0, -1.0}, {4.0, 1.0});
  EXPECT_TRUE(walls.Separated(kReach).ok());
}

// Behind the gap's end nothing is looked at.
TEST(NearWall, WhatLiesBehindTheFarWallDoesNotMatter) {
  Walls walls = Box();
  walls.Plate(FaceRole::end, 31.0, {1.0, -1.0}, {2.0, 1.0});
  const NearWall wall = walls.Separated(kReach);
  ASSERT_TRUE(wall.ok()) << wall.failure;
  EXPECT_NEAR(wall.gap_to, 30.0, 1e-9);
}

// ---- The walls parted by the gap

bool Covered(const std::vector<Piece>& pieces, double z, const Vec2& at) {
  return std::any_of(pieces.begin(), pieces.end(), [&](const Piece& piece) {
    const Vec3 low = CornerOf(piece, 0).cwiseMin(CornerOf(piece, 3));
    const Vec3 high = CornerOf(piece, 0).cwiseMax(CornerOf(piece, 3));
    return std::abs(low.z() - z) < 1e-9 && (at - low.head<2>()).minCoeff() >= -1e-9 &&
           (high.head<2>() - at).minCoeff() >= -1e-9;
  });
}

TEST(NearWall, AllOfTheWallsWithinReachIsParted) {
  const PartedWalls parted = Box(0.3).Parted(kReach);
  ASSERT_TRUE(parted.wall.ok());
  for (const Piece& piece : parted.near) {
    EXPECT_LT(ExtentOf(piece).z_greatest, parted.wall.Parting());
    EXPECT_LE(ExtentOf(piece).size, 4.0);
  }
  for (const Piece& piece : parted.far) {
    EXPECT_GT(ExtentOf(piece).z_least, parted.wall.Parting());
    EXPECT_LE(ExtentOf(piece).size, 12.0);
  }
  for (const double z : {0.0, 3.0, 30.0, 33.0}) {
    const double reached = kReach.At(z + 0.3) + 0.3;
    for (int k = 0; k < 24; ++k) {
      const Vec2 way(std::cos(k * kPi / 12.0), std::sin(k * kPi / 12.0));
      EXPECT_TRUE(Covered(z < 10.0 ? parted.near : parted.far, z, 0.999 * reached * way)) << z;
      EXPECT_FALSE(Covered(z < 10.0 ? parted.far : parted.near, z, 0.999 * reached * way)) << z;
      EXPECT_FALSE(Covered(z < 10.0 ? parted.near : parted.far, z, (reached + 12.0) * way)) << z;
    }
  }
}

// A small plate is handed on just where the drill may come to it, on either side of the mark.
TEST(NearWall, WhatNoPoseReachesIsNotHandedOn) {
  for (const double z : {-9.0, 12.0}) {
    for (const double grown : {0.0, 0.4}) {
      const double reached = kReach.At(std::abs(z) + grown) + grown;
      for (const double off : {-1e-4, 1e-4}) {
        Walls walls = Box(grown);
        walls.Plate(FaceRole::outer, z, {reached + off, -1.0}, {reached + 3.0, 1.0});
        const PartedWalls parted = walls.Parted(kReach);
        ASSERT_TRUE(parted.wall.ok()) << parted.wall.failure;
        const Vec2 middle(reached + off, 0.0);
        EXPECT_EQ(Covered(z < 0.0 ? parted.near : parted.far, z, middle), off < 0.0) << z;
      }
    }
  }
}

TEST(NearWall, WithoutAGapNothingIsParted) {
  Walls walls;
  walls.Plate(FaceRole::outer, 0.0);
  const PartedWalls parted = walls.Parted(kReach);
  EXPECT_FALSE(parted.wall.ok());
  EXPECT_TRUE(parted.near.empty());
  EXPECT_TRUE(parted.far.empty());
}

}  // namespace
}  // namespace holeward
