// The search over pairs of a cell of places and a piece of metal, its bounds made by hand: what it
// looks at first, what it divides, and which pose it tries.
#include "geometry/worst_pose_search.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <memory>
#include <vector>

#include <gtest/gtest.h>

#include "tests/geometry/bound_scenes.h"
#include "tests/geometry/skins.h"

namespace holeward {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kGap = 0.04;
using test::PlateAt;

Vec3 Leaning(double angle) { return {std::sin(angle), 0.0, std::cos(angle)}; }

/// A bound of 19 mm, 20 attained, and what is said to cost it.
PairSearch Search(double depth = 19.0, double cell_spread = 0.0, double piece_spread = 0.0) {
  PairSearch search;
  search.bound = [=](const PlaceCell&, const MetalPiece&, double) {
    CellBound bound;
    bound.depth = depth;
    bound.cell_spread = cell_spread;
    bound.piece_spread = piece_spread;
    return bound;
  };
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return 20.0; };
  search.gap = kGap;
  return search;
}

struct Scene {
  explicit Scene(const std::vector<MetalPiece>& pieces) : cells(PlaceCells::Single(Stance{})) {
    for (const MetalPiece& piece : pieces) metal.Add(piece);
    metal.Close();
  }
  /// Places of a zone on a tube in place of one.
  Scene& OverAZone(double radius) {
    tube = test::StraightTube(60.0, 300.0);
    NominalPlace nominal;
    nominal.place = {150.0, 2.0};
    nominal.position = tube->At(nominal.place).position;
    nominal.normal = tube->At(nominal.place).normal;
    cells = *PlaceCells::Over(
        {tube.get(), nominal, radius, 0.0, [](const Vec3& normal) { return Vec3(-normal); }});
    return *this;
  }
  PoseMinimum Run(const PairSearch& search) {
    std::vector<int> roots;
    for (int piece = 0; piece < metal.roots(); ++piece) roots.push_back(piece);
    return LeastOver(cells, metal, roots, search);
  }
  [[nodiscard]] bool CellHalved() const { return cells[0].child[0] >= 0 || cells[0].child[1] >= 0; }

  std::shared_ptr<const Skin> tube;
  PlaceCells cells;
  MetalPieces metal;
};

TEST(WorstPoseSearch, TheLeastBoundIsTheOneThatIsReturned) {
  Scene scene({PlateAt(21.0, 1.0), PlateAt(19.0, 1.0), PlateAt(25.0, 1.0)});
  PairSearch search = Search();
  search.budget = 1;
  search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return kNever; };
  search.bound = [](const PlaceCell&, const MetalPiece& piece, double) {
    CellBound bound;
    bound.depth = piece.lowest;
    return bound;
  };
  EXPECT_EQ(scene.Run(search).lower, 19.0);
}

TEST(WorstPoseSearch, WithinTheGapNothingIsDivided) {
  PairSearch search = Search(19.97);
  search.budget = 50;
  const PoseMinimum found = Scene({PlateAt(20.0, 1.0)}).Run(search);
  EXPECT_EQ(found.nodes, 1);
  EXPECT_EQ(found.lower, 19.97);
  EXPECT_EQ(found.upper, 20.0);
  search = Search(19.95);
  search.budget = 50;
  EXPECT_GE(Scene({PlateAt(20.0, 1.0)}).Run(search).nodes, 50);
}

// The bound's lean, told by its angle to the direction it was taken along, is put to the stance
// whose own angle to that is 0.3; and no lean is tried that no pose has.
TEST(WorstPoseSearch, ThePoseTriedLeansAsTheBoundSaysAndNoFartherThanItMay) {
  const auto tried = [](double psi, double nu) {
    PairSearch search = Search();
    search.budget = 1;
    search.tilt = 0.1;
    search.bound = [=](const PlaceCell&, const MetalPiece&, double) {
      CellBound bound;
      bound.depth = 19.0;
      bound.along = Leaning(0.3);
      bound.psi = psi;
      bound.nu = nu;
      return bound;
    };
    Vec3 axis = Vec3::Zero();
    search.attained = [&](const Stance&, const Vec3& with, const MetalPiece&) {
      axis = with;
      return 20.0;
    };
    Scene({PlateAt(20.0, 1.0)}).Run(search);
    return axis;
  };
  EXPECT_NEAR((tried(0.27, 0.28) - Leaning(0.01)).norm(), 0.0, 1e-9);
  EXPECT_NEAR((tried(0.23, 0.30) - Leaning(0.07)).norm(), 0.0, 1e-9);
  EXPECT_NEAR((tried(0.02, 0.30) - Leaning(0.1)).norm(), 0.0, 1e-9);
}

TEST(WorstPoseSearch, APoseIsSettledWhereBothSpreadsTogetherAreSmall) {
  const auto asked = [](double cell_spread, double piece_spread) {
    PairSearch search = Search(19.0, cell_spread, piece_spread);
    search.budget = 1;
    int calls = 0;
    search.settled = [&](const Stance&, const Vec3&, int) {
      ++calls;
      return 19.5;
    };
    const PoseMinimum found = Scene({PlateAt(20.0, 1.0)}).Run(search);
    EXPECT_EQ(found.upper, calls > 0 ? 19.5 : 20.0);
    return calls;
  };
  EXPECT_EQ(asked(0.3 * kGap, 0.3 * kGap), 1);
  EXPECT_EQ(asked(0.4 * kGap, 0.4 * kGap), 0);
}

// ---- What is divided

/// What is divided first of a zone 1 mm about a place and a plate so wide.
struct Divided {
  bool cell = false;
  bool piece = false;
};

Divided DividedFirst(double cell_spread, double piece_spread, int budget, double half) {
  PairSearch search = Search(19.0, cell_spread, piece_spread);
  search.budget = budget;
  Scene scene({PlateAt(20.0, half)});
  scene.OverAZone(1.0).Run(search);
  return {scene.CellHalved(), scene.metal[0].child >= 0};
}

TEST(WorstPoseSearch, WhatCostsMoreIsDivided) {
  const Divided cells = DividedFirst(1.0, 0.5, 30, 0.5);
  EXPECT_TRUE(cells.cell);
  EXPECT_FALSE(cells.piece);
  const Divided pieces = DividedFirst(0.5, 1.0, 30, 0.5);
  EXPECT_FALSE(pieces.cell);
  EXPECT_TRUE(pieces.piece);
}

// The root cell is about 2.9 mm across.
TEST(WorstPoseSearch, WhereNeitherCostsMuchTheLargerIsDivided) {
  const Divided small = DividedFirst(0.001, 0.002, 2, 0.5);
  EXPECT_TRUE(small.cell);
  EXPECT_FALSE(small.piece);
  const Divided large = DividedFirst(0.002, 0.001, 2, 5.0);
  EXPECT_FALSE(large.cell);
  EXPECT_TRUE(large.piece);
}

// Always told to halve along the part, it halves the other way what has become too narrow.
TEST(WorstPoseSearch, ASliverIsHalvedAcrossItsLength) {
  PairSearch search = Search(19.0, 1.0, 0.0);
  search.budget = 400;
  Scene scene({PlateAt(20.0, 0.5)});
  scene.OverAZone(1.0).Run(search);
  int along = 0;
  int across = 0;
  std::vector<int> looked{0};
  for (std::size_t i = 0; i < looked.size(); ++i) {
    const PlaceCell cell = scene.cells[looked[i]];
    const bool sliver = cell.half.x() < 0.05 * cell.half.y();
    for (const std::size_t way : {0U, 1U}) {
      const int child = cell.child[way];
      if (child < 0) continue;
      EXPECT_EQ(sliver, way == 1U);
      ++(way == 0U ? along : across);
      looked.push_back(child);
      looked.push_back(child + 1);
    }
  }
  EXPECT_GT(along, 10);
  EXPECT_GT(across, 5);
}

// The depth is 10 mm more than what lies between a place and a target: wherever that is, the bounds
// close in on 10.
TEST(WorstPoseSearch, BothHalvesAreLookedAt) {
  for (const Vec2& target : {Vec2(0.4, 0.3), Vec2(-0.4, 0.3), Vec2(0.4, -0.3), Vec2(-0.4, -0.3)}) {
    PairSearch search = Search(0.0, 1.0, 0.0);
    search.budget = 400;
    search.attained = [](const Stance&, const Vec3&, const MetalPiece&) { return kNever; };
    search.bound = [&](const PlaceCell& cell, const MetalPiece&, double) {
      CellBound bound;
      bound.depth = 10.0 + std::max(0.0, (cell.at - target).norm() - cell.half.norm());
      bound.cell_spread = 1.0;
      bound.way = cell.half.x() > cell.half.y() ? 0 : 1;
      return bound;
    };
    EXPECT_EQ(Scene({PlateAt(20.0, 0.5)}).OverAZone(1.0).Run(search).lower, 10.0);

    const Vec3 on_plate(target.x(), target.y(), 20.0);
    search.bound = [&](const PlaceCell&, const MetalPiece& piece, double) {
      CellBound bound;
      bound.depth = 10.0 + std::max(0.0, (piece.middle - on_plate).norm() - piece.radius);
      bound.piece_spread = 1.0;
      return bound;
    };
    EXPECT_EQ(Scene({PlateAt(20.0, 0.5)}).Run(search).lower, 10.0);
  }
}

}  // namespace
}  // namespace holeward
