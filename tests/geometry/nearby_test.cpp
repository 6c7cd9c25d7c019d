#include "geometry/nearby.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "geometry/clearance.h"

namespace holeward {
namespace {

const auto kAll = [](std::size_t) { return true; };

/// Rods and balls strewn over a field that grows with their number.
class Strewn {
 public:
  explicit Strewn(int seed) : random_(static_cast<unsigned>(seed)) {}

  double Even(double from, double to) {
    return std::uniform_real_distribution<>(from, to)(random_);
  }
  Vec3 Way() {
    for (;;) {
      const Vec3 way(Even(-1, 1), Even(-1, 1), Even(-1, 1));
      if (way.norm() > 0.1) return way.normalized();
    }
  }
  Vec3 Place(double field) { return {Even(0, field), Even(0, field), Even(0, 300)}; }
  std::vector<Obstacle> Bodies(int count, double field) {
    std::vector<Obstacle> bodies;
    for (int i = 0; i < count; ++i) {
      const Vec3 place = Place(field);
      const bool ball = i % 3 == 0;
      bodies.push_back({"body " + std::to_string(i), ObstacleKind::other, FaceRole::outer,
                        ball ? SpherePatches(place, Even(2, 20))
                             : CylinderPatches(place, place + Even(20, 300) * Way(), Even(2, 20))});
      bodies.back().shift = Even(0, 1);
      bodies.back().patches.front().grown = Even(0, 0.1);
    }
    return bodies;
  }

 private:
  std::mt19937 random_;
};

double FieldOf(int count) { return 200.0 * std::sqrt(static_cast<double>(count)); }

std::vector<Obstacle> Picked(const ObstacleField& field, const Chosen& chosen) {
  std::vector<Obstacle> picked;
  for (const std::size_t i : chosen.indices) picked.push_back(field.all()[i]);
  return picked;
}

TEST(BoxTree, HandsOutBoxesFromTheNearestOn) {
  Strewn strewn(11);
  std::vector<UprightBox> boxes(200);
  for (UprightBox& box : boxes) {
    box.Hold(strewn.Place(1000));
    box.Hold(box.low + Vec3(strewn.Even(0, 90), strewn.Even(0, 90), strewn.Even(0, 90)));
  }
  const BoxTree tree(boxes);
  const Vec3 from(400, 500, 150);
  const auto apart = [&](const UprightBox& box) {
    return (from - from.cwiseMax(box.low).cwiseMin(box.high)).norm();
  };
  std::vector<double> handed;
  std::vector<bool> seen(boxes.size(), false);
  (void)tree.InOrder(apart, [&](std::size_t index, double bound) {
    EXPECT_DOUBLE_EQ(bound, apart(boxes[index]));
    EXPECT_FALSE(seen[index]);
    seen[index] = true;
    handed.push_back(bound);
    return true;
  });
  EXPECT_EQ(handed.size(), boxes.size());
  EXPECT_TRUE(std::is_sorted(handed.begin(), handed.end()));
}

TEST(BoxTree, WithoutBoxesHandsOutNone) {
  EXPECT_EQ(BoxTree().InOrder([](const UprightBox&) { return 0.0; },
                              [](std::size_t, double) { return true; }),
            0U);
}

TEST(ObstacleField, TheRoomOfAToolIsThatAmongAllObstacles) {
  Strewn strewn(20261129);
  const ObstacleField field(strewn.Bodies(150, FieldOf(150)));
  std::size_t chosen_of_all = 0;
  int met = 0;
  for (int k = 0; k < 150; ++k) {
    const ToolRoom tool{strewn.Place(FieldOf(150)), strewn.Way(), strewn.Even(3, 40),
                        strewn.Even(10, 200)};
    const Chosen chosen = field.NearestTo(tool, kAll);
    const Access among_all = AccessOf(field.all(), tool);
    const Access among_chosen = AccessOf(Picked(field, chosen), tool);
    EXPECT_EQ(among_chosen.distance, among_all.distance);
    EXPECT_EQ(among_chosen.body, among_all.body);
    EXPECT_EQ(among_chosen.failure, among_all.failure);
    chosen_of_all += chosen.indices.size();
    met += among_all.distance < 0.0 ? 1 : 0;
  }
  EXPECT_GT(met, 5);
  EXPECT_LT(chosen_of_all, 150U * 150U / 4U);
}

TEST(ObstacleField, TheNearestOfThoseThatCountIsFoundBehindOthers) {
  const ObstacleField field(
      {{"near", ObstacleKind::other, FaceRole::outer, SpherePatches({30, 0, 0}, 5)},
       {"far", ObstacleKind::other, FaceRole::outer, SpherePatches({90, 0, 0}, 5)}});
  const ToolRoom tool{{0, 0, 0}, {0, 0, 1}, 10, 50};
  const Chosen far = field.NearestTo(tool, [](std::size_t i) { return i == 1; });
  ASSERT_EQ(far.indices, std::vector<std::size_t>{1});
}

TEST(ObstacleField, AnUnsoundObstacleOrToolLeavesNothingOut) {
  std::vector<Obstacle> bodies{
      {"near", ObstacleKind::other, FaceRole::outer, SpherePatches({30, 0, 0}, 5)},
      {"broken", ObstacleKind::other, FaceRole::outer, SpherePatches({9000, 0, 0}, 5)}};
  bodies[1].patches[0].poles[0].x() = std::nan("");
  const ObstacleField field(bodies);
  const ToolRoom tool{{0, 0, 0}, {0, 0, 1}, 10, 50};
  EXPECT_FALSE(AccessOf(Picked(field, field.NearestTo(tool, kAll)), tool).failure.empty());
  ToolRoom nowhere = tool;
  nowhere.base.x() = std::nan("");
  EXPECT_EQ(field.NearestTo(nowhere, kAll).indices.size(), 2U);
}

TEST(ObstacleField, NothingADrillCanReachIsLeftOut) {
  Strewn strewn(7);
  const ObstacleField field(strewn.Bodies(150, FieldOf(150)));
  std::size_t left_out = 0;
  std::size_t pieces_met = 0;
  for (int k = 0; k < 150; ++k) {
    PosesReach drill;
    drill.frame = AxisFrame::At(strewn.Place(FieldOf(150)), strewn.Way());
    drill.reach = {strewn.Even(0, 5), strewn.Even(0, 2), strewn.Even(0, 0.1), strewn.Even(1, 6)};
    drill.farthest = strewn.Even(50, 3000);
    const Chosen chosen = field.Within(drill, kAll);
    left_out += field.all().size() - chosen.indices.size();
    const auto of_all = PiecesWithin(field.all(), drill.frame, drill.reach, drill.farthest, true);
    const auto of_chosen =
        PiecesWithin(Picked(field, chosen), drill.frame, drill.reach, drill.farthest, true);
    pieces_met += of_all.size();
    for (const Piece& piece : of_all) {
      // A rough bound of the piece may keep what the box shows to be out of reach.
      const bool held = std::any_of(of_chosen.begin(), of_chosen.end(), [&](const Piece& other) {
        return other.poles.front() == piece.poles.front() && other.poles == piece.poles;
      });
      if (held) continue;
      for (int i = 0; i < 4; ++i) {
        const Vec3 corner = CornerOf(piece, i);
        EXPECT_TRUE(corner.z() - piece.grown > drill.farthest ||
                    corner.head<2>().norm() - piece.grown > drill.reach.At(corner.z()));
      }
    }
  }
  EXPECT_GT(pieces_met, 100U);
  EXPECT_GT(left_out, 150U * 100U);
}

// What is looked at for one tool or drill stays about the same however large the scene is.
TEST(ObstacleField, TheWorkOfATripIsThatOfItsNeighbourhood) {
  const auto work_each = [](int count) {
    Strewn strewn(5);
    const ObstacleField field(strewn.Bodies(count, FieldOf(count)));
    std::size_t work = 0;
    for (int k = 0; k < 200; ++k) {
      const ToolRoom tool{strewn.Place(FieldOf(count)), -Vec3::UnitZ(), 20, 100};
      work += field.NearestTo(tool, kAll).looked_at;
      const PosesReach drill{AxisFrame::At(tool.base, tool.direction), {2, 1, 0.05, 4}, 9000};
      work += field.Within(drill, kAll).looked_at;
    }
    return static_cast<double>(work) / 200.0;
  };
  const double small = work_each(100);
  const double large = work_each(1600);
  EXPECT_LT(large, 2.0 * small);  // sixteen times the bodies: the depth of the tree grows by four
  EXPECT_GT(small, 10.0);
}

}  // namespace
}  // namespace holeward
