// Pieces of metal and parts of a drill in the form that the search for the worst pose asks for.
#include <cmath>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "geometry/obstacle.h"
#include "geometry/worst_pose_bounds.h"

namespace holeward {
namespace {

MetalPiece Metal(const BezierPatch& patch) {
  return MetalOf(PieceOf(patch, AxisFrame{}, 0, 0.0), 0);
}

/// A square across the axis.
MetalPiece Plate() {
  return Metal(BilinearPatch({-1, -1, 3}, {1, -1, 3}, {-1, 1, 3}, {1, 1, 3}, 0.0));
}

// A plate leaning by 0.3 in half of its corners, under axes that lean by 0.2 the other way there
// and may bend by 0.05 more.
TEST(WorstPoseMetal, MetalFacesAxesNoLessThanItsCornersLessHalfOfWhatTheyDiffer) {
  const auto leaning = [](double angle) { return Vec3(std::sin(angle), 0.0, std::cos(angle)); };
  PlaceCell cell;
  for (std::size_t c = 0; c < 4; ++c) cell.corner[c].axis = leaning(c % 2 == 0 ? 0.0 : -0.2);
  MetalPiece plate = Plate();
  for (std::size_t c = 0; c < 4; ++c) plate.normal[c] = leaning(c < 2 ? 0.0 : 0.3);
  const double turned = 2.0 * std::sin(0.15);
  EXPECT_NEAR(LeastFacing(cell, plate), std::cos(0.5) - 0.5 * turned, 1e-12);
  cell.axis_sag = 0.05;
  EXPECT_NEAR(LeastFacing(cell, plate), std::cos(0.5) - 0.5 * turned - 0.05, 1e-12);
  // Of either way round, a normal faces an axis as much.
  for (Vec3& normal : plate.normal) normal = -normal;
  EXPECT_NEAR(LeastFacing(cell, plate), std::cos(0.5) - 0.5 * turned - 0.05, 1e-12);
  cell.axis_sag = 1.0;
  EXPECT_EQ(LeastFacing(cell, plate), 0.0);
}

// z = 2 + x y over the square from (0, 0) to (1, 1): the normal at its corners is (-y, -x, 1).
TEST(WorstPoseMetal, EachCornerHasItsOwnNormal) {
  const MetalPiece saddle = Metal(BilinearPatch({0, 0, 2}, {1, 0, 2}, {0, 1, 2}, {1, 1, 3}, 0.0));
  for (std::size_t c = 0; c < 4; ++c) {
    const Vec3& at = saddle.corner[c];
    EXPECT_NEAR((saddle.normal[c] - Vec3(-at.y(), -at.x(), 1.0).normalized()).norm(), 0.0, 1e-12);
  }
  EXPECT_NEAR((saddle.corner[1] - Vec3(1, 0, 2)).norm(), 0.0, 1e-12);
  EXPECT_NEAR((saddle.corner[2] - Vec3(0, 1, 2)).norm(), 0.0, 1e-12);
}

// Two of its corners face up, two down.
TEST(WorstPoseMetal, MetalThatFoldsOverHasANormalToLookAlong) {
  const MetalPiece bow = Metal(BilinearPatch({0, 0, 2}, {1, 0, 2}, {1, 1, 2}, {0, 1, 2}, 0.0));
  ASSERT_LT(bow.normal[0].dot(bow.normal[2]), 0.0);
  EXPECT_NEAR(std::abs(bow.middle_normal.z()), 1.0, 1e-12);
}

// What passes 2 mm beside a step drill is met by a cone of its point's angle behind the last step.
TEST(WorstPoseMetal, AWidenedStepDrillEndsInACone) {
  const Drill drill = *Drill::Step(9.0, 118.0 * kDegree, {{4.0, 6.0}});
  const std::vector<DrillPart> parts = PartsOf(drill.Widened(2.0));
  ASSERT_EQ(parts.size(), 3U);
  EXPECT_NEAR(parts[2].disc[0].radius, 4.5, 1e-12);
  EXPECT_NEAR(parts[2].disc[0].behind, 6.0, 1e-12);
  EXPECT_NEAR(parts[2].disc[1].radius, 6.5, 1e-12);
  EXPECT_NEAR(parts[2].disc[1].behind, 6.0 + 2.0 / std::tan(59.0 * kDegree), 1e-12);
}

// A line along either way has no normal.
TEST(WorstPoseMetal, MetalThatIsALineHasNoNormal) {
  BezierPatch line = LinePatch({0, 0, 2}, {1, 0, 2}, 0.0);
  for (int way = 0; way < 2; ++way) {
    const MetalPiece metal = Metal(line);
    for (const Vec3& normal : metal.normal) EXPECT_EQ(normal.norm(), 0.0) << way;
    EXPECT_EQ(metal.middle_normal.norm(), 0.0) << way;
    std::swap(line.degree_u, line.degree_v);
  }
  EXPECT_NEAR(std::abs(Plate().middle_normal.z()), 1.0, 1e-12);
}

}  // namespace
}  // namespace holeward
